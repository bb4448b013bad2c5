"""Parts as rows of pixels, and where such a part still fits.

A pixel belongs to a part as soon as its inside touches the part, so that parts on different
pixels cannot touch. A board remembers for every pixel the next occupied and the next free one of
its row; a part that collides therefore jumps past the obstacle instead of creeping along it.
"""

import math
from collections.abc import Sequence

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Table = NDArray[np.int32]

ROUNDING_MM = 1e-6
"""A pixel touched by less than this is not touched."""


@njit(cache=True, nogil=True)
def _mark_edges(edges: Floats, size: float, pixels: NDArray[np.uint8]) -> None:
    """Mark every pixel whose inside an edge passes through, row by row; (n, 4) from and to."""
    for i in range(edges.shape[0]):
        ax, ay, bx, by = edges[i]
        if ay > by:
            ax, ay, bx, by = bx, by, ax, ay
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


@njit(cache=True, nogil=True)
def _fill(edges: Floats, size: float, pixels: NDArray[np.uint8]) -> None:
    """Mark every pixel whose middle lies inside the rings (even-odd rule)."""
    crossings = np.empty(edges.shape[0])
    for row in range(pixels.shape[0]):
        level = (row + 0.5) * size
        count = 0
        for i in range(edges.shape[0]):
            ax, ay, bx, by = edges[i]
            if (ay > level) != (by > level):
                crossings[count] = ax + (level - ay) / (by - ay) * (bx - ax)
                count += 1
        crossings[:count].sort()
        for k in range(0, count - 1, 2):
            left = max(0, math.ceil(crossings[k] / size - 0.5))
            right = min(pixels.shape[1] - 1, math.floor(crossings[k + 1] / size - 0.5))
            for column in range(left, right + 1):
                pixels[row, column] = 1


def edges_of(rings: Sequence[Floats]) -> Floats:
    """The edges of closed rings as (n, 4): x and y of where each begins and ends."""
    return np.concatenate([np.hstack([np.roll(ring, 1, axis=0), ring]) for ring in rings])


def drawn(rings: Sequence[Floats], size_mm: float, pixels: NDArray[np.uint8]) -> None:
    """Mark on a picture all pixels rings touch with their inside (even-odd rule).

    Args:
        rings: (n, 2) each, in mm; what lies beside the picture is cut off.
        size_mm: side of a pixel.
        pixels: (rows, columns) to be marked.
    """
    edges = edges_of(rings)
    _mark_edges(edges, size_mm, pixels)
    _fill(edges, size_mm, pixels)


def rasterised(rings: Sequence[Floats], size_mm: float) -> Table:
    """The pixels an area touches.

    Args:
        rings: its border and its holes, (n, 2) each in mm, not below zero.
        size_mm: side of a pixel.

    Returns:
        (k, 3) row, first column and the column after the last one of every run.
    """
    high = np.max([ring.max(axis=0) for ring in rings], axis=0)
    columns, rows = (max(1, math.ceil((m - ROUNDING_MM) / size_mm)) for m in high)
    pixels = np.zeros((rows, columns), dtype=np.uint8)
    drawn(rings, size_mm, pixels)
    return runs_of(pixels)


def runs_of(pixels: NDArray[np.uint8]) -> Table:
    """(k, 3) row, first column and the column after the last one of every run of a picture."""
    bordered = np.pad(pixels, ((0, 0), (1, 1))).astype(np.int8)
    turns = np.diff(bordered, axis=1)
    row, first = np.nonzero(turns == 1)
    end = np.nonzero(turns == -1)[1]
    return np.column_stack([row, first, end]).astype(np.int32)


def board(pixels: NDArray[np.uint8]) -> tuple[Table, Table]:
    """A bin as pixels.

    Args:
        pixels: (rows, columns) what is occupied from the start.

    Returns:
        taken: (rows, columns + 1) first occupied column at or after each; the number of columns
            stands for none.
        free: likewise the first free column; the one behind the last is free.
    """
    rows, columns = pixels.shape
    free = np.tile(np.arange(columns + 1, dtype=np.int32), (rows, 1))
    taken = np.full_like(free, columns)
    runs = runs_of(pixels)
    occupy(taken, free, runs, 0, len(runs), 0, 0)
    return taken, free


@njit(cache=True, nogil=True)
def leftmost(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    taken: Table,
    free: Table,
    runs: Table,
    begin: int,
    end: int,
    last: tuple[int, int],
    start: int,
    stop: int,
    top: int,
) -> tuple[int, int, int]:
    """Where a part fits farthest to the left, and lowest or highest among those.

    Args:
        taken: the board, from `board`.
        free: likewise.
        runs: of all parts.
        begin: number of this part's first run.
        end: the number after its last one.
        last: largest column and row its corner may have.
        start: smallest column worth looking at.
        stop: columns from here on are of no use.
        top: 1 for the highest place, 0 for the lowest.

    Returns:
        Column and row of its corner, or (-1, -1), and how many runs were looked at.
    """
    best_x = min(last[0] + 1, stop)
    best_y = -1
    blocking = 0
    looked = 0
    for i in range(last[1] + 1):
        y = last[1] - i if top else i
        x = start
        while x < best_x:
            jump, blocking, tests = _blocked(taken, free, runs, begin, end, x, y, blocking)
            looked += tests
            if jump == x:
                best_x, best_y = x, y
                break
            x = jump
        if best_x <= start:
            break
    return (best_x, best_y, looked) if best_y >= 0 else (-1, -1, looked)


@njit(cache=True, nogil=True)
def _blocked(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    taken: Table, free: Table, runs: Table, begin: int, end: int, x: int, y: int, hint: int
) -> tuple[int, int, int]:
    """The first column at or after x where the first run in the way is free, which run, and tests.

    The run that was in the way last time is asked first, since it mostly is again.
    """
    count = end - begin
    for k in range(count):
        r = hint + k if hint + k < count else hint + k - count
        row = y + runs[begin + r, 0]
        obstacle = taken[row, x + runs[begin + r, 1]]
        if obstacle < x + runs[begin + r, 2]:
            return free[row, obstacle] - runs[begin + r, 1], r, k + 1
    return x, hint, count


@njit(cache=True, nogil=True)
def occupy(  # noqa: PLR0913, PLR0917 - a kernel takes numbers, not records
    taken: Table, free: Table, runs: Table, begin: int, end: int, x: int, y: int
) -> None:
    """Put a part on a board for good: only the stretches its runs touch change."""
    for r in range(begin, end):
        row, first, after = y + runs[r, 0], x + runs[r, 1], x + runs[r, 2]
        clear = free[row, after]
        for column in range(first, after):
            taken[row, column] = column
            free[row, column] = clear
        column = first - 1
        while column >= 0 and taken[row, column] == column:
            free[row, column] = clear
            column -= 1
        column = first - 1
        while column >= 0 and taken[row, column] != column:
            taken[row, column] = first
            column -= 1
