"""What lies where on beds and sheets: the planner's view of the nest floor."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fabsched.model.estimates import Estimate
from fabsched.nest.place import fits, nest
from fabsched.nest.records import Item, Placement, Ring, alike

RESOLUTION_MM = 1.0
"""Side of a pixel; finer ones seldom let another part in."""

EFFORT = 5_000_000
"""Of the search for a layout of sheets: some hundredths of a second."""

Size = tuple[float, float]
"""x and y in mm."""


def outline_of(estimate: Estimate) -> Ring:
    """What a part covers: its silhouette, or its footprint where there is none."""
    x, y = estimate.footprint_mm
    return estimate.silhouette_mm or ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))


def on_bed(
    estimate: Estimate, bed_mm: Size, gap_mm: float, copies: int, ident: str = "part"
) -> tuple[Placement, ...]:
    """Where copies of a part lie on one bed, the group of them in its middle.

    Args:
        estimate: of one copy, for its outline.
        bed_mm: width and depth of the bed.
        gap_mm: least distance of two copies.
        copies: how many; those that find no room are left out.
        ident: id of the part.
    """
    outline = outline_of(estimate)
    item = Item(id=ident, outline=outline, count=copies)
    layout = nest([item], alike(bed_mm, 1), gap_mm, resolution_mm=RESOLUTION_MM)
    return _centred(layout.placements, outline, bed_mm)


def _centred(
    placements: tuple[Placement, ...], outline: Ring, bed_mm: Size
) -> tuple[Placement, ...]:
    if not placements:
        return ()
    points = np.concatenate([placement.outline_mm(outline) for placement in placements])
    x_mm, y_mm = (np.array(bed_mm) - points.min(axis=0) - points.max(axis=0)) / 2
    return tuple(_moved(placement, float(x_mm), float(y_mm)) for placement in placements)


def _moved(placement: Placement, x_mm: float, y_mm: float) -> Placement:
    return replace(placement, x_mm=placement.x_mm + x_mm, y_mm=placement.y_mm + y_mm)


def room(estimate: Estimate, bed_mm: Size, gap_mm: float, most: int) -> int:
    """How many copies of a part lie on one bed, counted no further than `most`."""
    outline = outline_of(estimate)
    if most == 1 or not fits(outline, bed_mm):
        return int(fits(outline, bed_mm))
    return len(on_bed(estimate, bed_mm, gap_mm, most))


def onto_sheets(
    copies: Mapping[str, int],
    outlines: Mapping[str, Ring],
    sheet_mm: Size,
    *,
    gap_mm: float,
    rim_mm: float = 0.0,
) -> list[tuple[Placement, ...]] | None:
    """Where copies lie on each sheet; None if a part fits no sheet of that size.

    Args:
        copies: how many of each part.
        outlines: its border.
        sheet_mm: size of every sheet.
        gap_mm: least distance of two parts.
        rim_mm: least distance of a part from the edge of the sheet.
    """
    items = [Item(id=part, outline=outlines[part], count=n) for part, n in copies.items()]
    inner_mm = (sheet_mm[0] - 2 * rim_mm, sheet_mm[1] - 2 * rim_mm)
    bins = alike(inner_mm, sum(copies.values()))
    layout = nest(items, bins, gap_mm, resolution_mm=RESOLUTION_MM, effort=EFFORT)
    if layout.unplaced:
        return None
    sheets: list[list[Placement]] = [[] for _ in range(layout.bins)]
    for placement in layout.placements:
        sheets[placement.bin].append(_moved(placement, rim_mm, rim_mm))
    return [tuple(sheet) for sheet in sheets]
