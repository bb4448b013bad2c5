"""Many rings at once: what lies in what, which are convex, and convex ones moved beside the kerf.

Drawings of thousands of holes are common; what is done ring by ring with a library takes seconds.
"""

from collections.abc import Sequence

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Outline, Points2

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

EXTREMES = (np.minimum, np.maximum)
MOST_STRIPS = 256
"""Strips along x that rings are sorted into."""
BLUNT = 0.5
"""One plus the cosine of the turn of a corner that a mitre of twice the offset still reaches."""


def joined(paths: Sequence[Outline]) -> tuple[Points2, Ints]:
    """All points one after another, and where each path begins, the end of the last one included."""
    starts = np.cumsum([0, *(len(path.points_mm) for path in paths)])
    return np.concatenate([path.points_mm for path in paths]), starts


def boxes_of(points: Points2, starts: Ints) -> Floats:
    """(n, 4) lowest x and y, highest x and y of runs of points.

    Args:
        points: (m, 2) of all runs, one after another.
        starts: (n + 1,) where each begins, and where the last one ends.
    """
    low, high = (extreme.reduceat(points, starts[:-1], axis=0) for extreme in EXTREMES)
    return np.hstack([low, high])


def areas_mm2(points: Points2, starts: Ints) -> Floats:
    """(n,) signed areas of rings (shoelace formula), positive counter-clockwise."""
    firsts = np.repeat(points[starts[:-1]], np.diff(starts), axis=0)
    x, y = (points - firsts).T
    cross = np.append(x[:-1] * y[1:] - x[1:] * y[:-1], 0.0)
    cross[starts[1:] - 1] = 0.0  # the closing edge ends at (0, 0), and no ring leads into the next
    return np.asarray(np.add.reduceat(cross, starts[:-1]) / 2)


def lengths_mm(paths: Sequence[Outline]) -> Floats:
    """(n,) length of each path, closing chords included."""
    if not paths:
        return np.zeros(0)
    points, starts = joined(paths)
    after = np.concatenate([points[1:], points[:1]])
    last = starts[1:] - 1
    closed = np.array([path.closed for path in paths])
    after[last] = np.where(closed[:, None], points[starts[:-1]], points[last])
    return np.asarray(np.add.reduceat(np.hypot(*(after - points).T), starts[:-1]))


def parents_of(paths: Sequence[Outline]) -> Ints:
    """The smallest closed outline around each path.

    Args:
        paths: any paths of two points or more; open ones are inside others, never around them.

    Returns:
        (n,) index of the outline around each; -1 where there is none.
    """
    parents = np.full(len(paths), -1, dtype=np.int64)
    if not paths:
        return parents
    points, starts = joined(paths)
    closed = np.array([path.closed for path in paths])
    areas = np.where(closed, np.abs(areas_mm2(points, starts)), 0.0)
    middles = (points[starts[:-1]] + points[starts[:-1] + 1]) / 2
    boxes = boxes_of(points, starts)
    _parents(points, starts, boxes, areas, middles, *_strips(boxes, closed, middles), parents)
    return parents


def _strips(boxes: Floats, closed: Flags, middles: Points2) -> tuple[Ints, Ints, Ints]:
    """Closed rings by strips along x: who is in each, where each begins, each path's own strip."""
    low, high = boxes[:, 0].min(), boxes[:, 2].max()
    count = min(MOST_STRIPS, len(boxes))
    wide = max((high - low) / count, 1e-9)
    first, last, own = (
        np.clip(((x - low) / wide).astype(np.int64), 0, count - 1)
        for x in (boxes[:, 0], boxes[:, 2], middles[:, 0])
    )
    spans = np.where(closed, last - first + 1, 0)
    owner = np.repeat(np.arange(len(boxes)), spans)
    strip = np.arange(len(owner)) - np.repeat(np.cumsum(spans) - spans, spans) + first[owner]
    order = np.argsort(strip, kind="stable")
    return owner[order], np.searchsorted(strip[order], np.arange(count + 1)), own


@njit(cache=True, nogil=True)
def _inside(x: Floats, y: Floats, px: float, py: float) -> bool:
    """Whether a point lies in a ring, by the even-odd rule."""
    odd = False
    j = x.size - 1
    for i in range(x.size):
        if (y[i] > py) != (y[j] > py):
            odd ^= px < x[i] + (py - y[i]) * (x[j] - x[i]) / (y[j] - y[i])
        j = i
    return odd


