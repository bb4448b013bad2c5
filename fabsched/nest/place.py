"""Parts onto beds and sheets: each as far left, then as low, as it goes, in an order that is searched.

Parts are grown by half the gap and drawn as pixels that cover them, which keeps the gap whatever
the rounding; a check that shares nothing with it measures every layout before it is handed out.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from fabsched.model.errors import PlanRejected
from fabsched.model.shapes import turned
from fabsched.nest.drawn import drawn_on_pixels
from fabsched.nest.filling import ANCHORS, search
from fabsched.nest.raster import ROUNDING_MM
from fabsched.nest.records import TURNS, Bin, Item, Layout, Ring, Task
from fabsched.nest.settle import settled_layout
from fabsched.nest.verify import faults

RESOLUTION_MM = 0.5
"""Side of a pixel: finer ones cost four times the work for each percent of the sheet."""
EFFORT = 120_000_000
"""Runs of pixels looked at for a good layout: about three quarters of a second of one core."""

NEAREST = 0.75
"""How much finer than wanted pixels may become to fit the parts, as a share."""


def nest(  # noqa: PLR0913 - all but the first three have defaults
    items: Sequence[Item],
    bins: Sequence[Bin],
    gap_mm: float,
    *,
    turns: Sequence[float] = TURNS,
    resolution_mm: float = RESOLUTION_MM,
    effort: int = 0,
    seed: int = 0,
) -> Layout:
    """Place parts on beds or sheets.

    Every part goes into the first bin that has room for it, as far left as it goes there; its place may
    be inside a hole of another part. Without effort the largest part comes first and that is the layout;
    with it, twenty orders are tried and the best one is varied, and at last everything is pushed
    together.

    Args:
        items: what to place; ids differ.
        bins: where, in the order they are filled.
        gap_mm: least distance of two parts; parts may touch the border of the bin. From areas that are
            kept out they stay away by it.
        turns: angles allowed for items that do not say so themselves, in degrees.
        resolution_mm: side of a pixel.
        effort: how many runs of pixels are looked at to find a better layout; see `EFFORT`.
        seed: of the variations.

    Returns:
        The layout that leaves out least, then takes fewest bins, then least of the last one. The
        same input gives the same layout.

    Raises:
        PlanRejected: the check found the layout at fault, which would be an error of ours.
    """
    items = without_small_holes(items)
    if not bins or not any(item.count for item in items):
        return Layout(
            placements=(), unplaced=tuple((i.id, k) for i in items for k in range(i.count))
        )
    task = Task(items=items, bins=bins, gap_mm=gap_mm, turns=turns)
    if effort:
        layout = _searched(task, tuned_mm(task, resolution_mm), effort, seed)
        pushed = settled_layout(layout, items, bins, gap_mm)
        layout = layout if layout_faults(pushed, items, bins, gap_mm) else pushed
    else:
        layout = _searched(task, resolution_mm, effort, seed)
    if found := layout_faults(layout, items, bins, gap_mm):
        raise PlanRejected("; ".join(found))
    return layout


def without_small_holes(items: Sequence[Item]) -> list[Item]:
    """Items without the holes that even the smallest of them is too large for."""
    sides = [min(np.ptp(np.array(item.outline), axis=0)) for item in items if item.count]
    least = min(sides, default=0.0) * math.sqrt(0.5)  # a square turned by an eighth is wider
    return [
        replace(item, holes=tuple(h for h in item.holes if min(np.ptp(h, axis=0)) > least))
        for item in items
    ]


def tuned_mm(task: Task, resolution_mm: float) -> float:
    """A side of pixels near the one wanted at which parts waste least by being rounded up.

    Parts of one project often have sides that are multiples of one length; pixels of that length, or
    of a fraction of it, fit them exactly.

    Args:
        task: what is laid out; the height of its last bin counts as well.
        resolution_mm: the side wanted.

    Returns:
        A side between three quarters of the one wanted and that.
    """
    sides = (
        np.concatenate([np.ptp(np.array(item.outline), axis=0) for item in task.items])
        + task.gap_mm
    )
    weights = np.repeat([float(item.count) for item in task.items], 2)
    high = task.bins[-1].size_mm[1] + task.gap_mm
    steps = [
        (side, math.ceil(side / resolution_mm) + k) for side in (*sides, high) for k in range(6)
    ]
    tried = {resolution_mm, *(side / parts for side, parts in steps)}
    near = sorted((r for r in tried if r >= NEAREST * resolution_mm), reverse=True)

    def waste(pixel_mm: float) -> float:
        rounded = np.ceil((sides - ROUNDING_MM) / pixel_mm) * pixel_mm
        unused = high - math.floor((high + ROUNDING_MM) / pixel_mm) * pixel_mm
        return float((weights * (rounded - sides)).sum() / (weights * sides).sum()) + unused / high

    return float(min(near, key=lambda pixel_mm: round(waste(pixel_mm), 9)))


def _searched(task: Task, resolution_mm: float, effort: int, seed: int) -> Layout:
    """The layout of the best trial."""
    drawn = drawn_on_pixels(task, resolution_mm)
    orders = orders_of(task.items)
    genes, spots, _ = search(drawn.shapes, drawn.rooms, orders, chance_of(seed), effort)
    return drawn.laid_out(genes[0], spots)


def chance_of(seed: int) -> NDArray[np.uint64]:
    """The state of a source of chance: any odd number will do, it must not be zero."""
    return np.array([(seed * 2 + 1) * 0x9E3779B97F4A7C15 % 2**64], dtype=np.uint64)


def orders_of(items: Sequence[Item]) -> NDArray[np.int64]:
    """(orders, 4, copies) genes to begin with: five measures of size, each with every anchor."""
    counts = np.array([item.count for item in items], dtype=np.int64)
    copies = np.repeat(np.arange(len(items)), counts)
    orders = []
    for size in _sizes(items):
        order = copies[np.argsort(-size[copies], kind="stable")]
        for anchor in range(ANCHORS):
            pick, top = np.full_like(order, -1), np.zeros_like(order)
            orders.append([order, pick, top, np.full_like(order, anchor)])
    return np.array(orders, dtype=np.int64)


def _sizes(items: Sequence[Item]) -> NDArray[np.float64]:
    """(5, items) area of the box, area of the hull, longest side, girth, and box times side."""
    rings = [np.array(item.outline, dtype=np.float64) for item in items]
    sides = np.array([np.ptp(ring, axis=0) for ring in rings])
    box, longest = sides.prod(axis=1), sides.max(axis=1)
    hull = [CrossSection([ring]).hull().area() for ring in rings]
    girth = [np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum() for ring in rings]
    return np.array([box, hull, longest, girth, box * longest], dtype=np.float64)


def layout_faults(
    layout: Layout, items: Sequence[Item], bins: Sequence[Bin], gap_mm: float
) -> tuple[str, ...]:
    """What is wrong with a layout, by exact distances and areas; nothing if all is well."""
    known: Mapping[str, Item] = {item.id: item for item in items}
    found: list[str] = []
    for number in range(layout.bins):
        parts = [p.rings_mm(known[p.id]) for p in layout.placements if p.bin == number]
        lines = faults(parts, bins[number], gap_mm)
        found.extend(f"bin {number}: {line}" for line in lines)
    return tuple(found)


def fits(outline: Ring, bed_mm: tuple[float, float], *, turns: Sequence[float] = TURNS) -> bool:
    """Whether a part fits a bed in one of the ways it may be turned.

    Args:
        outline: its outer border.
        bed_mm: width and height of the bed.
        turns: angles allowed, in degrees.
    """
    points = np.array(outline, dtype=np.float64)
    sides = (np.ptp(turned(points, turn), axis=0) for turn in turns)
    return any(bool((side <= np.add(bed_mm, ROUNDING_MM)).all()) for side in sides)
