"""Parts taken out of a layout and put back another way: kernels without Python in them.

Ruin and recreate (Schrimpf, Schneider, Stamm-Wilbrandt & Dueck, Journal of Computational Physics 159(2),
2000, from memory): some copies that lie together, or all that reach far right, are taken out, and the
placer of pixels puts them back, large ones mostly first. It goes on from what is hardly worse than the
best (record-to-record travel; Dueck, Journal of Computational Physics 104(1), 1993, from memory).
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.nest.filling import (
    ANCHORS,
    LEFT_OUT,
    PATIENCE,
    Ints,
    Rooms,
    Shapes,
    best_spot,
    chance,
    spread,
)
from fabsched.nest.raster import Table, occupy

HARDLY = 0.004
"""How much worse than the best what it goes on from may be, as a share of a bin."""
MOST_OUT = 3
"""At most one copy in so many of a bin is taken out with its neighbours."""
FAR_RIGHT = 3
"""One time in so many what reaches farthest right is taken out."""


@njit(cache=True, nogil=True)
def score_of_spots(shapes: Shapes, rooms: Rooms, spots: Ints) -> float:
    """Copies left out, then bins, then how far right the last one is used; see `filling.search`."""
    bins, missing = spots[:, 0].max(), (spots[:, 0] < 0).sum()
    edge = _edge(shapes, spots, bins)
    columns = rooms.taken.shape[2]
    return float(LEFT_OUT * missing + bins + (edge + spread(shapes, spots, bins, edge)) / columns)


@njit(cache=True, nogil=True)
def _edge(shapes: Shapes, spots: Ints, number: int) -> int:
    """Column behind the last one used in a bin."""
    edge = 0
    for k in range(spots.shape[0]):
        if spots[k, 0] == number >= 0:
            edge = max(edge, spots[k, 2] + shapes.wide[spots[k, 1]])
    return edge


@njit(cache=True, nogil=True)
def _take_out(shapes: Shapes, spots: Ints, number: int, state: NDArray[np.uint64]) -> None:
    """Take a few copies out of a bin."""
    here = np.flatnonzero(spots[:, 0] == number)
    if here.size == 0:
        return
    if chance(state, FAR_RIGHT) == 0:
        edge = _edge(shapes, spots, number)
        limit = edge - chance(state, max(1, edge // MOST_OUT)) - 1
        for k in here:
            if spots[k, 2] + shapes.wide[spots[k, 1]] > limit:
                spots[k, 0] = -1
        return
    middle, away = here[chance(state, here.size)], np.empty(here.size)
    for i in range(here.size):
        away[i] = np.abs(spots[here[i], 2:] - spots[middle, 2:]).sum()
    for i in np.argsort(away)[: 1 + chance(state, 2 + here.size // MOST_OUT)]:
        spots[here[i], 0] = -1


@njit(cache=True, nogil=True)
def _laid(
    shapes: Shapes, rooms: Rooms, spots: Ints, number: int, taken: Table, free: Table
) -> None:
    """Draw a bin with all that lies in it."""
    taken[:], free[:] = rooms.taken[rooms.kind[number]], rooms.free[rooms.kind[number]]
    for k in range(spots.shape[0]):
        if spots[k, 0] == number:
            pose = spots[k, 1]
            first, end = shapes.begin[pose], shapes.begin[pose + 1]
            occupy(taken, free, shapes.runs, first, end, spots[k, 2], spots[k, 3])


@njit(cache=True, nogil=True)
def _queue(shapes: Shapes, item: Ints, spots: Ints, state: NDArray[np.uint64]) -> Ints:
    """Copies without a place, large ones mostly first."""
    out = np.flatnonzero(spots[:, 0] < 0)
    keys = np.empty(out.size)
    for i in range(out.size):
        pose = shapes.poses[item[out[i]]]
        size = shapes.begin[pose + 1] - shapes.begin[pose] + shapes.wide[pose]
        keys[i] = -size * (1 + chance(state, 100) / 50.0)
    return out[np.argsort(keys)]


@njit(cache=True, nogil=True)
def _put_back(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    shapes: Shapes,
    rooms: Rooms,
    item: Ints,
    spots: Ints,
    number: int,
    board: tuple[Table, Table],
    state: NDArray[np.uint64],
) -> int:
    """Put what has no place into one bin as far as it goes; work done."""
    taken, free = board
    _laid(shapes, rooms, spots, number, taken, free)
    work, gene = taken.size // 8, np.empty(4, np.int64)
    last = rooms.last[rooms.kind[number]]
    for k in _queue(shapes, item, spots, state):
        some = shapes.poses[item[k] + 1] - shapes.poses[item[k]]
        gene[0], gene[1] = item[k], chance(state, 5 * some) - 4 * some
        gene[1], gene[2] = max(-1, gene[1]), chance(state, 2)
        gene[3] = chance(state, ANCHORS)
        starts = np.zeros(shapes.wide.size, np.int64)
        pose, x, y, looked = best_spot(shapes, last, taken, free, gene, starts)
        work += looked
        if pose >= 0:
            first, end = shapes.begin[pose], shapes.begin[pose + 1]
            occupy(taken, free, shapes.runs, first, end, x, y)
            work += 2 * (end - first)
            spots[k, 0], spots[k, 1], spots[k, 2], spots[k, 3] = number, pose, x, y
    return int(work)


@njit(cache=True, nogil=True)
def recreated(
    shapes: Shapes,
    rooms: Rooms,
    item: Ints,
    spots: Ints,
    state: NDArray[np.uint64],
    effort: int,
) -> float:
    """Take copies out and put them back until the effort is spent.

    Args:
        shapes: what is placed.
        rooms: where.
        item: (copies,) item of each.
        spots: (copies, 4) bin (-1 for none), pose, column and row of each; changed in place to the best.
        state: (1,) of the source of chance, not zero.
        effort: how many runs of pixels may be looked at.

    Returns:
        The score of the best.
    """
    board = (rooms.taken[0].copy(), rooms.free[0].copy())
    least = near = score_of_spots(shapes, rooms, spots)
    now, trial, work, idle = spots.copy(), spots.copy(), 0, 0
    while work < effort:
        trial[:] = now
        last = max(0, trial[:, 0].max())
        other = chance(state, last + 1)
        _take_out(shapes, trial, last, state)
        if other != last:
            _take_out(shapes, trial, other, state)
            work += _put_back(shapes, rooms, item, trial, other, board, state)
        work += _put_back(shapes, rooms, item, trial, last, board, state)
        score, idle = score_of_spots(shapes, rooms, trial), idle + 1
        if score <= max(near, least + HARDLY):
            near, now[:] = score, trial
        if score < least:
            least, spots[:], idle = score, trial, 0
        if idle > PATIENCE:
            near, now[:], idle = least, spots, 0
    return least
