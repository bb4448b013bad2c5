"""Corners that are the same point become one vertex; facets that are no surface are left out."""

from itertools import product

import numpy as np
from numpy.typing import NDArray

from fabsched.files.mesh_kernels import Bits, Indices, first_seen
from fabsched.model.shapes import Faces, Points3

Coordinates = NDArray[np.float32] | NDArray[np.float64]
"""(n, 3), in the precision of the file."""

SNAP_SHIFTS = tuple(product((0.0, 0.5), repeat=3))
"""Offsets of the eight grids, in cells: two points less than half a cell apart along every axis
share a cell of at least one of them."""


def _bits(rows: NDArray[np.generic]) -> Bits:
    return np.ascontiguousarray(rows).view(np.uint32)


def numbered(points: Coordinates) -> tuple[Indices, Indices]:
    """Number equal points alike; `first_seen` of their coordinates, 0.0 and -0.0 being equal."""
    return first_seen(_bits(points + points.dtype.type(0)))


def weld(points: Coordinates, faces: Faces) -> tuple[Points3, Faces]:
    """Make one vertex of all corners whose coordinates are equal to the last bit.

    Args:
        points: (n, 3) finite coordinates.
        faces: (m, 3) indices into them.

    Returns:
        The vertices, float64, in the order in which they first appear in `points`, and the facets.
    """
    number, first = numbered(points)
    return points[first].astype(np.float64), number[faces]


def compact(points: Points3, faces: Faces) -> tuple[Points3, Faces]:
    """Leave out vertices that no facet uses; the order of the others stays."""
    used = np.zeros(len(points), dtype=np.bool_)
    used[faces] = True
    if used.all():
        return points, faces
    place = np.cumsum(used, dtype=np.int32) - np.int32(1)
    return points[used], place[faces]


def snapped(points: Points3, cell_mm: float) -> Points3:
    """Move points that lie close together onto the first of them.

    Args:
        points: (n, 3) in mm.
        cell_mm: points less than half of this apart along every axis always meet; points more
            than this apart never do, unless others lie between.

    Returns:
        (n, 3), in the same order.
    """
    for shift in SNAP_SHIFTS:
        cells = np.floor(points / cell_mm + shift).astype(np.int64)
        number, first = first_seen(_bits(cells))
        points = points[first[number]]
    return points


def pinched(faces: Faces) -> NDArray[np.bool_]:
    """Which facets use a vertex twice, so that they have no area whatever the coordinates."""
    a, b, c = faces.T
    return np.asarray((a == b) | (b == c) | (c == a))


def flat(points: Points3, faces: Faces) -> NDArray[np.bool_]:
    """Which facets have their corners on one line, to within the precision of float32.

    Twice the area over the longest edge squared is the height over that edge.
    """
    a, b, c = (points[faces[:, i]] for i in range(3))
    twice_area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    edges = np.stack([b - a, c - b, a - c])
    longest2 = np.einsum("eij,eij->ei", edges, edges).max(axis=0)
    return np.asarray(twice_area <= np.finfo(np.float32).eps * longest2)


def _rising(faces: Faces) -> NDArray[np.bool_]:
    """Whether the corners come in an even permutation of ascending order."""
    a, b, c = faces.T
    return np.asarray((a < b).astype(int) + (b < c) + (c < a) == 2)


def repeated(faces: Faces) -> NDArray[np.bool_]:
    """Which facets are there already, with the same corners and facing the same way.

    Where a whole mesh is there twice, once facing in and once facing out, the second copy counts
    as repeated too; two bodies that touch share some such facets, and keep them.
    """
    corners = np.sort(faces, axis=1)
    facing = _rising(faces).astype(np.int32)
    number, first = first_seen(_bits(np.column_stack((corners, facing))))
    again = _all_but(first, len(number))
    _, first = first_seen(_bits(corners))
    if 2 * len(first) == len(number) - np.count_nonzero(again):
        return _all_but(first, len(number))
    return again


def _all_but(kept: Indices, count: int) -> NDArray[np.bool_]:
    marks = np.ones(count, dtype=np.bool_)
    marks[kept] = False
    return marks
