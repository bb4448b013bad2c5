"""Overlapping parts moved apart: kernels without Python in them.

One part after another is put where it overlaps the others least, by a metric that counts every pair
the more the longer it has been in each other's way (guided local search for packing: Egeblad, Nielsen
& Odgaard, EJOR 183(3), 2007; Umetani et al., ITOR 16(6), 2009; from memory). How far two overlap is the
shortest way out of their no-fit polygon.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.nest.nofit import NoFit
from fabsched.nest.raster import Floats

Ints = NDArray[np.int64]

TOUCHING_MM = 1e-6
"""Parts that overlap by less touch."""
ANYWHERE, NEARBY, KEPT = 16, 8, 3
"""Places looked at all over the bin and around a part, and how many of them are followed (measured)."""
ROUNDS = 30
"""Rounds without gain before the least overlapping state is taken up again (measured: a third and three
times as many lead to less)."""
STRIKES = 3
"""How often that may come to nothing (measured)."""
GAIN = 0.98
"""What counts as a gain: the overlap that is left, as a share."""
GROWTH, GROWTH_MORE, FADING = 1.2, 0.8, 0.95
"""By how much a pair counts more, by how much in addition the worst one, and how that fades."""
STEP, LEAST_STEP = 0.1, 0.02
"""First and last steps of a descent, as a share of a part's width."""
SNAPS = 8
"""How often a part is fitted exactly between others, each time nearer, before it is left there."""
LINES = 6
"""Contacts looked at when a part is fitted exactly between others."""
CLOSE_MM = 0.02
"""Borders so near a part count as contacts."""


class Lie(NamedTuple):
    """How everything lies.

    Attributes:
        pose: (copies,) of every copy.
        at: (copies, 2) lower left corner of each one's box in mm.
        item: (copies,) item of every copy.
    """

    pose: Ints
    at: Floats
    item: Ints


@njit(cache=True, nogil=True)
def _chance(state: NDArray[np.uint64]) -> float:
    """A number from 0 up to but without 1 (xorshift64*; Vigna 2016, from memory)."""
    s = state[0]
    s ^= s >> np.uint64(12)
    s ^= s << np.uint64(25)
    s ^= s >> np.uint64(27)
    state[0] = s
    return float((s * np.uint64(2685821657736338717)) >> np.uint64(11)) / 9007199254740992.0


@njit(cache=True, nogil=True)
def _depth(edges: Floats, first: int, end: int, x: float, y: float) -> float:
    """How far a point lies inside of an area; 0 outside."""
    inside = False
    for k in range(first, end):
        above = y - edges[k, 1]
        crossed = (above < 0.0) != (edges[k, 3] > y)
        if crossed and x < edges[k, 0] + above * edges[k, 4] / edges[k, 5]:
            inside = not inside
    if not inside:
        return 0.0
    least = np.inf
    for k in range(first, end):
        away_x, away_y = _away(edges, k, x, y)
        least = min(least, away_x * away_x + away_y * away_y)
    return math.sqrt(least)


@njit(cache=True, nogil=True)
def _away(edges: Floats, k: int, x: float, y: float) -> tuple[float, float]:
    """From the nearest point of an edge to a point."""
    px, py = x - edges[k, 0], y - edges[k, 1]
    share = min(1.0, max(0.0, (px * edges[k, 4] + py * edges[k, 5]) * edges[k, 6]))
    return px - share * edges[k, 4], py - share * edges[k, 5]


@njit(cache=True, nogil=True)
def _beside(boxes: Floats, k: int, x: float, y: float, slack: float) -> bool:
    """Whether a point lies outside of a box, by more than the slack."""
    if x <= boxes[k, 0] - slack or x >= boxes[k, 2] + slack:
        return True
    return bool(y <= boxes[k, 1] - slack or y >= boxes[k, 3] + slack)


@njit(cache=True, nogil=True)
def _overlap(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    fits: NoFit, lie: Lie, weights: Floats, part: int, pose: int, x: float, y: float, bound: float
) -> float:
    """What a copy overlaps the others by if it lay elsewhere, weighed; no more exact above the bound."""
    total, poses = 0.0, fits.sizes.shape[0]
    for other in range(lie.pose.size):
        if other == part:
            continue
        dx, dy = x - lie.at[other, 0], y - lie.at[other, 1]
        pair = lie.pose[other] * poses + pose
        if _beside(fits.boxes, pair, dx, dy, 0.0):
            continue
        depth = _depth(fits.edges, fits.begin[pair], fits.begin[pair + 1], dx, dy)
        if depth > TOUCHING_MM:
            total += weights[part, other] * depth
            if total >= bound:
                break
    return total


@njit(cache=True, nogil=True)
def _within(most: float, value: float) -> float:
    """The nearest number from 0 to the most."""
    return max(0.0, min(most, value))


