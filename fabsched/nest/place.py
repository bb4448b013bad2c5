"""Parts onto beds and sheets: each as far left, then as low, as it goes, the largest first.

Parts are grown by half the gap and drawn as pixels that cover them, which keeps the gap whatever
the rounding; a check that shares nothing with it measures every layout before it is handed out.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from fabsched.model.errors import PlanRejected
from fabsched.model.shapes import Points2
from fabsched.nest.bins import Bins, Spot
from fabsched.nest.poses import Pose, poses_of, turned
from fabsched.nest.raster import ROUNDING_MM
from fabsched.nest.verify import problems

TURNS = (0.0, 90.0, 180.0, 270.0)
"""Quarter turns: plywood has a grain, and prints look different along other angles."""
RESOLUTION_MM = 0.5
"""Side of a pixel: finer ones cost four times the work for each percent of the sheet."""

VARIATION = 0.25
"""Spread of the areas by which orders are varied, as a logarithm."""

Ring = tuple[tuple[float, float], ...]
"""A closed polygon in mm that does not repeat its first point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A part to be placed.

    Attributes:
        id: its name.
        outline: its outer border; holes are not used.
        count: how many copies of it.

    Raises:
        ValueError: the outline has fewer than three corners, or the count is below zero.
    """

    id: str
    outline: Ring
    count: int = 1

    def __post_init__(self) -> None:
        """Refuse what cannot be placed."""
        if len(self.outline) < 3 or not np.isfinite(self.outline).all():
            raise ValueError(f"{self.id}: an outline has three finite corners or more")
        if self.count < 0:
            raise ValueError(f"{self.id}: a count is not below zero")


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where one copy lies: its outline turned about (0, 0), then moved by (x, y).

    Attributes:
        id: the item.
        copy: number of the copy, from 0.
        bin: number of the bed or sheet, from 0.
        x_mm, y_mm: how far it is moved; (0, 0) is the lower left corner of the bin.
        turn_deg: how far it is turned, counter-clockwise.
    """

    id: str
    copy: int
    bin: int
    x_mm: float
    y_mm: float
    turn_deg: float

    def outline_mm(self, outline: Ring) -> Points2:
        """(n, 2) corners of an outline of the item where this copy lies."""
        points = turned(np.array(outline, dtype=np.float64), self.turn_deg)
        return np.asarray(points + np.array([self.x_mm, self.y_mm]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything lies.

    Attributes:
        placements: in the order they were made.
        unplaced: id and copy of what found no room.
    """

    placements: tuple[Placement, ...]
    unplaced: tuple[tuple[str, int], ...] = ()

    @property
    def bins(self) -> int:
        """How many bins are used."""
        return 1 + max((placement.bin for placement in self.placements), default=-1)


@dataclass(slots=True)
class _Trial:
    """One run over all copies in some order: item and place of each, and items without a place."""

    spots: list[tuple[int, Spot]] = field(default_factory=list)
    missing: list[int] = field(default_factory=list)

    @property
    def rank(self) -> tuple[int, int, int]:
        """Less is better: copies left over, bins used, right edge in the last bin."""
        bins = max((spot.bin for _, spot in self.spots), default=-1)
        right = max((spot.right for _, spot in self.spots if spot.bin == bins), default=0)
        return len(self.missing), bins, right


def nest(  # noqa: PLR0913 - all but the first three have defaults or names
    items: Sequence[Item],
    bin_size_mm: tuple[float, float],
    gap_mm: float,
    *,
    turns: Sequence[float] = TURNS,
    resolution_mm: float = RESOLUTION_MM,
    max_bins: int,
    orders: int = 1,
    random: np.random.Generator | None = None,
) -> Layout:
    """Place parts on beds or sheets.

    Every part goes into the first bin that has room for it; its place there is the one whose right
    edge lies farthest left, then the lowest. The largest part comes first; further orders are
    variations of that.

    Args:
        items: what to place; ids differ.
        bin_size_mm: width and height of every bin.
        gap_mm: least distance of two parts; parts may touch the border of the bin.
        turns: angles allowed, in degrees.
        resolution_mm: side of a pixel.
        max_bins: how many bins there are.
        orders: how many orders are tried; thirty save some hundredths of the sheet.
        random: what varies them; not used for one order.

    Returns:
        The layout that leaves out least, then takes fewest bins, then least of the last one. The
        same input gives the same layout.

    Raises:
        ValueError: further orders are wanted without a source of chance.
        PlanRejected: the check found the layout at fault, which would be an error of ours.
    """
    poses = [_poses(item, gap_mm, turns, resolution_mm) for item in items]
    # Half a gap of the grown parts may stick out of the bin on every side.
    room_mm = bin_size_mm[0] + gap_mm, bin_size_mm[1] + gap_mm
    trials = (
        _tried(order, poses, Bins(room_mm, resolution_mm, max_bins))
        for order in _orders(items, orders, random)
    )
    layout = _laid_out(min(trials, key=lambda trial: trial.rank), items, resolution_mm, gap_mm)
    _check(layout, items, bin_size_mm, gap_mm)
    return layout


def _poses(item: Item, gap_mm: float, turns: Sequence[float], resolution_mm: float) -> list[Pose]:
    return poses_of(np.array(item.outline, dtype=np.float64), gap_mm, turns, resolution_mm)


def _orders(
    items: Sequence[Item], count: int, random: np.random.Generator | None
) -> Iterator[list[int]]:
    """Indices of the items, as often as there are copies, by falling area of their boxes."""
    areas = np.array([np.prod(np.ptp(np.array(item.outline), axis=0)) for item in items])
    counts = np.array([item.count for item in items], dtype=np.int64)
    copies = np.repeat(np.arange(len(items)), counts)
    yield [int(i) for i in copies[np.argsort(-areas[copies], kind="stable")]]
    if count == 1:
        return
    if random is None:
        raise ValueError("more than one order wants a source of chance")
    for _ in range(count - 1):
        varied = areas[copies] * np.exp(VARIATION * random.standard_normal(len(copies)))
        yield [int(i) for i in copies[np.argsort(-varied, kind="stable")]]


def _tried(order: Sequence[int], poses: Sequence[Sequence[Pose]], bins: Bins) -> _Trial:
    trial = _Trial()
    for item in order:
        spot = bins.place(item, poses[item])
        if spot is None:
            trial.missing.append(item)
        else:
            trial.spots.append((item, spot))
    return trial


def _laid_out(trial: _Trial, items: Sequence[Item], resolution_mm: float, gap_mm: float) -> Layout:
    seen: Counter[int] = Counter()
    placements: list[Placement] = []
    for item, spot in trial.spots:
        x, y = (
            pixel * resolution_mm - corner - gap_mm / 2
            for pixel, corner in zip((spot.column, spot.row), spot.pose.corner_mm, strict=True)
        )
        placements.append(
            Placement(
                id=items[item].id,
                copy=seen[item],
                bin=spot.bin,
                x_mm=x,
                y_mm=y,
                turn_deg=spot.pose.turn_deg,
            )
        )
        seen[item] += 1
    unplaced: list[tuple[str, int]] = []
    for item in trial.missing:
        unplaced.append((items[item].id, seen[item]))
        seen[item] += 1
    return Layout(placements=tuple(placements), unplaced=tuple(unplaced))


def _check(
    layout: Layout, items: Sequence[Item], bin_size_mm: tuple[float, float], gap_mm: float
) -> None:
    outlines: Mapping[str, Ring] = {item.id: item.outline for item in items}
    bins: list[list[Points2]] = [[] for _ in range(layout.bins)]
    for placement in layout.placements:
        bins[placement.bin].append(placement.outline_mm(outlines[placement.id]))
    if found := problems(bins, bin_size_mm, gap_mm):
        raise PlanRejected("; ".join(found))


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
    layout = nest([alone], bed_mm, gap_mm, turns=turns, resolution_mm=resolution_mm, max_bins=1)
    return len(layout.placements)
