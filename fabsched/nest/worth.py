"""What makes one layout better than another, and how long one is looked for."""

from collections.abc import Sequence
from dataclasses import dataclass

from fabsched.nest.poses import area_of
from fabsched.nest.records import Bin, Item, Layout, points_of

Score = tuple[int, int, float, float]
"""Copies left out, sheets used, their area in mm^2, and how much of the last one is used, in mm: less is
better, the first that differs decides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How long and how hard to try.

    Attributes:
        seconds: in all.
        threads: for the search.
        seed: of its chance.
        portions: how many portions of work the placer of pixels does at most, so that the same comes of
            it on any computer; 0 for as many as the time allows.
    """

    seconds: int = 60
    threads: int = 1
    seed: int = 0
    portions: int = 0


USUAL = Effort()
"""A minute on one core."""


def score_of(layout: Layout, items: Sequence[Item], bins: Sequence[Bin]) -> Score:
    """How good a layout is."""
    used = sorted({placement.bin for placement in layout.placements})
    area = sum(bin_mm2(bins[number]) for number in used)
    return len(layout.unplaced), len(used), area, used_mm(layout, items, layout.bins - 1)


def bin_mm2(room: Bin) -> float:
    """Area of a bed, sheet or offcut; what stays free counts, for it is bought as well."""
    if room.outline:
        return float(area_of(points_of(room.outline)).area())
    return room.size_mm[0] * room.size_mm[1]


def used_mm(layout: Layout, items: Sequence[Item], number: int) -> float:
    """How far right the parts in a bin reach."""
    known = {item.id: item for item in items}
    return max(
        (
            float(p.outline_mm(known[p.id].outline)[:, 0].max())
            for p in layout.placements
            if p.bin == number
        ),
        default=0.0,
    )
