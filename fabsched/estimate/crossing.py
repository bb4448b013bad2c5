"""Where lines cross: found along one axis, so that drawings of many thousand lines are no trouble."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.estimate.cut_rings import joined
from fabsched.model.shapes import Outline, Points2

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_CROSSINGS = 2000
"""Crossings are counted no further."""
MOST_CELLS = 4096
"""Cells of the grid along its longer side."""
SLACK_MM = 1e-6
"""Added to the extent, so that no cell is without one."""
MOST_SHARE = 8
"""Cells a segment lies in, on average, up to which the grid is worth it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossings:
    """Where lines cross.

    Attributes:
        count: how often, no further than `MOST_CROSSINGS`.
        x_mm, y_mm: one of these places.
    """

    count: int
    x_mm: float
    y_mm: float


def crossings(paths: Sequence[Outline]) -> Crossings | None:
    """Where paths cross each other or themselves; None if they do not. Touching is not crossing.

    Args:
        paths: of two points or more.
    """
    if not paths:
        return None
    points, starts, ends = _segments(paths)
    if _surely_none(points, starts, ends):
        return None
    longest = np.abs(ends - starts).sum(axis=0)
    axes = (
        (0, 1) if longest[0] <= longest[1] else (1, 0)
    )  # the fewer lines side by side, the better
    starts, ends = starts[:, axes], ends[:, axes]
    order = np.argsort(np.minimum(starts[:, 0], ends[:, 0]), kind="stable")
    place = np.zeros(2)
    count = _crossings(starts[order], ends[order], MOST_CROSSINGS, place)
    x_mm, y_mm = (float(place[axis]) for axis in axes)
    return Crossings(count=count, x_mm=x_mm, y_mm=y_mm) if count else None


def _segments(paths: Sequence[Outline]) -> tuple[Points2, Points2, Points2]:
    """All points, and where the segments begin and end, closing ones included."""
    points, begins = joined(paths)
    after = np.concatenate([points[1:], points[:1]])
    after[begins[1:] - 1] = points[begins[:-1]]
    kept = np.ones(len(points), dtype=np.bool_)
    kept[begins[1:] - 1] = [path.closed for path in paths]
    return points, points[kept], after[kept]


def _surely_none(points: Points2, starts: Points2, ends: Points2) -> bool:
    """Whether a grid tells that nothing crosses; long lines across many short ones are not tried."""
    corner = np.array([points[:, axis].min() for axis in (0, 1)])
    extent = np.array([np.ptp(points[:, axis]) for axis in (0, 1)]) + SLACK_MM
    side = max(float(np.sqrt(extent.prod() / len(starts))), float(extent.max()) / MOST_CELLS)
    cells = np.empty((len(starts), 4), dtype=np.int32)
    count = _cells(starts, ends, corner, 1.0 / side, cells)
    if count > MOST_SHARE * len(starts):
        return False
    return not bool(_any_crosses(starts, ends, cells, count))


@njit(cache=True, nogil=True)
def _cells(
    starts: Floats, ends: Floats, corner: Floats, per_mm: float, cells: NDArray[np.int32]
) -> int:
    """Fill in first and last column, first and last row of each segment; return how many in all."""
    count = 0
    for i in range(len(starts)):
        for axis in range(2):
            one = int((starts[i, axis] - corner[axis]) * per_mm)
            other = int((ends[i, axis] - corner[axis]) * per_mm)
            cells[i, 2 * axis], cells[i, 2 * axis + 1] = min(one, other), max(one, other)
        count += (cells[i, 1] - cells[i, 0] + 1) * (cells[i, 3] - cells[i, 2] + 1)
    return count


@njit(cache=True, nogil=True)
def _any_crosses(starts: Floats, ends: Floats, cells: NDArray[np.int32], count: int) -> bool:
    """Whether two segments that share a cell cross."""
    rows = cells[:, 3].max() + 1
    begins = np.zeros((cells[:, 1].max() + 1) * rows + 1, np.int64)
    for i in range(len(starts)):
        for column in range(cells[i, 0], cells[i, 1] + 1):
            for row in range(cells[i, 2], cells[i, 3] + 1):
                begins[column * rows + row] += 1
    begins = np.cumsum(begins)  # the end of each cell, which becomes its begin below
    members = np.empty(count, np.int64)
    for i in range(len(starts)):
        for column in range(cells[i, 0], cells[i, 1] + 1):
            for row in range(cells[i, 2], cells[i, 3] + 1):
                begins[column * rows + row] -= 1
                members[begins[column * rows + row]] = i
    for cell in range(begins.size - 1):
        if _any_within(starts, ends, members[begins[cell] : begins[cell + 1]]):
            return True
    return False


@njit(cache=True, nogil=True)
def _any_within(starts: Floats, ends: Floats, members: Ints) -> bool:
    """Whether two of some segments cross."""
    for one in range(members.size):
        i = members[one]
        for other in range(one):
            j = members[other]
            if crossing(starts[i], ends[i], starts[j], ends[j]):
                return True
    return False


@njit(cache=True, nogil=True)
def _crossings(starts: Floats, ends: Floats, most: int, place: Floats) -> int:
    """Pairs of segments that cross, counted no further than `most`; sorted by their lowest x.

    The first crossing goes into `place`.
    """
    count = 0
    for i in range(len(starts)):
        high_x = max(starts[i, 0], ends[i, 0])
        low_y, high_y = min(starts[i, 1], ends[i, 1]), max(starts[i, 1], ends[i, 1])
        for j in range(i + 1, len(starts)):
            if min(starts[j, 0], ends[j, 0]) > high_x:
                break
            if min(starts[j, 1], ends[j, 1]) > high_y or max(starts[j, 1], ends[j, 1]) < low_y:
                continue
            if crossing(starts[i], ends[i], starts[j], ends[j]):
                if count == 0:
                    _place(starts[i], ends[i], starts[j], ends[j], place)
                count += 1
                if count >= most:
                    return count
    return count


@njit(cache=True, nogil=True)
def _place(c: Floats, d: Floats, e: Floats, f: Floats, place: Floats) -> None:
    """Where two segments cross."""
    one, other = side(e, f, c), side(e, f, d)
    share = one / (one - other)
    place[0] = c[0] + share * (d[0] - c[0])
    place[1] = c[1] + share * (d[1] - c[1])


@njit(cache=True, nogil=True)
def crossing(c: Floats, d: Floats, e: Floats, f: Floats) -> bool:
    """Whether two segments cross in their inside."""
    one = side(c, d, e) * side(c, d, f)
    two = side(e, f, c) * side(e, f, d)
    return bool(one < 0 and two < 0)


@njit(cache=True, nogil=True)
def side(c: Floats, d: Floats, p: Floats) -> float:
    """Positive where p lies to the left of the line from c to d."""
    return float((d[0] - c[0]) * (p[1] - c[1]) - (d[1] - c[1]) * (p[0] - c[0]))
