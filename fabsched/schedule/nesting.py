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
    return together_on_bed({ident: outline_of(estimate)}, {ident: copies}, bed_mm, gap_mm)


def together_on_bed(
    outlines: Mapping[str, Ring], copies: Mapping[str, int], bed_mm: Size, gap_mm: float
) -> tuple[Placement, ...]:
    """Where copies of several parts lie on one bed, the group of them in its middle.

    Args:
        outlines: border of each part.
        copies: how many of each; those that find no room are left out.
        bed_mm: width and depth of the bed.
        gap_mm: least distance of two copies.
    """
    items = [Item(id=part, outline=outlines[part], count=n) for part, n in copies.items()]
    layout = nest(items, alike(bed_mm, 1), gap_mm, resolution_mm=RESOLUTION_MM)
    rows = in_rows(outlines, copies, bed_mm, gap_mm) if layout.unplaced else None
    return _centred(rows or layout.placements, outlines, bed_mm)


def in_rows(
    outlines: Mapping[str, Ring], copies: Mapping[str, int], bed_mm: Size, gap_mm: float
) -> tuple[Placement, ...] | None:
    """Where copies lie in rows, each in its own rectangle; None if they do not fit like that.

    Quick, and enough for most beds: rectangles lie flat, the tallest first, each behind the last one
    or at the beginning of a new row (next fit by decreasing height: Coffman, Garey, Johnson and
    Tarjan, SIAM Journal on Computing 9(4), 1980).
    """
    boxes = [_flat(part, outlines[part], copy) for part, n in copies.items() for copy in range(n)]
    spots: list[Placement] = []
    x_mm = y_mm = row_mm = 0.0
    for spot, (wide, tall) in sorted(boxes, key=lambda box: -box[1][1]):
        if x_mm + wide > bed_mm[0]:
            x_mm, y_mm, row_mm = 0.0, y_mm + row_mm + gap_mm, 0.0
        if x_mm + wide > bed_mm[0] or y_mm + tall > bed_mm[1]:
            return None
        spots.append(_moved(spot, x_mm, y_mm))
        x_mm, row_mm = x_mm + wide + gap_mm, max(row_mm, tall)
    return tuple(spots)


def _flat(part: str, outline: Ring, copy: int) -> tuple[Placement, Size]:
    """A copy turned so that it is wider than tall, in the lower left corner, and its size."""
    points = np.array(outline, dtype=np.float64)
    wide, tall = np.ptp(points, axis=0)
    turn = 90.0 if tall > wide else 0.0
    spot = Placement(id=part, copy=copy, bin=0, x_mm=0.0, y_mm=0.0, turn_deg=turn)
    low_x, low_y = spot.outline_mm(outline).min(axis=0)
    return _moved(spot, -float(low_x), -float(low_y)), (
        float(max(wide, tall)),
        float(min(wide, tall)),
    )


def _centred(
    placements: tuple[Placement, ...], outlines: Mapping[str, Ring], bed_mm: Size
) -> tuple[Placement, ...]:
    if not placements:
        return ()
    points = np.concatenate([spot.outline_mm(outlines[spot.id]) for spot in placements])
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


def area_mm2(outline: Ring) -> float:
    """Area of a border (the shoelace formula).

    >>> area_mm2(((0, 0), (4, 0), (4, 3)))
    6.0
    """
    points = np.array(outline, dtype=np.float64)
    x, y = points[:, 0], points[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)
