"""Which triangle of a solid lies under a point of its picture. No Qt here."""

import numpy as np
from numpy.typing import NDArray

from fabsched.desktop.solid.camera import Floats, Stand
from fabsched.model.shapes import Mesh


def face_at(mesh: Mesh, stand: Stand, x_px: float, y_px: float) -> int:
    """The triangle nearest to the eye that a ray through a pixel meets; -1 if it meets none.

    The ray runs along the way one looks, since the projection is parallel: triangles are met where
    their picture holds the point.

    Args:
        mesh: what is seen.
        stand: from where.
        x_px: to the right in the picture.
        y_px: downwards in the picture.
    """
    corners = stand.project(mesh.vertices)[mesh.faces]
    near = np.nonzero(_around(corners, x_px, y_px))[0]
    inside, depth = _met(corners[near], x_px, y_px)
    if not inside.any():
        return -1
    hit = near[inside]
    return int(hit[depth[inside].argmax()])


def _around(corners: Floats, x: float, y: float) -> NDArray[np.bool_]:
    """Whether boxes around triangles hold a point."""
    low, high = corners[..., :2].min(axis=1), corners[..., :2].max(axis=1)
    return np.asarray(((low <= (x, y)) & (high >= (x, y))).all(axis=1))


def _met(corners: Floats, x: float, y: float) -> tuple[NDArray[np.bool_], Floats]:
    """Whether triangles hold a point, and how near to the eye they are there."""
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (corners[:, i].T for i in range(3))
    area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    safe = np.where(area == 0, 1.0, area)
    first = ((bx - x) * (cy - y) - (by - y) * (cx - x)) / safe
    second = ((cx - x) * (ay - y) - (cy - y) * (ax - x)) / safe
    third = 1.0 - first - second
    inside = (area != 0) & (first >= -1e-9) & (second >= -1e-9) & (third >= -1e-9)
    return inside, first * az + second * bz + third * cz