@njit(cache=True, nogil=True)
def _descended(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    fits: NoFit,
    lie: Lie,
    weights: Floats,
    part: int,
    spot: Floats,
    room: Floats,
    state: NDArray[np.uint64],
) -> None:
    """Move a spot (overlap, pose, x, y) downhill along the sides and diagonals, in ever smaller steps."""
    pose = int(spot[1])
    wide, high = fits.sizes[pose]
    step = STEP * wide
    while step > LEAST_STEP * wide and spot[0] > 0.0:
        way = int(_chance(state) * 4)
        dx, dy = step * (way != 1), step * (way != 0)
        dy = -dy if way == 3 else dy
        better = False
        for sign in (1.0, -1.0):
            x = _within(room[0] - wide, spot[2] + sign * dx)
            y = _within(room[1] - high, spot[3] + sign * dy)
            value = _overlap(fits, lie, weights, part, pose, x, y, spot[0])
            if value < spot[0]:
                spot[0], spot[2], spot[3], better = value, x, y, True
                break
        step *= 1.1 if better else 0.5


@njit(cache=True, nogil=True)
def _contacts(fits: NoFit, lie: Lie, part: int, spot: Floats, lines: Floats) -> int:
    """The nearest edges of areas a spot lies in or beside.

    Args:
        fits: the areas.
        lie: how everything lies.
        part: the copy.
        spot: overlap, pose, x and y.
        lines: filled with a point and the direction of each, and the nearest point on it.

    Returns:
        How many there are.
    """
    found, poses = 0, fits.sizes.shape[0]
    for other in range(lie.pose.size):
        dx, dy = spot[2] - lie.at[other, 0], spot[3] - lie.at[other, 1]
        pair = lie.pose[other] * poses + int(spot[1])
        if other == part or found == LINES or _beside(fits.boxes, pair, dx, dy, CLOSE_MM):
            continue
        first, end = fits.begin[pair], fits.begin[pair + 1]
        edge, away_x, away_y = _nearest(fits.edges, first, end, dx, dy)
        if away_x**2 + away_y**2 > CLOSE_MM**2 and _depth(fits.edges, first, end, dx, dy) == 0.0:
            continue
        line, long = lines[found], math.sqrt(fits.edges[edge, 6])
        line[0], line[1] = fits.edges[edge, 0] + lie.at[other, 0], fits.edges[edge, 1]
        line[1] += lie.at[other, 1]
        line[2], line[3] = fits.edges[edge, 4] * long, fits.edges[edge, 5] * long
        line[4], line[5] = spot[2] - away_x, spot[3] - away_y
        found += 1
    return found


@njit(cache=True, nogil=True)
def _nearest(edges: Floats, first: int, end: int, x: float, y: float) -> tuple[int, float, float]:
    """The edge nearest to a point, and the way from it."""
    best, least, best_x, best_y = first, np.inf, 0.0, 0.0
    for k in range(first, end):
        away_x, away_y = _away(edges, k, x, y)
        square = away_x * away_x + away_y * away_y
        if square < least:
            best, least, best_x, best_y = k, square, away_x, away_y
    return best, best_x, best_y


@njit(cache=True, nogil=True)
def _meeting(one: Floats, other: Floats) -> tuple[float, float]:
    """Where two contacts are kept at once; of one with itself, its nearest point."""
    across = one[2] * other[3] - one[3] * other[2]
    if abs(across) < 1e-6:
        return one[4], one[5]
    share = ((other[0] - one[0]) * other[3] - (other[1] - one[1]) * other[2]) / across
    return one[0] + share * one[2], one[1] + share * one[3]


@njit(cache=True, nogil=True)
def _snapped(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    fits: NoFit,
    lie: Lie,
    weights: Floats,
    part: int,
    spot: Floats,
    room: Floats,
    lines: Floats,
) -> None:
    """Fit a spot exactly between the borders around it, as long as that is a gain."""
    pose = int(spot[1])
    wide, high = fits.sizes[pose]
    for _ in range(SNAPS):
        before = spot[0]
        found = _contacts(fits, lie, part, spot, lines)
        from_x, from_y = spot[2], spot[3]
        for i in range(found):
            for j in range(i, found):
                x, y = _meeting(lines[i], lines[j])
                if max(abs(x - from_x), abs(y - from_y)) > 0.5 * max(wide, high):
                    continue
                x, y = _within(room[0] - wide, x), _within(room[1] - high, y)
                value = _overlap(fits, lie, weights, part, pose, x, y, spot[0])
                if value < spot[0]:
                    spot[0], spot[2], spot[3] = value, x, y
        if spot[0] <= 0.0 or spot[0] >= before:
            break


@njit(cache=True, nogil=True)
def _looked_around(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    fits: NoFit,
    lie: Lie,
    weights: Floats,
    part: int,
    spots: Floats,
    room: Floats,
    state: NDArray[np.uint64],
) -> None:
    """Fill the spots behind the first with the best of some by chance, best first."""
    item, last = lie.item[part], spots.shape[0] - 1
    spots[1:, 0] = np.inf
    for trial in range(ANYWHERE + NEARBY):
        some = fits.poses[item + 1] - fits.poses[item]
        pose = fits.poses[item] + int(_chance(state) * some)
        wide, high = fits.sizes[pose]
        x, y = _chance(state) * max(0.0, room[0] - wide), _chance(state) * max(0.0, room[1] - high)
        if trial >= ANYWHERE:
            x = _within(room[0] - wide, lie.at[part, 0] + 0.5 * (_chance(state) - 0.5) * wide)
            y = _within(room[1] - high, lie.at[part, 1] + 0.5 * (_chance(state) - 0.5) * high)
        value = _overlap(fits, lie, weights, part, pose, x, y, spots[last, 0])
        if value < spots[last, 0]:
            rank = last
            while rank > 0 and spots[rank - 1, 0] > value:
                spots[rank] = spots[rank - 1]
                rank -= 1
            spots[rank, 0], spots[rank, 1], spots[rank, 2], spots[rank, 3] = value, pose, x, y