@njit(cache=True, nogil=True)
def _parents(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    points: Floats,
    starts: Ints,
    boxes: Floats,
    areas: Floats,
    middles: Floats,
    members: Ints,
    begins: Ints,
    own: Ints,
    parents: Ints,
) -> None:
    """Fill in the smallest closed ring around each path, by the middle of its first edge."""
    for i in range(areas.size):
        least = np.inf
        for k in range(begins[own[i]], begins[own[i] + 1]):
            j = members[k]
            around = areas[i] < areas[j] < least
            around = around and boxes[j, 0] <= boxes[i, 0] and boxes[j, 1] <= boxes[i, 1]
            around = around and boxes[j, 2] >= boxes[i, 2] and boxes[j, 3] >= boxes[i, 3]
            if around:
                ring = points[starts[j] : starts[j + 1]]
                if _inside(ring[:, 0], ring[:, 1], middles[i, 0], middles[i, 1]):
                    parents[i] = j
                    least = areas[j]


def depths_of(parents: Ints) -> Ints:
    """(n,) how many outlines lie around each path."""
    depths = np.zeros(len(parents), dtype=np.int64)
    above = parents.copy()
    while (above >= 0).any():
        depths += above >= 0
        above = np.where(above >= 0, parents[above], -1)
    return depths


def convex_of(points: Points2, starts: Ints) -> Flags:
    """(n,) which rings are convex: they turn to one side, and once around."""
    found = np.empty(len(starts) - 1, dtype=np.bool_)
    _convex(points, starts, areas_mm2(points, starts) > 0, found)
    return found


@njit(cache=True, nogil=True)
def _convex(points: Floats, starts: Ints, left: Flags, found: Flags) -> None:
    for i in range(found.size):
        begin, count = starts[i], starts[i + 1] - starts[i]
        side = 1.0 if left[i] else -1.0
        rises, found[i] = 0, count > 2
        for k in range(count):
            a, b = points[begin + k], points[begin + (k + 1) % count]
            c = points[begin + (k + 2) % count]
            turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
            still = a[0] == b[0] and a[1] == b[1]
            if still or side * turn < 0.0:
                found[i] = False
                break
            rises += (b[1] - a[1] < 0.0) and (c[1] - b[1] >= 0.0)
        found[i] = found[i] and rises == 1


def moved_convex(points: Points2, starts: Ints, shifts_mm: Floats) -> tuple[Points2, Flags]:
    """Convex rings moved outwards with mitred corners, without any library.

    Args:
        points: (m, 2) of all rings.
        starts: (n + 1,) where each begins, and where the last one ends.
        shifts_mm: (n,) how far each is moved outwards; below zero inwards.

    Returns:
        (m, 2) points in the same places, and (n,) whether they are right: the ring is convex, no
        corner is too sharp for its mitre, and no edge is lost.
    """
    moved, right = np.empty_like(points), convex_of(points, starts)
    left = areas_mm2(points, starts) > 0
    _moved(points, starts, np.where(left, shifts_mm, -shifts_mm), moved, right)
    return moved, right


@njit(cache=True, nogil=True)
def _moved(points: Floats, starts: Ints, right_mm: Floats, moved: Floats, right: Flags) -> None:
    """Move every corner along its mitre, to the right of the way around the ring."""
    for i in range(right.size):
        if not right[i]:
            continue
        begin, count = starts[i], starts[i + 1] - starts[i]
        before = _along(points, begin, count, count - 1)
        for k in range(count):
            after = _along(points, begin, count, k)
            blunt = 1.0 + before[0] * after[0] + before[1] * after[1]
            right[i] &= blunt >= BLUNT
            reach = right_mm[i] / max(blunt, BLUNT)
            moved[begin + k, 0] = points[begin + k, 0] + reach * (before[1] + after[1])
            moved[begin + k, 1] = points[begin + k, 1] - reach * (before[0] + after[0])
            before = after
        for k in range(count):
            was, now = _along(points, begin, count, k), _along(moved, begin, count, k)
            right[i] &= was[0] * now[0] + was[1] * now[1] > 0.0


@njit(cache=True, nogil=True)
def _along(points: Floats, begin: int, count: int, k: int) -> tuple[float, float]:
    """Direction of an edge of a ring."""
    a, b = points[begin + k], points[begin + (k + 1) % count]
    x, y = b[0] - a[0], b[1] - a[1]
    long = np.sqrt(x * x + y * y)
    return (x / long, y / long) if long > 0.0 else (0.0, 0.0)
