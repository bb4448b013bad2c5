"""Bins filled in some order, and the search for a good order; kernels without Python in them.

A trial takes the copies in an order and puts each into the first bin that has room for it, as far left
as it goes. What may be varied of each copy: its rank, the ways it may be turned, whether the highest or
the lowest place counts, and which point of it is to lie far left. The search climbs: it varies a trial
and goes on from the variation if that is no worse, and starts again from a somewhat worse one when
nothing has come of it for long (an iterated local search; Lourenco, Martin & Stuetzle 2003, from memory).
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.nest.raster import Floats, Table, leftmost, occupy

Ints = NDArray[np.int64]

ANCHORS = 4
"""Points of a part that may have to lie far left; see `Shapes.anchors`."""
PATIENCE = 300
"""Variations without gain after which the search goes back to the best trial (measured)."""
WORSE = 0.02
"""How much worse than the best a trial may then be, as a share of a bin."""
LEFT_OUT = 1e6
"""What a copy without a place weighs against bins."""


class Shapes(NamedTuple):
    """All items in all ways they may be turned.

    Attributes:
        runs: (k, 3) pixels of all poses.
        begin: (poses + 1,) where the runs of each begin.
        wide: (poses,) columns of each.
        anchors: (ANCHORS, poses) columns from the corner: right edge, middle of its pixels, halfway
            between those two, left edge.
        poses: (items + 1,) where the poses of each item begin.
    """

    runs: Table
    begin: Ints
    wide: Ints
    anchors: Floats
    poses: Ints


class Rooms(NamedTuple):
    """All bins.

    Attributes:
        taken, free: (kinds, rows, columns + 1) boards with what is blocked from the start.
        last: (kinds, poses, 2) largest column and row of a pose's corner; below zero if none.
        kind: (bins,) which of the boards each bin is.
    """

    taken: Table
    free: Table
    last: Ints
    kind: Ints


@njit(cache=True, nogil=True)
def _fill(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    shapes: Shapes,
    last: Ints,
    taken: Table,
    free: Table,
    genes: Ints,
    number: int,
    spots: Ints,
    limit: int,
) -> tuple[int, int, int]:
    """Put what is still without a place into one bin.

    Returns:
        Right edge, copies placed, work done; it stops as soon as the edge is beyond the limit.
    """
    starts = np.zeros(shapes.wide.size, np.int64)
    right = placed = work = 0
    for k in range(genes.shape[1]):
        if spots[k, 0] >= 0:
            continue
        pose, x, y, looked = best_spot(shapes, last, taken, free, genes[:, k], starts)
        work += looked
        if pose < 0:
            continue
        occupy(taken, free, shapes.runs, shapes.begin[pose], shapes.begin[pose + 1], x, y)
        work += 2 * (shapes.begin[pose + 1] - shapes.begin[pose])
        spots[k, 0], spots[k, 1], spots[k, 2], spots[k, 3] = number, pose, x, y
        placed += 1
        right = max(right, x + shapes.wide[pose])
        if right > limit:
            break
    return right, placed, work


@njit(cache=True, nogil=True)
def best_spot(
    shapes: Shapes, last: Ints, taken: Table, free: Table, gene: Ints, starts: Ints
) -> tuple[int, int, int, int]:
    """Pose, column and row of the best place for a copy, pose -1 for none; and work done.

    A bin only fills up, so that an item never fits farther left than it did the last time.
    """
    item, pick, top, rule = gene[0], gene[1], gene[2], gene[3]
    first, end = shapes.poses[item], shapes.poses[item + 1]
    if pick >= 0:
        first += pick % (end - first)
        end = first + 1
    best, best_x, best_y, least, work = -1, -1, -1, np.inf, 0
    for pose in range(first, end):
        stop = last[pose, 0] + 1
        if best >= 0:
            stop = min(stop, int(np.floor(least - shapes.anchors[rule, pose])) + 1)
        if min(last[pose, 0], last[pose, 1]) < 0 or starts[pose] >= stop:
            continue
        begin, after = shapes.begin[pose], shapes.begin[pose + 1]
        corner = (last[pose, 0], last[pose, 1])
        x, y, looked = leftmost(
            taken, free, shapes.runs, begin, after, corner, starts[pose], stop, top
        )
        work += looked + 8
        starts[pose] = stop if x < 0 else x
        if x < 0:
            continue
        anchor = x + shapes.anchors[rule, pose]
        if best < 0 or anchor < least or (anchor == least and (y < best_y) != (top == 1)):
            best, best_x, best_y, least = pose, x, y, anchor
    return best, best_x, best_y, work


@njit(cache=True, nogil=True)
def _trial(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    shapes: Shapes, rooms: Rooms, taken: Table, free: Table, genes: Ints, spots: Ints, limit: float
) -> tuple[float, int]:
    """Score of one order, infinite if it is surely above the limit, and work done.

    The score is a whole number of bins, the share of the last one that is used, and a little for how far
    right its copies lie; copies without a place come before all of that.
    """
    spots[:, 0] = -1
    columns = taken.shape[1] - 1
    missing = genes.shape[1]
    useless = np.zeros(rooms.taken.shape[0], np.bool_)
    bins, edge, work = 0, 0, 0
    for number in range(rooms.kind.size):
        kind = rooms.kind[number]
        if missing == 0 or useless[kind]:
            continue
        taken[:] = rooms.taken[kind]
        free[:] = rooms.free[kind]
        most = columns + 1
        if limit < np.inf:
            most = int(min(columns + 1.0, (limit - number) * (columns + 1))) + 1
        right, placed, looked = _fill(
            shapes, rooms.last[kind], taken, free, genes, number, spots, most
        )
        work += looked + taken.size // 8
        if right > most:
            return np.inf, work
        missing -= placed
        if placed:
            bins, edge = number, right
        else:
            useless[kind] = True
    return LEFT_OUT * missing + bins + (edge + spread(shapes, spots, bins, edge)) / (
        columns + 1.0
    ), work


@njit(cache=True, nogil=True)
def spread(shapes: Shapes, spots: Ints, number: int, edge: int) -> float:
    """Mean square of how far right the copies in the last bin reach, below one."""
    total, count = 0.0, 0
    for k in range(spots.shape[0]):
        if spots[k, 0] == number:
            total += ((spots[k, 2] + shapes.wide[spots[k, 1]]) / max(1, edge)) ** 2
            count += 1
    return 0.9 * total / max(1, count)


@njit(cache=True, nogil=True)
def chance(state: NDArray[np.uint64], below: int) -> int:
    """A number from 0 up to but without `below` (xorshift64*; Vigna 2016, from memory)."""
    s = state[0]
    s ^= s >> np.uint64(12)
    s ^= s << np.uint64(25)
    s ^= s >> np.uint64(27)
    state[0] = s
    high = (s * np.uint64(2685821657736338717)) >> np.uint64(33)
    return int(high % np.uint64(below))


@njit(cache=True, nogil=True)
def _vary(genes: Ints, most_poses: int, state: NDArray[np.uint64]) -> None:
    """Change one thing: a copy's pose, side or anchor, or the ranks of two copies."""
    count = genes.shape[1]
    i, j, what = chance(state, count), chance(state, count), chance(state, 10)
    if what == 0:
        genes[1, i] = chance(state, most_poses + 1) - 1
    elif what == 1:
        genes[2, i] = 1 - genes[2, i]
    elif what <= 3:
        genes[3, i] = chance(state, ANCHORS)
    elif what <= 6:
        for gene in range(genes.shape[0]):
            genes[gene, i], genes[gene, j] = genes[gene, j], genes[gene, i]
    else:
        step = 1 if j > i else -1
        for gene in range(genes.shape[0]):
            moved = genes[gene, i]
            for k in range(i, j, step):
                genes[gene, k] = genes[gene, k + step]
            genes[gene, j] = moved


