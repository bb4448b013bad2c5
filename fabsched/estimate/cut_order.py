"""In which order outlines are run over: what lies inside first, then whatever is nearest."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.estimate.cut_rings import joined, parents_of
from fabsched.model.shapes import Outline, Points2

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_ENTRIES = 16
"""Points of a closed outline at which it may be entered."""
MOST_LOOKS = 300_000_000
"""Entries are thinned out so that no more distances than this are looked at."""


REFRESH = 256
"""After so many paths the entries of those that are done are forgotten."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One path as it is run over.

    Attributes:
        points_mm: (n, 2) in order; a closed path ends where it begins.
        path: index of the path among those given.
        closed: whether the path is.
    """

    points_mm: Points2
    path: int
    closed: bool


@njit(cache=True, nogil=True)
def _order(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    x: Floats,
    y: Floats,
    leave: Floats,
    owner: Ints,
    waiting: Ints,
    parents: Ints,
    start: Floats,
    chosen: Ints,
) -> None:
    """Fill in the entry taken for each step: the nearest one of a path that waits for nothing."""
    done = np.zeros(waiting.size, np.uint8)
    sorted_by_x = np.argsort(x)
    here_x, here_y = start[0], start[1]
    for step in range(waiting.size):
        if step % REFRESH == REFRESH - 1:
            sorted_by_x = sorted_by_x[done[owner[sorted_by_x]] == 0]
        best = _nearest(x, y, owner, sorted_by_x, done, waiting, (here_x, here_y))
        chosen[step] = best
        path = owner[best]
        done[path] = 1
        if parents[path] >= 0:
            waiting[parents[path]] -= 1
        here_x, here_y = leave[best, 0], leave[best, 1]


@njit(cache=True, nogil=True)
def _nearest(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    x: Floats,
    y: Floats,
    owner: Ints,
    sorted_by_x: Ints,
    done: NDArray[np.uint8],
    waiting: Ints,
    here: tuple[float, float],
) -> int:
    """The nearest entry of a path that may come next, the first one of several as near.

    Looked for to both sides along x, as far as a nearer one may lie.
    """
    low, high = 0, sorted_by_x.size
    while low < high:
        middle = (low + high) // 2
        if x[sorted_by_x[middle]] < here[0]:
            low = middle + 1
        else:
            high = middle
    right, left = low, low - 1
    best, least = -1, np.inf
    while True:
        ahead = x[sorted_by_x[right]] - here[0] if right < sorted_by_x.size else np.inf
        behind = here[0] - x[sorted_by_x[left]] if left >= 0 else np.inf
        if min(ahead, behind) == np.inf or min(ahead, behind) ** 2 > least:
            return best
        if ahead <= behind:
            e, right = sorted_by_x[right], right + 1
        else:
            e, left = sorted_by_x[left], left - 1
        if done[owner[e]] or waiting[owner[e]] > 0:
            continue
        distance = (x[e] - here[0]) ** 2 + (y[e] - here[1]) ** 2
        if distance < least or (distance == least and e < best):
            best, least = e, distance


def in_order(paths: Sequence[Outline], start_mm: Points2) -> list[Stroke]:
    """The paths in the order and direction in which they are run over.

    A path waits for everything inside it, so that no piece is free to move while it is still being
    cut. Among those that wait for nothing the nearest comes next; closed paths are entered where
    they are nearest, open ones at either end.

    Args:
        paths: any paths.
        start_mm: (2,) where the machine stands before.
    """
    if not paths:
        return []
    most = max(1, min(MOST_ENTRIES, MOST_LOOKS // len(paths) ** 2))
    spots = [_entries(path, most) for path in paths]
    counts = [len(spot) for spot in spots]
    owner, place = np.repeat(np.arange(len(paths)), counts), np.concatenate(spots)
    points, starts = joined(paths)
    points = points[starts[owner] + place]
    leave = points[_leaving(paths, counts)]
    chosen = nearest_next(points, leave, owner, parents_of(paths), start_mm)
    return [_stroke(paths, int(owner[e]), int(place[e])) for e in chosen]


def nearest_next(
    enter_mm: Points2, leave_mm: Points2, owner: Ints, parents: Ints, start_mm: Points2
) -> Ints:
    """Which entry is taken next, each time the nearest one of what waits for nothing.

    Args:
        enter_mm: (m, 2) where something may begin.
        leave_mm: (m, 2) where it then ends.
        owner: (m,) what begins there, ascending; each of the n things has an entry or more.
        parents: (n,) what has to wait until it is done; -1 for none.
        start_mm: (2,) where the machine stands before.

    Returns:
        (n,) entries in the order they are taken, one for each thing.
    """
    chosen = np.empty(len(parents), dtype=np.int64)
    x, y = np.ascontiguousarray(enter_mm.T)
    waiting = np.bincount(parents[parents >= 0], minlength=len(parents)).astype(np.int64)
    start = np.asarray(start_mm, dtype=np.float64)
    _order(x, y, np.ascontiguousarray(leave_mm), owner, waiting, parents, start, chosen)
    return chosen


def _entries(path: Outline, most: int) -> Ints:
    """Indices of the points at which a path may be entered, all around it."""
    count = len(path.points_mm)
    return _around(count, most) if path.closed else np.array([0, count - 1])


@lru_cache(maxsize=64)
def _around(count: int, most: int) -> Ints:
    """Up to `most` of as many points, evenly; holes alike are many."""
    return np.unique(np.linspace(0, count, min(most, count), endpoint=False).astype(np.int64))


def _leaving(paths: Sequence[Outline], counts: Sequence[int]) -> Ints:
    """The entry at which a path is left again: the same, or the other end of an open path."""
    leave = np.arange(sum(counts))
    firsts = np.cumsum([0, *counts[:-1]])[[not path.closed for path in paths]]
    leave[firsts], leave[firsts + 1] = firsts + 1, firsts
    return leave


def _stroke(paths: Sequence[Outline], index: int, entry: int) -> Stroke:
    path = paths[index]
    if not path.closed:
        return Stroke(path.points_mm[:: -1 if entry else 1], index, closed=False)
    points = path.points_mm
    return Stroke(np.concatenate([points[entry:], points[: entry + 1]]), index, closed=True)
