"""Turning a part: three angles, about x first, then about y, then about z, all axes fixed."""

import math

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats
from fabsched.estimate.rotation import rotation
from fabsched.model.shapes import Mesh, Points3

Turn = tuple[float, float, float]
"""Degrees about x, then y, then z; right-handed, axes fixed to the bed."""
AS_DRAWN: Turn = (0.0, 0.0, 0.0)
DIGITS = 3
"""Degrees are rounded to so many digits: at 100 mm that is 0.001 mm."""


@njit(cache=True, nogil=True)
def _turned(points: Points3, matrix: Floats) -> Points3:
    """Points times a matrix; a library would wait for other processors to do this."""
    moved = np.empty_like(points)
    for i in range(points.shape[0]):
        for k in range(3):
            moved[i, k] = (
                matrix[k, 0] * points[i, 0]
                + matrix[k, 1] * points[i, 1]
                + matrix[k, 2] * points[i, 2]
            )
    return moved


def turned(mesh: Mesh, turn_deg: Turn) -> Mesh:
    """The mesh turned about the origin; the same mesh if there is nothing to turn."""
    if turn_deg == AS_DRAWN:
        return mesh
    points = np.array(mesh.vertices, dtype=np.float64, order="C")
    return Mesh(_turned(points, rotation(turn_deg)), mesh.faces)


def turn_onto(side: Points3) -> Turn:
    """The turn that brings a direction down, by as few axes as will do.

    Args:
        side: (3,) unit vector that shall point to the bed.

    Returns:
        Degrees about x, then y; those about z are 0.

    >>> turn_onto(np.array([0.0, -1.0, 0.0])), turn_onto(np.array([1.0, 0.0, 0.0]))
    ((90.0, 0.0, 0.0), (0.0, 90.0, 0.0))
    """
    x, y, z = (float(v) for v in side)
    flat = math.hypot(y, z)
    about_x = math.atan2(-y, -z) if flat > 1e-9 else 0.0
    return _plain(math.degrees(about_x)), _plain(math.degrees(math.atan2(x, flat))), 0.0


def _plain(degrees: float) -> float:
    """Degrees rounded, above -180, without a negative zero."""
    rounded = round(degrees, DIGITS) + 0.0
    return 180.0 if rounded == -180.0 else rounded
