"""Parts as rows of pixels, and where such a part still fits.

A pixel belongs to a part as soon as its inside touches the part, so that parts on different
pixels cannot touch. A board remembers for every pixel the next occupied and the next free one of
its row; a part that collides therefore jumps past the obstacle instead of creeping along it.
"""

import math
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Table = NDArray[np.int32]

ROUNDING_MM = 1e-6
"""A pixel touched by less than this is not touched."""


@njit(cache=True, nogil=True)
def _mark_edges(x: Floats, y: Floats, size: float, pixels: NDArray[np.uint8]) -> None:
    """Mark every pixel whose inside an edge of the ring passes through, row by row."""
    j = x.size - 1
    for i in range(x.size):
        if y[i] < y[j]:
            ax, ay, bx, by = x[i], y[i], x[j], y[j]
        else:
            ax, ay, bx, by = x[j], y[j], x[i], y[i]
        first = max(0, math.floor((ay + ROUNDING_MM) / size))
        last = min(pixels.shape[0] - 1, math.ceil((by - ROUNDING_MM) / size) - 1)
        for row in range(first, last + 1):
            xa, xb = ax, bx
            if by - ay > ROUNDING_MM:
                xa = ax + (max(ay, row * size) - ay) / (by - ay) * (bx - ax)
                xb = ax + (min(by, (row + 1) * size) - ay) / (by - ay) * (bx - ax)
            left = max(0, math.floor((min(xa, xb) + ROUNDING_MM) / size))
            right = min(pixels.shape[1] - 1, math.ceil((max(xa, xb) - ROUNDING_MM) / size) - 1)
            for column in range(left, right + 1):
                pixels[row, column] = 1
        j = i


@njit(cache=True, nogil=True)
def _fill(x: Floats, y: Floats, size: float, pixels: NDArray[np.uint8]) -> None:
    """Mark every pixel whose middle lies inside the ring (even-odd rule)."""
    crossings = np.empty(x.size)
    for row in range(pixels.shape[0]):
        level = (row + 0.5) * size
        count = 0
        j = x.size - 1
        for i in range(x.size):
            if (y[i] > level) != (y[j] > level):
                crossings[count] = x[i] + (level - y[i]) / (y[j] - y[i]) * (x[j] - x[i])
                count += 1
            j = i
        crossings[:count].sort()
        for k in range(0, count - 1, 2):
            left = max(0, math.ceil(crossings[k] / size - 0.5))
            right = min(pixels.shape[1] - 1, math.floor(crossings[k + 1] / size - 0.5))
            for column in range(left, right + 1):
                pixels[row, column] = 1


def rasterised(ring: Floats, size_mm: float) -> Table:
    """The pixels a ring touches.

    Args:
        ring: (n, 2) in mm, not below zero.
        size_mm: side of a pixel.

    Returns:
        (k, 3) row, first column and the column after the last one of every run.
    """
    columns, rows = (max(1, math.ceil((m - ROUNDING_MM) / size_mm)) for m in ring.max(axis=0))
    pixels = np.zeros((rows, columns), dtype=np.uint8)
    x, y = np.ascontiguousarray(ring.T)
    _mark_edges(x, y, size_mm, pixels)
    _fill(x, y, size_mm, pixels)
    bordered = np.pad(pixels, ((0, 0), (1, 1))).astype(np.int8)
    turns = np.diff(bordered, axis=1)
    row, first = np.nonzero(turns == 1)
    end = np.nonzero(turns == -1)[1]
    return np.column_stack([row, first, end]).astype(np.int32)


@dataclass(frozen=True, slots=True, eq=False)
class Board:
    """A bin as pixels.

    Attributes:
        taken: (rows, columns + 1) first occupied column at or after each; the number of columns
            stands for none.
        free: likewise the first free column.
    """

    taken: Table
    free: Table

    @classmethod
    def empty(cls, columns: int, rows: int) -> "Board":
        """A board with nothing on it."""
        free = np.tile(np.arange(columns + 1, dtype=np.int32), (rows, 1))
        return cls(np.full_like(free, columns), free)

    def leftmost(
        self, runs: Table, last: tuple[int, int], start: int, stop: int
    ) -> tuple[int, int]:
        """Where a part fits farthest to the left, and lowest among those.

        Args:
            runs: the part, from `rasterised`.
            last: largest column and row its corner may have.
            start: smallest column worth looking at.
            stop: columns from here on are of no use.

        Returns:
            Column and row of its corner, or (-1, -1).
        """
        found: tuple[int, int] = _leftmost(self.taken, self.free, runs, last, start, stop)
        return found

    def occupy(self, runs: Table, column: int, row: int) -> None:
        """Put a part there for good."""
        _occupy(self.taken, self.free, runs, column, row)


@njit(cache=True, nogil=True)
def _leftmost(
    taken: Table, free: Table, runs: Table, last: tuple[int, int], start: int, stop: int
) -> tuple[int, int]:
    best_x = min(last[0] + 1, stop)
    best_y = -1
    blocking = 0
    for y in range(last[1] + 1):
        x = start
        while x < best_x:
            jump = _blocked(taken, free, runs, x, y, blocking)
            if jump[0] == x:
                best_x, best_y = x, y
                break
            x, blocking = jump
        if best_x <= start:
            break
    return (best_x, best_y) if best_y >= 0 else (-1, -1)


@njit(cache=True, nogil=True)
def _blocked(taken: Table, free: Table, runs: Table, x: int, y: int, hint: int) -> tuple[int, int]:
    """The first column at or after x where the first run in the way is free, and which run it is.

    The run that was in the way last time is asked first, since it mostly is again.
    """
    count = runs.shape[0]
    for k in range(count):
        r = hint + k if hint + k < count else hint + k - count
        row = y + runs[r, 0]
        obstacle = taken[row, x + runs[r, 1]]
        if obstacle < x + runs[r, 2]:
            return free[row, obstacle] - runs[r, 1], r
    return x, hint


@njit(cache=True, nogil=True)
def _occupy(taken: Table, free: Table, runs: Table, x: int, y: int) -> None:
    columns = taken.shape[1] - 1
    for r in range(runs.shape[0]):
        row = y + runs[r, 0]
        for column in range(x + runs[r, 1], x + runs[r, 2]):
            taken[row, column] = column
        following = columns
        clear = columns
        for column in range(columns - 1, -1, -1):
            if taken[row, column] == column:
                following = column
                free[row, column] = clear
            else:
                clear = column
                taken[row, column] = following
                free[row, column] = column