@njit(cache=True, nogil=True)
def search(
    shapes: Shapes, rooms: Rooms, begin: NDArray[np.int64], state: NDArray[np.uint64], effort: int
) -> tuple[Ints, Ints, float]:
    """Try the orders to begin with, then vary the best of them.

    Args:
        shapes: what is placed.
        rooms: where.
        begin: (orders, 4, copies): item, pose (-1 for any), side (1 for the top) and anchor of each.
        state: (1,) of the source of chance, not zero.
        effort: how many runs of pixels may be looked at; the first order is tried whatever it takes.

    Returns:
        (4, copies) genes of the best trial; (copies, 4) bin (-1 for none), pose, column and row of each;
        its score.
    """
    copies = begin.shape[2]
    taken, free = rooms.taken[0].copy(), rooms.free[0].copy()
    spots = np.empty((copies, 4), np.int64)
    best, best_spots, least, work = begin[0].copy(), spots.copy(), np.inf, 0
    for number in range(begin.shape[0]):
        if number > 0 and work >= effort:
            break
        score, tests = _trial(shapes, rooms, taken, free, begin[number], spots, np.inf)
        work += tests
        if score < least:
            least, best, best_spots = score, begin[number].copy(), spots.copy()
    genes, near, idle = best.copy(), least, 0
    varied = genes.copy()
    most_poses = np.diff(shapes.poses).max()
    while work < effort:
        varied[:] = genes
        _vary(varied, most_poses, state)
        score, tests = _trial(shapes, rooms, taken, free, varied, spots, near + 1e-9)
        work += tests + copies
        idle += 1
        if score <= near:
            near = score
            genes[:] = varied
        if score < least:
            least, idle = score, 0
            best[:] = varied
            best_spots[:] = spots
        if idle > PATIENCE:
            genes[:] = best
            near, idle = least + WORSE, 0
    return best, best_spots, least
