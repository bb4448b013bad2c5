"""In which order the beads of a layer are laid, and the travel between them.

A layer is laid island by island, the nearest next; in each, walls come before lines. Loops are
taken nearest first, each entered at its corner nearest to where the nozzle is. Lines are taken in
serpentines: on to the nearest piece of a neighbouring line as long as one is within reach, else
to the nearest piece left.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Flags, Floats, Indices, Ints, Loops, Spans
from fabsched.estimate.islands import islands_of

OUTER, INNER, SOLID, SPARSE, SUPPORT, TRAVEL = range(6)
"""What a move is for; the last lays nothing down."""
ROLES = 6

REACH = 3.0
"""Ends of neighbouring lines at most this many line spacings apart are joined by a bead."""
LOOKED_AT = 20_000
"""Corners of loops compared for each loop; with many loops only some corners of each are."""
WINDOW = 400
"""Pieces of lines compared when a serpentine ends."""


class Trail(NamedTuple):
    """The way of the nozzle.

    Attributes:
        x: (n,) coordinates in mm.
        y: (n,) coordinates in mm.
        role: (n,) what the move that ends at each point is for.
    """

    x: Floats
    y: Floats
    role: Flags


class Filling(NamedTuple):
    """Lines inside the walls of a layer.

    Attributes:
        solid: pieces of solid lines.
        sparse: pieces of sparse lines.
        solid_mm: distance between neighbouring solid lines.
        sparse_mm: distance between neighbouring sparse lines.
    """

    solid: Spans
    sparse: Spans
    solid_mm: float
    sparse_mm: float


@njit(cache=True, nogil=True)
def _put(trail: Trail, n: int, x: float, y: float, role: int) -> int:
    """Append a point; returns the number of points."""
    trail.x[n] = x
    trail.y[n] = y
    trail.role[n] = role
    return n + 1


@njit(cache=True, nogil=True)
def _nearest_loop(
    loops: Loops, done: Flags, island: Ints, wanted: int, place: tuple[float, float]
) -> tuple[int, int]:
    """Loop not yet laid that comes nearest, and its corner there; -1 if none is left.

    Only loops of one island are looked at, those of all if `wanted` is negative.
    """
    best, corner, least = -1, -1, np.inf
    sample = max(2, min(64, LOOKED_AT // max(1, done.size)))
    for loop in range(done.size):
        if done[loop] or (wanted >= 0 and island[loop] != wanted):
            continue
        low, high = loops.starts[loop], loops.starts[loop + 1]
        for i in range(low, high, max(1, (high - low) // sample)):
            away = (loops.x[i] - place[0]) ** 2 + (loops.y[i] - place[1]) ** 2
            if away < least:
                best, corner, least = loop, i, away
    return best, corner


@njit(cache=True, nogil=True)
def _lay_loop(loops: Loops, loop: int, corner: int, role: int, trail: Trail, n: int) -> int:
    """Travel to a corner of a loop and go once around; returns the number of points."""
    low, high = loops.starts[loop], loops.starts[loop + 1]
    n = _put(trail, n, loops.x[corner], loops.y[corner], TRAVEL)
    for i in range(corner + 1, high):
        n = _put(trail, n, loops.x[i], loops.y[i], role)
    for i in range(low, corner + 1):
        n = _put(trail, n, loops.x[i], loops.y[i], role)
    return n


@njit(cache=True, nogil=True)
def _nearest_end(
    ends: Floats, done: Flags, low: int, high: int, x: float, y: float
) -> tuple[int, int, float]:
    """Piece not yet laid among low to high - 1 that comes nearest, its end, squared distance."""
    best, end, least = -1, 0, np.inf
    for i in range(low, high):
        if done[i]:
            continue
        for e in range(2):
            away = (ends[i, 2 * e] - x) ** 2 + (ends[i, 2 * e + 1] - y) ** 2
            if away < least:
                best, end, least = i, e, away
    return best, end, least


@njit(cache=True, nogil=True)
def _next_in_serpentine(  # noqa: PLR0913, PLR0917 - compiled kernel
    spans: Spans, begin: Ints, done: Flags, line: int, x: float, y: float, reach2: float
) -> tuple[int, int]:
    """Piece of a neighbouring line within reach, the next line before the last; -1 if none."""
    for other in (line + 1, line - 1):
        if 0 <= other < begin.size - 1:
            i, end, away = _nearest_end(spans.ends, done, begin[other], begin[other + 1], x, y)
            if away < reach2:
                return i, end
    return -1, 0


@njit(cache=True, nogil=True)
def _line_begins(line: Indices) -> Ints:
    """Index of the first piece of each line, then the number of pieces."""
    count = np.zeros(line[-1] + 2, np.int64)
    for number in line:
        count[number + 1] += 1
    return np.cumsum(count)


@njit(cache=True, nogil=True)
def _end(trail: Trail, n: int) -> tuple[float, float]:
    """Where the nozzle is after n points."""
    if n == 0:
        return 0.0, 0.0
    return trail.x[n - 1], trail.y[n - 1]


@njit(cache=True, nogil=True)
def lay_lines(spans: Spans, gap_mm: float, role: int, trail: Trail, n: int) -> int:
    """Lay lines `gap_mm` apart after the n points of a trail; returns its number of points."""
    pieces = spans.line.size
    if pieces == 0:
        return n
    begin = _line_begins(spans.line)
    done = np.zeros(pieces, np.uint8)
    x, y = _end(trail, n)
    first = 0
    i = -1
    for _ in range(pieces):
        end = 0
        if i >= 0:
            line = spans.line[i]
            i, end = _next_in_serpentine(spans, begin, done, line, x, y, (REACH * gap_mm) ** 2)
        joins = i >= 0
        if not joins:
            while done[first]:
                first += 1
            i, end, _ = _nearest_end(spans.ends, done, first, min(pieces, first + WINDOW), x, y)
        done[i] = 1
        n = _put(
            trail, n, spans.ends[i, 2 * end], spans.ends[i, 2 * end + 1], role if joins else TRAVEL
        )
        x, y = spans.ends[i, 2 - 2 * end], spans.ends[i, 3 - 2 * end]
        n = _put(trail, n, x, y, role)
    return n


@njit(cache=True, nogil=True)
def _of_island(spans: Spans, island: Ints, wanted: int) -> Spans:
    """The pieces that lie in one island."""
    chosen = np.flatnonzero(island == wanted)
    return Spans(spans.ends[chosen], spans.line[chosen])


@njit(cache=True, nogil=True)
def _lay_fill(solid: Spans, sparse: Spans, fill: Filling, trail: Trail, n: int) -> int:
    """Lay some of the lines inside, solid ones first; returns the number of points."""
    n = lay_lines(solid, fill.solid_mm, SOLID, trail, n)
    return lay_lines(sparse, fill.sparse_mm, SPARSE, trail, n)


@njit(cache=True, nogil=True)
def lay_layer(section: Loops, beads: Loops, outer: int, fill: Filling, trail: Trail) -> int:
    """Lay a layer into an empty trail, island by island: walls, solid lines, sparse lines.

    Args:
        section: tidy borders of the layer.
        beads: centre lines of the walls; the first `outer` of them are outermost.
        outer: see there.
        fill: lines inside.
        trail: room enough for all points.

    Returns:
        The number of points.
    """
    n = 0
    done = np.zeros(beads.starts.size - 1, np.uint8)
    if done.size == 0:
        return _lay_fill(fill.solid, fill.sparse, fill, trail, n)
    loop_at = islands_of(section, beads.x[beads.starts[:-1]], beads.y[beads.starts[:-1]])
    solid_at = islands_of(section, fill.solid.ends[:, 0].copy(), fill.solid.ends[:, 1].copy())
    sparse_at = islands_of(section, fill.sparse.ends[:, 0].copy(), fill.sparse.ends[:, 1].copy())
    while True:
        loop, corner = _nearest_loop(beads, done, loop_at, -1, _end(trail, n))
        if loop < 0:
            return n
        island = loop_at[loop]
        while loop >= 0:
            done[loop] = 1
            n = _lay_loop(beads, loop, corner, OUTER if loop < outer else INNER, trail, n)
            loop, corner = _nearest_loop(beads, done, loop_at, island, _end(trail, n))
        solid = _of_island(fill.solid, solid_at, island)
        sparse = _of_island(fill.sparse, sparse_at, island)
        n = _lay_fill(solid, sparse, fill, trail, n)


def empty_trail(points: int) -> Trail:
    """Room for a number of points."""
    return Trail(np.empty(points), np.empty(points), np.empty(points, np.uint8))


def cut(trail: Trail, points: int) -> Trail:
    """The first points of a trail."""
    return Trail(trail.x[:points], trail.y[:points], trail.role[:points])
