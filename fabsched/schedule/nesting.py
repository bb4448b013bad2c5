"""How many fit: the planner's view of the nest floor."""

from collections import Counter
from collections.abc import Mapping

from fabsched.model.estimates import Estimate
from fabsched.nest.place import Item, Ring, fits, nest

RESOLUTION_MM = 1.0
"""Side of a pixel; planning only has to know how many fit."""

Size = tuple[float, float]
"""x and y in mm."""


def outline_of(estimate: Estimate) -> Ring:
    """What a part covers: its silhouette, or its footprint where there is none."""
    x, y = estimate.footprint_mm
    return estimate.silhouette_mm or ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))


def room(estimate: Estimate, bed_mm: Size, gap_mm: float, most: int) -> int:
    """How many copies of a part lie on one bed, counted no further than `most`."""
    outline = outline_of(estimate)
    if most == 1 or not fits(outline, bed_mm):
        return int(fits(outline, bed_mm))
    item = Item(id="part", outline=outline, count=most)
    layout = nest([item], bed_mm, gap_mm, resolution_mm=RESOLUTION_MM, max_bins=1)
    return len(layout.placements)


def onto_sheets(
    copies: Mapping[str, int], outlines: Mapping[str, Ring], sheet_mm: Size, gap_mm: float
) -> list[Counter[str]] | None:
    """Copies by part on each sheet; None if a part fits no sheet of that size.

    Args:
        copies: how many of each part.
        outlines: its border.
        sheet_mm: size of every sheet.
        gap_mm: least distance of two parts.
    """
    items = [Item(id=part, outline=outlines[part], count=n) for part, n in copies.items()]
    layout = nest(
        items, sheet_mm, gap_mm, resolution_mm=RESOLUTION_MM, max_bins=sum(copies.values())
    )
    if layout.unplaced:
        return None
    sheets: list[Counter[str]] = [Counter() for _ in range(layout.bins)]
    for placement in layout.placements:
        sheets[placement.bin][placement.id] += 1
    return sheets
