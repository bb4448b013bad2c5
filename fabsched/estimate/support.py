"""Where a print needs support, and how much."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Flags, Floats, Indices
from fabsched.estimate.columns import LEAVES, OVERHANGS, Grid, Hits, drawn, grid_over
from fabsched.estimate.placing import Placed
from fabsched.model.shop import Build

CELL_MM = 0.4
"""Distance between columns."""
MOST_CELLS = 4_000_000
"""Columns at most; beyond, they stand further apart."""


class Posts(NamedTuple):
    """Columns of support, row by row.

    Attributes:
        row: (n,) row of the grid.
        column: (n,) column of the grid, ascending within each row.
        low: (n,) height in mm at which the post begins: the bed or the part.
        high: (n,) height in mm of the overhang it carries.
    """

    row: Indices
    column: Indices
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Support:
    """Support of a part in one pose.

    Attributes:
        volume_mm3: space under overhangs, down to the bed or the part.
        overhang_mm2: area of these overhangs seen from below.
        on_part_mm2: area on which support stands on the part and leaves marks.
        union_mm3: volume of the part itself, overlapping shells counted once.
        bed_mm2: area of the part on the bed.
        grid: where the posts stand.
        posts: the support itself.
    """

    volume_mm3: float
    overhang_mm2: float
    on_part_mm2: float
    union_mm3: float
    bed_mm2: float
    grid: Grid
    posts: Posts


@njit(cache=True, nogil=True)
def _sort(height: Floats, kind: Flags, low: int, high: int) -> None:
    """Sort the few hits of a column upwards; at equal heights the part is entered first."""
    for i in range(low + 1, high):
        z, k = height[i], kind[i]
        j = i - 1
        while j >= low and (height[j] > z or (height[j] == z and k > kind[j])):
            height[j + 1], kind[j + 1] = height[j], kind[j]
            j -= 1
        height[j + 1], kind[j + 1] = z, k


@njit(cache=True, nogil=True)
def _climb(hits: Hits, cell: int, gap_mm: float, sums: Floats, spans: Floats) -> int:
    """Go up one column.

    Adds to `sums` (support height, overhangs, stands on part, inside height, on bed) and fills
    `spans` with the low and high ends of support; returns how many.
    """
    inside = found = 0
    last = begun = 0.0
    for i in range(hits.begin[cell], hits.begin[cell + 1]):
        z = hits.height[i]
        if hits.kind[i] == LEAVES:
            inside = max(0, inside - 1)
            if inside == 0:
                sums[3] += z - begun
                last, begun = z, z
            continue
        if inside == 0:
            begun = z
            if z <= gap_mm:
                sums[4] += 1.0
            elif hits.kind[i] == OVERHANGS and z - last > gap_mm:
                sums[0] += z - last
                sums[1] += 1.0
                sums[2] += last > 0.0
                spans[found, 0], spans[found, 1] = last, z
                found += 1
        inside += 1
    return found


@njit(cache=True, nogil=True)
def _stand(hits: Hits, grid: Grid, gap_mm: float) -> tuple[Floats, Indices, Floats]:
    """Climb all columns; returns the sums, the cell of each post and its ends."""
    most = 1
    overhangs = 0
    for cell in range(grid.rows * grid.columns):
        low, high = hits.begin[cell], hits.begin[cell + 1]
        most = max(most, high - low)
        for i in range(low, high):
            overhangs += hits.kind[i] == OVERHANGS
        _sort(hits.height, hits.kind, low, high)
    sums = np.zeros(5)
    spans = np.empty((most, 2))
    cells = np.empty(overhangs, np.int32)
    ends = np.empty((overhangs, 2))
    n = 0
    for cell in range(grid.rows * grid.columns):
        found = _climb(hits, cell, gap_mm, sums, spans)
        cells[n : n + found] = cell
        ends[n : n + found] = spans[:found]
        n += found
    return sums, cells[:n].copy(), ends[:n].copy()


def support_of(placed: Placed, build: Build, cell_mm: float = CELL_MM) -> Support:
    """Find the support a part needs as it stands.

    Gaps lower than half a layer are bridged by the layers themselves and count as contact.

    Args:
        placed: the part.
        build: overhang angle and layer height.
        cell_mm: distance between columns.
    """
    size = placed.size_mm
    cell_mm = max(cell_mm, math.sqrt(size[0] * size[1] / MOST_CELLS))
    grid = grid_over(size, cell_mm)
    hits = drawn(placed.mesh, grid, build.overhang_deg)
    sums, cells, ends = _stand(hits, grid, 0.5 * build.layer_mm)
    area = cell_mm * cell_mm
    row, column = (part.astype(np.int32) for part in np.divmod(cells, grid.columns))
    return Support(
        volume_mm3=float(sums[0] * area),
        overhang_mm2=float(sums[1] * area),
        on_part_mm2=float(sums[2] * area),
        union_mm3=float(sums[3] * area),
        bed_mm2=float(sums[4] * area),
        grid=grid,
        posts=Posts(row, column, ends[:, 0].copy(), ends[:, 1].copy()),
    )
