"""Move the border of a region inwards, with mitred corners.

Every edge moves along its normal, every corner along its bisector at a constant speed. An edge
whose corners run into each other vanishes, and its neighbours meet in a new corner; these events
are handled in order of distance. What this cannot see is one part of the border running into
another far along it: then the result is not tidy, and the polygon library does the work at
several times the cost.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats, Ints, Loops
from fabsched.estimate.regions import MITRE, library_inset
from fabsched.estimate.tidy import is_tidy

OPPOSITE = 1e-9
"""1 + cosine of a turn below which two edges run back on each other and no corner exists."""
POINT_MM = 1e-5
"""Edges shorter than this have no direction worth keeping."""
SQUARED = 2.0 / (MITRE * MITRE)
"""1 + cosine of a turn below which a mitre, 1 / cos(turn / 2) long, exceeds `MITRE`."""


class Front(NamedTuple):
    """A moving polygon; entry i is about edge i and the corner it leaves. Arrays of shape (n,).

    Attributes:
        dx, dy: unit direction of the edge; the region lies on its left.
        x, y: where the corner was at distance 0.
        wx, wy: how far the corner moves for each mm of distance.
        before, after: neighbouring edges that still exist.
        event: distance at which the edge vanishes, infinite once it has.
    """

    dx: Floats
    dy: Floats
    x: Floats
    y: Floats
    wx: Floats
    wy: Floats
    before: Ints
    after: Ints
    event: Floats


@njit(cache=True, nogil=True, error_model="numpy")
def _aim(front: Front, i: int) -> bool:
    """Set the velocity of a corner: the sum of both normals over 1 + cosine of the turn."""
    b = front.before[i]
    bend = 1.0 + front.dx[b] * front.dx[i] + front.dy[b] * front.dy[i]
    if bend < OPPOSITE:
        return False
    front.wx[i] = -(front.dy[b] + front.dy[i]) / bend
    front.wy[i] = (front.dx[b] + front.dx[i]) / bend
    return True


@njit(cache=True, nogil=True, error_model="numpy")
def _time(front: Front, i: int) -> None:
    """Set the distance at which an edge vanishes."""
    j = front.after[i]
    length = (front.x[j] - front.x[i]) * front.dx[i] + (front.y[j] - front.y[i]) * front.dy[i]
    rate = (front.wx[j] - front.wx[i]) * front.dx[i] + (front.wy[j] - front.wy[i]) * front.dy[i]
    front.event[i] = -length / rate if rate < 0.0 else math.inf


@njit(cache=True, nogil=True, error_model="numpy")
def _directions(x: Floats, y: Floats) -> tuple[Floats, Floats, bool]:
    """Unit directions of the edges of a polygon; false if one is too short to have any."""
    n = x.size
    dx, dy = np.empty(n), np.empty(n)
    for i in range(n):
        j = i + 1 if i + 1 < n else 0
        dx[i], dy[i] = x[j] - x[i], y[j] - y[i]
        size = math.sqrt(dx[i] * dx[i] + dy[i] * dy[i])
        if size < POINT_MM:
            return dx, dy, False
        dx[i] /= size
        dy[i] /= size
    return dx, dy, True


@njit(cache=True, nogil=True, error_model="numpy")
def _edges(x: Floats, y: Floats) -> tuple[Floats, int]:
    """Edges as rows of direction and corner, and their number; -1 if they have no direction.

    Where a mitre would be too long an edge without length is put in, across the bisector, which
    grows as the others move apart and so cuts the mitre square.
    """
    dx, dy, sound = _directions(x, y)
    edges = np.empty((2 * x.size, 4))
    if not sound:
        return edges, -1
    n = 0
    b = x.size - 1
    for i in range(x.size):
        right = dx[b] * dy[i] - dy[b] * dx[i] < 0.0
        if right and 1.0 + dx[b] * dx[i] + dy[b] * dy[i] < SQUARED:
            ax, ay = dx[b] - dx[i], dy[b] - dy[i]
            size = math.sqrt(ax * ax + ay * ay)
            edges[n, 0], edges[n, 1], edges[n, 2], edges[n, 3] = ay / size, -ax / size, x[i], y[i]
            n += 1
        edges[n, 0], edges[n, 1], edges[n, 2], edges[n, 3] = dx[i], dy[i], x[i], y[i]
        n += 1
        b = i
    return edges, n


@njit(cache=True, nogil=True, error_model="numpy")
def _start(x: Floats, y: Floats) -> tuple[Front, bool]:
    """Set up the front of one polygon; false if it has edges or corners without direction."""
    edges, n = _edges(x, y)
    sound = n > 0
    n = max(n, 1)
    step = np.arange(n)
    front = Front(
        edges[:n, 0].copy(),
        edges[:n, 1].copy(),
        edges[:n, 2].copy(),
        edges[:n, 3].copy(),
        np.empty(n),
        np.empty(n),
        np.roll(step, 1),
        np.roll(step, -1),
        np.empty(n),
    )
    if not sound:
        return front, False
    for i in range(n):
        if not _aim(front, i):
            return front, False
    for i in range(n):
        _time(front, i)
    return front, True


@njit(cache=True, nogil=True, error_model="numpy")
def _drop(front: Front, i: int) -> bool:
    """Let an edge vanish: its neighbours meet where their lines cross. False if they never do."""
    a, c = front.before[i], front.after[i]
    front.event[i] = math.inf
    front.after[a], front.before[c] = c, a
    across = front.dx[a] * front.dy[c] - front.dy[a] * front.dx[c]
    # An edge only shrinks between turns that add up to the left. Beyond half a turn its neighbours
    # face each other: the border ran into itself before the edge was gone.
    if across < OPPOSITE or not _aim(front, c):
        return False
    # Corner of a's line through its own corner and c's line through the corner c had so far.
    gap_x, gap_y = front.x[c] - front.x[a], front.y[c] - front.y[a]
    along = (gap_x * front.dy[c] - gap_y * front.dx[c]) / across
    front.x[c] = front.x[a] + along * front.dx[a]
    front.y[c] = front.y[a] + along * front.dy[a]
    _time(front, a)
    _time(front, c)
    return True


@njit(cache=True, nogil=True, error_model="numpy")
def _advance(front: Front, distance: float) -> tuple[int, bool]:
    """Let all events up to a distance happen.

    Returns:
        An edge that still exists, -1 if the polygon is gone; and whether all corners exist.
    """
    alive = front.event.size
    last = 0
    while True:
        i = int(np.argmin(front.event))
        if front.event[i] > distance:
            return last, True
        alive -= 1
        last = front.after[i]
        sound = _drop(front, i)
        if alive < 3 or (alive == 3 and not sound):
            return -1, True
        if not sound:
            return -1, False


@njit(cache=True, nogil=True, error_model="numpy")
def _emit(front: Front, first: int, distance: float, points: Floats, n: int) -> int:
    """Write the corners of a front after the n points so far; returns the new number."""
    begin = n
    i = first
    while True:
        points[n, 0] = front.x[i] + distance * front.wx[i]
        points[n, 1] = front.y[i] + distance * front.wy[i]
        n += 1
        i = front.after[i]
        if i == first:
            return _without_repeats(points, begin, n)


@njit(cache=True, nogil=True)
def _without_repeats(points: Floats, begin: int, end: int) -> int:
    """Drop corners that lie on the one before them; drop all if fewer than three remain."""
    n = begin
    for i in range(begin, end):
        j = n - 1 if n > begin else end - 1
        far = abs(points[i, 0] - points[j, 0]) + abs(points[i, 1] - points[j, 1])
        if far > POINT_MM:
            points[n] = points[i]
            n += 1
    return n if n - begin > 2 else begin


@njit(cache=True, nogil=True)
def _inset(loops: Loops, distance: float) -> tuple[Loops, bool]:
    """Move all polygons; false if the result is not known to be right."""
    points = np.empty((2 * loops.x.size, 2))
    starts = np.zeros(loops.starts.size, np.int64)
    n = kept = 0
    sound = True
    for loop in range(loops.starts.size - 1):
        low, high = loops.starts[loop], loops.starts[loop + 1]
        front, good = _start(loops.x[low:high], loops.y[low:high])
        first = -1
        if good:
            first, good = _advance(front, distance)
        if not good:
            sound = False
            break
        if first >= 0:
            end = _emit(front, first, distance, points, n)
            kept += end > n
            starts[kept] = n = end
    moved = Loops(points[:n, 0].copy(), points[:n, 1].copy(), starts[: kept + 1].copy())
    return moved, sound and is_tidy(moved)


def inset(loops: Loops, distance_mm: float) -> Loops:
    """The borders of a region moved inwards.

    Args:
        loops: tidy borders of the region.
        distance_mm: how far, above zero.

    Returns:
        Tidy borders of all points of the region farther than that from its border, with corners
        mitred up to `MITRE` times the distance and cut square beyond.
    """
    moved, sound = _inset(loops, distance_mm)
    return Loops(*moved) if sound else library_inset(loops, distance_mm)
