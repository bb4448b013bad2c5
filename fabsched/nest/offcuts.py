"""What is left of a sheet: the largest rectangle nothing lies in."""

from collections.abc import Sequence

import numpy as np

from fabsched.model.shapes import Points2
from fabsched.nest.bins import blocked
from fabsched.nest.raster import drawn
from fabsched.nest.records import Bin

PIXEL_MM = 2.0
"""How finely an offcut is measured; nobody cuts one closer by hand (our own choice)."""

Rectangle = tuple[float, float, float, float]
"""x and y of the lower left corner, width and height, in mm."""


def largest_free(room: Bin, parts: Sequence[Sequence[Points2]]) -> Rectangle:
    """The largest rectangle along the sides of a sheet that touches no part.

    Args:
        room: the sheet or offcut.
        parts: border and holes of each part where it lies, (n, 2) each; what drops out of holes counts
            as used.

    Returns:
        The rectangle; all zero if there is none.
    """
    columns, rows = (int(side / PIXEL_MM) for side in room.size_mm)
    pixels = np.zeros((rows, columns), dtype=np.uint8)
    for part in parts:
        drawn([part[0]], PIXEL_MM, pixels)
    for rings in blocked(room, 0.0):
        drawn(rings, PIXEL_MM, pixels)
    heights = np.zeros(columns, dtype=np.int64)
    best, most = (0, 0, 0, 0), 0
    for row in range(rows):
        heights = np.where(pixels[row] == 0, heights + 1, 0)
        left, wide, high = _under(heights.tolist())
        if wide * high > most:
            best, most = (left, row - high + 1, wide, high), wide * high
    x, y, wide_mm, high_mm = (PIXEL_MM * side for side in best)
    return x, y, wide_mm, high_mm


def _under(heights: Sequence[int]) -> tuple[int, int, int]:
    """Left side, width and height of the largest rectangle under a row of columns.

    Columns wait on a stack, ascending, until a lower one closes them.

    >>> _under([2, 4, 4, 1])
    (1, 2, 4)
    """
    best, most = (0, 0, 0), 0
    waiting: list[tuple[int, int]] = []
    for column, height in enumerate([*heights, 0]):
        left = column
        while waiting and waiting[-1][1] > height:
            left, high = waiting.pop()
            if (column - left) * high > most:
                best, most = (left, column - left, high), (column - left) * high
        if height and (not waiting or waiting[-1][1] < height):
            waiting.append((left, height))
    return best
