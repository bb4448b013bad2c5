"""Where a print needs support, and how much."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Flags, Floats, Indices
from fabsched.estimate.columns import Columns, Grid, Hits, columns_of, normal_of
from fabsched.estimate.placing import Placed
from fabsched.model.shapes import Faces, Points3
from fabsched.model.shop import Build

ANGLE_TOLERANCE = 1e-6
"""Added to the sine of the steepest angle, so that a face at exactly this angle holds itself."""


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
        on_part_mm2: area on which support stands on the part and leaves marks.
        union_mm3: volume of the part itself, overlapping shells counted once.
        bed_mm2: area of the part on the bed.
        grid: where the posts stand.
        posts: the support itself.
    """

    volume_mm3: float
    on_part_mm2: float
    union_mm3: float
    bed_mm2: float
    grid: Grid
    posts: Posts


@njit(cache=True, nogil=True)
def _climb(
    hits: Hits, cell: int, overhangs: Flags, gap_mm: float, sums: Floats, spans: Floats
) -> int:
    """Go up one column.

    Adds to `sums` (support height, stands on part, inside height, on bed) and fills
    `spans` with the low and high ends of support; returns how many.
    """
    inside = found = 0
    last = begun = 0.0
    for i in range(hits.begin[cell], hits.begin[cell + 1]):
        z = hits.height[i]
        if hits.leaves[i]:
            inside = max(0, inside - 1)
            if inside == 0:
                sums[2] += z - begun
                last, begun = z, z
            continue
        if inside == 0:
            begun = z
            if z <= gap_mm:
                sums[3] += 1.0
            elif overhangs[i] and z - last > gap_mm:
                sums[0] += z - last
                sums[1] += last > 0.0
                spans[found, 0], spans[found, 1] = last, z
                found += 1
        inside += 1
    return found


@njit(cache=True, nogil=True, error_model="numpy")
def _overhangs(points: Points3, faces: Faces, hits: Hits, steepest: float) -> Flags:
    """Which hits enter the part through a face that leans out more than the steepest."""
    overhangs = np.zeros(hits.height.size, np.uint8)
    for i in range(hits.height.size):
        if not hits.leaves[i]:
            overhangs[i] = -normal_of(points, faces, hits.face[i])[2] > steepest
    return overhangs


@njit(cache=True, nogil=True)
def _stand(
    hits: Hits, overhangs: Flags, cells: int, gap_mm: float
) -> tuple[Floats, Indices, Floats]:
    """Climb all columns; returns the sums, the cell of each post and its ends."""
    sums = np.zeros(4)
    spans = np.empty((hits.height.size + 1, 2))
    cell_of = np.empty(spans.shape[0], np.int32)
    n = 0
    for cell in range(cells):
        found = _climb(hits, cell, overhangs, gap_mm, sums, spans[n:])
        cell_of[n : n + found] = cell
        n += found
    return sums, cell_of[:n].copy(), spans[:n].copy()


def support_of(placed: Placed, build: Build, columns: Columns | None = None) -> Support:
    """Find the support a part needs as it stands.

    Gaps lower than half a layer are bridged by the layers themselves and count as contact.

    Args:
        placed: the part.
        build: overhang angle and layer height.
        columns: its columns along z, if they are known already.
    """
    grid, hits = columns or columns_of(placed)
    steepest = math.sin(math.radians(build.overhang_deg)) + ANGLE_TOLERANCE
    overhangs = _overhangs(placed.mesh.vertices, placed.mesh.faces, hits, steepest)
    sums, cells, ends = _stand(hits, overhangs, grid.rows * grid.columns, 0.5 * build.layer_mm)
    row, column = (part.astype(np.int32) for part in np.divmod(cells, grid.columns))
    area = grid.cell * grid.cell
    return Support(
        volume_mm3=float(sums[0] * area),
        on_part_mm2=float(sums[1] * area),
        union_mm3=float(sums[2] * area),
        bed_mm2=float(sums[3] * area),
        grid=grid,
        posts=Posts(row, column, ends[:, 0].copy(), ends[:, 1].copy()),
    )
