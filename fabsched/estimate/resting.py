"""The sides a part can rest on.

A part rests on a side of its convex hull if its centre of mass lies above that side. Hull and centre
are those of the mesh; material inside is taken as even.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold
from numba import njit

from fabsched.estimate.arrays import Floats
from fabsched.estimate.placing import Placed
from fabsched.model.shapes import Faces, Points3

TOUCHING_MM = 0.02
"""Corners so little above the lowest touch the bed: a tenth of a usual layer (own assumption)."""
ALIKE_DEG = 8.0
"""Sides closer to one already found are left out; round bodies rest on any (own assumption)."""
MOST_SIDES = 24
"""Sides looked for."""
AXES = np.array([[0.0, 0, -1], [0, 0, 1], [0, -1, 0], [0, 1, 0], [-1, 0, 0], [1, 0, 0]])
"""Directions of the axes, down before all."""
BINS = 64
"""Directions along each edge of a cube around the part into which points are sorted..."""
MOST_POINTS = 6 * BINS * BINS
"""...of those meshes that have more points than there are directions."""


@dataclass(frozen=True, slots=True, eq=False)
class Hull:
    """The convex hull of a part.

    Attributes:
        corners: (n, 3) in mm.
        sides: (m, 3) unit normals of its triangles, looking outwards, the largest first.
        centre: (3,) centre of mass of the part.
    """

    corners: Points3
    sides: Points3
    centre: Points3


@njit(cache=True, nogil=True)
def _moment(points: Points3, faces: Faces) -> Floats:
    """Volume, and volume times centre, of a closed surface by its tetrahedra; shape (4,)."""
    total = np.zeros(4)
    for t in range(faces.shape[0]):
        a, b, c = points[faces[t, 0]], points[faces[t, 1]], points[faces[t, 2]]
        six = a[0] * (b[1] * c[2] - b[2] * c[1])
        six += a[1] * (b[2] * c[0] - b[0] * c[2])
        six += a[2] * (b[0] * c[1] - b[1] * c[0])
        total[0] += six / 6.0
        for axis in range(3):
            total[1 + axis] += six / 24.0 * (a[axis] + b[axis] + c[axis])
    return total


def hull_of(placed: Placed) -> Hull:
    """The hull of a part.

    Of meshes with many points only those farthest out in each of some directions are looked at.
    Corners are among them, so that flat sides come out exactly; round ones have fewer facets.
    """
    points, faces = placed.mesh.vertices, placed.mesh.faces
    centre = _centre(points, faces)
    solid = Manifold.hull_points(_farthest(points, centre)).to_mesh64()
    corners = np.array(solid.vert_properties[:, :3], dtype=np.float64)
    a, b, c = (corners[solid.tri_verts[:, i]] for i in range(3))
    across = np.cross(b - a, c - a)
    area = np.linalg.norm(across, axis=1)
    order = np.argsort(-area, kind="stable")
    order = order[area[order] > 0.0]
    return Hull(corners, across[order] / area[order, None], centre)


def _centre(points: Points3, faces: Faces) -> Points3:
    """Centre of mass; that of the corners where the surface encloses nothing."""
    volume, *moment = _moment(points, faces).tolist()
    return np.asarray(np.array(moment) / volume if volume > 0.0 else points.mean(axis=0))


def _farthest(points: Points3, centre: Points3) -> Points3:
    """The points farthest from the centre in every direction, if there are too many points."""
    if len(points) <= MOST_POINTS:
        return points
    away = points - centre
    axis = np.abs(away).argmax(axis=1)
    rows = np.arange(len(away))
    reach = away[rows, axis]
    safe = np.where(reach == 0.0, 1.0, np.abs(reach))
    cells = [
        np.minimum(BINS - 1, (0.5 * BINS * (1.0 + away[rows, (axis + k) % 3] / safe)).astype(int))
        for k in (1, 2)
    ]
    face = 2 * axis + (reach > 0.0)
    number = (face * BINS + cells[0]) * BINS + cells[1]
    order = np.lexsort((np.einsum("ij,ij->i", away, away), number))
    last = np.flatnonzero(np.diff(number[order], append=-1))
    return np.asarray(points[order[last]])


def resting_sides(hull: Hull) -> Iterator[Points3]:
    """Directions, (3,) each, in which sides look that the part can rest on.

    Those of the axes come first, the one that is down already before all, then the largest sides.
    """
    alike = np.cos(np.radians(ALIKE_DEG))
    left = np.concatenate([AXES, hull.sides])
    for _ in range(MOST_SIDES):
        while len(left) and not _rests(hull, left[0]):
            left = left[1:]
        if not len(left):
            return
        yield left[0]
        left = left[left @ left[0] < alike]


def _rests(hull: Hull, side: Points3) -> bool:
    """Whether the centre of mass lies above the corners that touch the bed.

    It does if no half of the plane around it is without any of them.
    """
    down = hull.corners @ side
    touching = hull.corners[down > down.max() - TOUCHING_MM] - hull.centre
    along = np.cross(side, np.eye(3)[np.abs(side).argmin()])
    angle = np.sort(np.arctan2(touching @ np.cross(side, along), touching @ along))
    gaps = np.diff(angle, append=angle[0] + 2.0 * np.pi)
    return bool(gaps.max() < np.pi)
