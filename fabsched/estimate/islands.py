"""Which separate piece of a section a place belongs to: a layer is laid piece by piece."""

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats, Ints, Loops
from fabsched.estimate.tidy import boxes_of, winds


@njit(cache=True, nogil=True)
def island_of(section: Loops, boxes: Floats, x: float, y: float) -> int:
    """Smallest counter-clockwise polygon around a point; 0 if there is none."""
    best, least = 0, np.inf
    for loop in range(boxes.shape[0]):
        area2 = boxes[loop, 4]
        if area2 <= 0.0 or area2 >= least:
            continue
        if not (boxes[loop, 0] <= x <= boxes[loop, 2] and boxes[loop, 1] <= y <= boxes[loop, 3]):
            continue
        if winds(section, loop, x, y) > 0:
            best, least = loop, area2
    return best


@njit(cache=True, nogil=True)
def islands_of(section: Loops, x: Floats, y: Floats) -> Ints:
    """Island of every point.

    Args:
        section: tidy borders.
        x: (n,) coordinates in mm.
        y: (n,) coordinates in mm.

    Returns:
        (n,) number of the polygon that is the island's outer border.
    """
    island = np.zeros(x.size, np.int64)
    boxes = boxes_of(section)
    if np.sum(boxes[:, 4] > 0.0) > 1:
        for i in range(x.size):
            island[i] = island_of(section, boxes, x[i], y[i])
    return island
