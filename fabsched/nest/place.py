"""Parts onto beds and sheets: each as far left, then as low, as it goes, in an order that is searched.

Parts are grown by half the gap and drawn as pixels that cover them, which keeps the gap whatever
the rounding; a check that shares nothing with it measures every layout before it is handed out.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from fabsched.model.errors import PlanRejected
from fabsched.model.shapes import turned
from fabsched.nest.bins import rooms_of, shapes_of
from fabsched.nest.filling import ANCHORS, Ints, search
from fabsched.nest.poses import Pose, poses_of
from fabsched.nest.raster import ROUNDING_MM
from fabsched.nest.records import Bin, Item, Layout, Placement, Ring, alike
from fabsched.nest.settle import settled_layout
from fabsched.nest.verify import faults

TURNS = (0.0, 90.0, 180.0, 270.0)
"""Quarter turns: plywood has a grain, and prints look different along other angles."""
RESOLUTION_MM = 0.5
"""Side of a pixel: finer ones cost four times the work for each percent of the sheet."""
EFFORT = 120_000_000
"""Runs of pixels looked at for a good layout: about three quarters of a second of one core."""

NEAREST = 0.75
"""How much finer than wanted pixels may become to fit the parts, as a share."""

Poses = Sequence[Sequence[Pose]]


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
    if effort:
        resolution_mm = tuned_mm(items, bins[-1], gap_mm, resolution_mm)
    poses = [item_poses(item, gap_mm, turns, resolution_mm) for item in items]
    genes, spots = _searched(items, bins, poses, gap_mm, resolution_mm, (effort, seed))
    layout = laid_out(genes[0], spots, items, poses, resolution_mm, gap_mm)
    if effort:
        pushed = settled_layout(layout, items, bins, gap_mm)
        layout = layout if layout_faults(pushed, items, bins, gap_mm) else pushed
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


def tuned_mm(items: Sequence[Item], room: Bin, gap_mm: float, resolution_mm: float) -> float:
    """A side of pixels near the one wanted at which parts waste least by being rounded up.

    Parts of one project often have sides that are multiples of one length; pixels of that length, or
    of a fraction of it, fit them exactly.

    Args:
        items: what is laid out.
        room: the last of the bins; its height counts as well.
        gap_mm: least distance of two parts.
        resolution_mm: the side wanted.

    Returns:
        A side between three quarters of the one wanted and that.
    """
    sides = np.concatenate([np.ptp(np.array(item.outline), axis=0) for item in items]) + gap_mm
    weights = np.repeat([float(item.count) for item in items], 2)
    high = room.size_mm[1] + gap_mm
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


def item_poses(
    item: Item, gap_mm: float, turns: Sequence[float], resolution_mm: float
) -> list[Pose]:
    """An item in every way it may be turned; see `poses_of`."""
    outline = np.array(item.outline, dtype=np.float64)
    holes = [np.array(hole, dtype=np.float64) for hole in item.holes]
    return poses_of(outline, gap_mm, item.turns_deg or turns, resolution_mm, holes)


def _searched(
    items: Sequence[Item],
    bins: Sequence[Bin],
    poses: Poses,
    gap_mm: float,
    resolution_mm: float,
    effort_and_seed: tuple[int, int],
) -> tuple[Ints, Ints]:
    """Genes and places of all copies in the best trial."""
    effort, seed = effort_and_seed
    shapes, rooms = shapes_of(poses), rooms_of(bins, poses, gap_mm, resolution_mm)
    genes, spots, _ = search(shapes, rooms, orders_of(items), chance_of(seed), effort)
    return genes, spots


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


def laid_out(
    order: Ints,
    spots: Ints,
    items: Sequence[Item],
    poses: Poses,
    resolution_mm: float,
    gap_mm: float,
) -> Layout:
    """The layout in mm of copies on pixels.

    Args:
        order: (copies,) item of each.
        spots: (copies, 4) bin (-1 for none), pose, column and row of each.
        items: what is laid out.
        poses: of each item.
        resolution_mm: side of a pixel.
        gap_mm: least distance of two parts.
    """
    flat = [pose for ways in poses for pose in ways]
    seen: Counter[int] = Counter()
    placements: list[Placement] = []
    for item, (number, index, column, row) in zip(order.tolist(), spots.tolist(), strict=True):
        if number < 0:
            continue
        pose, copy = flat[index], seen[item]
        x, y = (
            pixel * resolution_mm - corner - gap_mm / 2
            for pixel, corner in zip((column, row), pose.corner_mm, strict=True)
        )
        placements.append(
            Placement(
                id=items[item].id, copy=copy, bin=number, x_mm=x, y_mm=y, turn_deg=pose.turn_deg
            )
        )
        seen[item] += 1
    left = ((i, k) for i, item in enumerate(items) for k in range(seen[i], item.count))
    return Layout(placements=tuple(placements), unplaced=tuple((items[i].id, k) for i, k in left))


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


def capacity(
    item: Item,
    bed_mm: tuple[float, float],
    gap_mm: float,
    *,
    turns: Sequence[float] = TURNS,
    resolution_mm: float = RESOLUTION_MM,
) -> int:
    """How many copies of one item fit one bed, as `nest` places them.

    Args:
        item: the part; its own count is left aside.
        bed_mm: width and height of the bed.
        gap_mm: least distance of two copies.
        turns: angles allowed, in degrees.
        resolution_mm: side of a pixel.
    """
    x, y = np.array(item.outline, dtype=np.float64).T
    area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    most = math.ceil((bed_mm[0] + gap_mm) * (bed_mm[1] + gap_mm) / max(area, resolution_mm**2))
    alone = replace(item, count=most)
    layout = nest([alone], alike(bed_mm, 1), gap_mm, turns=turns, resolution_mm=resolution_mm)
    return len(layout.placements)