@njit(cache=True, nogil=True)
def _moved(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    fits: NoFit,
    lie: Lie,
    weights: Floats,
    part: int,
    room: Floats,
    work: tuple[Floats, Floats],
    state: NDArray[np.uint64],
) -> None:
    """Put a copy where it overlaps least."""
    spots, lines = work
    now = _overlap(
        fits, lie, weights, part, lie.pose[part], lie.at[part, 0], lie.at[part, 1], np.inf
    )
    if now <= 0.0:
        return
    spots[0, 0], spots[0, 1] = now, lie.pose[part]
    spots[0, 2], spots[0, 3] = lie.at[part, 0], lie.at[part, 1]
    _looked_around(fits, lie, weights, part, spots, room, state)
    best = 0
    for k in range(spots.shape[0]):
        if spots[k, 0] < np.inf and spots[best, 0] > 0.0:
            _descended(fits, lie, weights, part, spots[k], room, state)
            best = k if spots[k, 0] < spots[best, 0] else best
    _snapped(fits, lie, weights, part, spots[best], room, lines)
    if spots[best, 0] < now:
        lie.pose[part] = int(spots[best, 1])
        lie.at[part, 0], lie.at[part, 1] = spots[best, 2], spots[best, 3]


@njit(cache=True, nogil=True)
def _measured(fits: NoFit, lie: Lie, depths: Floats) -> float:
    """How far everything overlaps in all, and each pair."""
    total, poses = 0.0, fits.sizes.shape[0]
    for part in range(lie.item.size):
        for other in range(lie.pose.size):
            depth = 0.0
            pair = lie.pose[other] * poses + lie.pose[part]
            dx, dy = lie.at[part, 0] - lie.at[other, 0], lie.at[part, 1] - lie.at[other, 1]
            if other != part and not _beside(fits.boxes, pair, dx, dy, 0.0):
                depth = _depth(fits.edges, fits.begin[pair], fits.begin[pair + 1], dx, dy)
            depths[part, other] = depth if depth > TOUCHING_MM else 0.0
            total += depths[part, other]
    return total


@njit(cache=True, nogil=True)
def _weigh(weights: Floats, depths: Floats) -> None:
    """Let pairs that overlap count more, and the others less again."""
    most = depths.max()
    for i in range(weights.shape[0]):
        for j in range(weights.shape[1]):
            if depths[i, j] > 0.0:
                weights[i, j] *= GROWTH + GROWTH_MORE * depths[i, j] / most
            else:
                weights[i, j] = max(1.0, weights[i, j] * FADING)


@njit(cache=True, nogil=True)
def _shuffle(order: Ints, state: NDArray[np.uint64]) -> None:
    for i in range(order.size - 1, 0, -1):
        j = int(_chance(state) * (i + 1))
        order[i], order[j] = order[j], order[i]


@njit(cache=True, nogil=True)
def separated(
    fits: NoFit, lie: Lie, room: Floats, state: NDArray[np.uint64], halt: NDArray[np.uint8]
) -> float:
    """Move overlapping copies apart within a rectangle.

    Args:
        fits: no-fit polygons.
        lie: how everything lies, boxes within the rectangle; changed in place to what overlaps least.
        room: (2,) width and height.
        state: (1,) of the source of chance, not zero.
        halt: (1,) anything but 0 ends it at once; may be set by another thread.

    Returns:
        How far everything still overlaps: 0 for a sound layout.
    """
    copies = lie.item.size
    weights, depths = np.ones((copies, lie.pose.size)), np.zeros((copies, lie.pose.size))
    work = (np.empty((KEPT, 4)), np.empty((LINES, 6)))
    order = np.arange(copies)
    least = _measured(fits, lie, depths)
    pose, at, strikes = lie.pose.copy(), lie.at.copy(), 0
    while strikes < STRIKES and least > 0.0 and halt[0] == 0:
        begun, idle = least, 0
        while idle < ROUNDS and halt[0] == 0:
            _shuffle(order, state)
            for k in range(copies):
                _moved(fits, lie, weights, order[k], room, work, state)
            total = _measured(fits, lie, depths)
            idle = 0 if total < GAIN * least else idle + 1
            if total < least:
                least, pose[:], at[:] = total, lie.pose, lie.at
            if total <= 0.0:
                break
            _weigh(weights, depths)
        lie.pose[:], lie.at[:] = pose, at
        _measured(fits, lie, depths)
        strikes = 0 if least < GAIN * begun else strikes + 1
    return least
