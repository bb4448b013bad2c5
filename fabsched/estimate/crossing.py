"""Where lines cross: found along one axis, so that drawings of many thousand lines are no trouble."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Outline, Points2

Floats = NDArray[np.float64]

MOST_CROSSINGS = 2000
"""Crossings are counted no further."""


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
    starts = np.concatenate([_starts(path) for path in paths])
    ends = np.concatenate([_ends(path) for path in paths])
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


def _starts(path: Outline) -> Points2:
    return path.points_mm if path.closed else path.points_mm[:-1]


def _ends(path: Outline) -> Points2:
    after = path.points_mm[1:]
    return np.concatenate([after, path.points_mm[:1]]) if path.closed else after


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
