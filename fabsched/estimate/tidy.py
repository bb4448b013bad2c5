"""Whether polygons already are the border of a region, so that no library needs to unite them.

They are if no two edges meet except neighbours at their common corner, and if every polygon has
the region on its left: counter-clockwise ones lie where the others do not wind, clockwise ones
(holes) where the others wind once.
"""

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats, Ints, Loops

PATIENCE = 200
"""Pairs of edges compared for each edge before giving up: then a sweep over events is quicker."""


@njit(cache=True, nogil=True)
def _side(px: float, py: float, qx: float, qy: float, x: float, y: float) -> float:
    """Positive if a point lies left of the line from p to q."""
    return (qx - px) * (y - py) - (qy - py) * (x - px)


@njit(cache=True, nogil=True)
def _meet(x: Floats, y: Floats, follow: Ints, i: int, j: int) -> bool:
    """Whether edges i and j touch, other than neighbours at their common corner."""
    a, b = follow[i], follow[j]
    if a == j or b == i:
        corner = j if a == j else i
        before, after = (i, b) if a == j else (j, a)
        turn = _side(x[before], y[before], x[corner], y[corner], x[after], y[after])
        along = (x[corner] - x[before]) * (x[after] - x[corner])
        along += (y[corner] - y[before]) * (y[after] - y[corner])
        return turn == 0.0 and along <= 0.0
    p = _side(x[i], y[i], x[a], y[a], x[j], y[j])
    q = _side(x[i], y[i], x[a], y[a], x[b], y[b])
    if (p > 0.0 and q > 0.0) or (p < 0.0 and q < 0.0):
        return False
    r = _side(x[j], y[j], x[b], y[b], x[i], y[i])
    s = _side(x[j], y[j], x[b], y[b], x[a], y[a])
    return not ((r > 0.0 and s > 0.0) or (r < 0.0 and s < 0.0))


@njit(cache=True, nogil=True)
def _edges_apart(x: Floats, y: Floats, follow: Ints) -> bool:
    """Sweep all edges from left to right and compare those that overlap in x and y."""
    n = x.size
    left, right = np.minimum(x, x[follow]), np.maximum(x, x[follow])
    low, high = np.minimum(y, y[follow]), np.maximum(y, y[follow])
    live = np.empty(n, np.int64)
    alive = compared = 0
    for e in np.argsort(left):
        at = 0
        while at < alive:
            other = live[at]
            if right[other] < left[e]:
                alive -= 1
                live[at] = live[alive]
                continue
            if low[other] <= high[e] and high[other] >= low[e] and _meet(x, y, follow, e, other):
                return False
            at += 1
        compared += alive
        if compared > PATIENCE * n:
            return False
        live[alive] = e
        alive += 1
    return True


@njit(cache=True, nogil=True)
def winds(loops: Loops, loop: int, x: float, y: float) -> int:
    """How often a polygon winds around a point."""
    turns = 0
    low, high = loops.starts[loop], loops.starts[loop + 1]
    j = high - 1
    for i in range(low, high):
        up = loops.y[j] <= y
        if up != (loops.y[i] <= y):
            side = _side(loops.x[j], loops.y[j], loops.x[i], loops.y[i], x, y)
            if up and side > 0.0:
                turns += 1
            elif not up and side < 0.0:
                turns -= 1
        j = i
    return turns


@njit(cache=True, nogil=True)
def boxes_of(loops: Loops) -> Floats:
    """Low x, low y, high x, high y and twice the signed area of every polygon, shape (m, 5)."""
    boxes = np.zeros((loops.starts.size - 1, 5))
    for loop in range(boxes.shape[0]):
        low, high = loops.starts[loop], loops.starts[loop + 1]
        x, y = loops.x[low:high], loops.y[low:high]
        boxes[loop, 0], boxes[loop, 1] = x.min(), y.min()
        boxes[loop, 2], boxes[loop, 3] = x.max(), y.max()
        j = high - low - 1
        for i in range(high - low):
            boxes[loop, 4] += (x[j] - x[0]) * (y[i] - y[0]) - (x[i] - x[0]) * (y[j] - y[0])
            j = i
    return boxes


@njit(cache=True, nogil=True)
def _nested(loops: Loops) -> bool:
    """Whether every polygon has the region on its left, given that none touch."""
    boxes = boxes_of(loops)
    for loop in range(boxes.shape[0]):
        x, y = loops.x[loops.starts[loop]], loops.y[loops.starts[loop]]
        around = 0
        for other in range(boxes.shape[0]):
            inside_x = boxes[other, 0] < x < boxes[other, 2]
            if other != loop and inside_x and boxes[other, 1] < y < boxes[other, 3]:
                around += winds(loops, other, x, y)
        if around != (0 if boxes[loop, 4] > 0.0 else 1):
            return False
    return True


@njit(cache=True, nogil=True)
def is_tidy(loops: Loops) -> bool:
    """Whether polygons are the border of a region as they stand.

    A wrong no only costs time, as the polygons are then united; it is given for polygons that
    touch and where comparing edges would take long.

    Args:
        loops: polygons of at least three corners each.
    """
    n = loops.x.size
    if n == 0:
        return True
    follow = np.arange(1, n + 1)
    for loop in range(loops.starts.size - 1):
        follow[loops.starts[loop + 1] - 1] = loops.starts[loop]
    return _edges_apart(loops.x, loops.y, follow) and _nested(loops)
