"""Put a part on the bed, lowest corner at the origin, faces outwards; see whether it fits."""

import math
from dataclasses import dataclass

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Faces, Mesh, Points2, Points3
from fabsched.model.shop import Printer

TURNS = 180
"""Turns tried over half a circle when a part fits neither straight nor turned by 90 degrees."""
SLACK_MM = 1e-6
"""Rounding allowed when comparing with the bed."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Placed:
    """A part on the bed.

    Attributes:
        mesh: its lowest x, y and z are 0, its volume is not negative, and all points are used.
        size_mm: extent along x, y and z.
    """

    mesh: Mesh
    size_mm: tuple[float, float, float]


@njit(cache=True, nogil=True)
def _bounds(points: Points3) -> Floats:
    """Lowest and highest corner of some points, shape (2, 3)."""
    bounds = np.empty((2, 3))
    bounds[0] = np.inf
    bounds[1] = -np.inf
    for i in range(points.shape[0]):
        for axis in range(3):
            bounds[0, axis] = min(bounds[0, axis], points[i, axis])
            bounds[1, axis] = max(bounds[1, axis], points[i, axis])
    return bounds


def _compact(mesh: Mesh) -> tuple[Points3, Faces]:
    """Points and faces of a mesh without points that belong to no face."""
    # Copies, since kernels are compiled again for arrays that may not be written to.
    faces = np.array(mesh.faces, dtype=np.int32, order="C")
    points = np.array(mesh.vertices, dtype=np.float64, order="C")
    used = np.zeros(len(points), dtype=bool)
    used[faces.ravel()] = True
    if used.all():
        return points, faces
    number = np.cumsum(used, dtype=np.int32) - 1
    return points[used], number[faces].astype(np.int32)


@njit(cache=True, nogil=True)
def _volume6(points: Points3, faces: Faces) -> float:
    """Six times the signed volume, by the divergence theorem."""
    total = 0.0
    for t in range(faces.shape[0]):
        a, b, c = points[faces[t, 0]], points[faces[t, 1]], points[faces[t, 2]]
        total += a[0] * (b[1] * c[2] - b[2] * c[1])
        total += a[1] * (b[2] * c[0] - b[0] * c[2])
        total += a[2] * (b[0] * c[1] - b[1] * c[0])
    return total


def place(mesh: Mesh, where: str) -> Placed:
    """Shift a mesh to the origin and turn it inside out if it faces inwards.

    Raises:
        InputError: there are no triangles.
    """
    if not mesh.faces.size:
        raise InputError(Fault.NO_TRIANGLES, where)
    points, faces = _compact(mesh)
    bounds = _bounds(points)
    points = points - bounds[0]
    if _volume6(points, faces) < 0.0:
        faces = np.ascontiguousarray(faces[:, ::-1])
    x, y, z = (float(extent) for extent in bounds[1] - bounds[0])
    return Placed(mesh=Mesh(points, faces), size_mm=(x, y, z))


def fits(placed: Placed, printer: Printer) -> bool:
    """Whether a part fits a printer in its pose, turned about the vertical as need be."""
    return fits_volume(placed.mesh.vertices, placed.size_mm, printer)


def fits_volume(points: Points3, size_mm: tuple[float, float, float], printer: Printer) -> bool:
    """The same, given points whose convex hull is that of the part, and its extent."""
    x, y, z = size_mm
    bed_x, bed_y, bed_z = (extent + SLACK_MM for extent in printer.bed_mm)
    straight = (x <= bed_x and y <= bed_y) or (y <= bed_x and x <= bed_y)
    return z <= bed_z and (straight or _fits_turned(points[:, :2], bed_x, bed_y))


def measures(size_mm: tuple[float, float, float]) -> str:
    """Three lengths as text.

    >>> measures((10.0, 20.25, 5.04))
    '10 x 20.2 x 5'
    """
    return " x ".join(f"{round(extent, 1):g}" for extent in size_mm)


def _fits_turned(points: Points2, bed_x: float, bed_y: float) -> bool:
    """Whether some turn brings the points into the rectangle; `TURNS` turns are tried."""
    extremes = _extremes(points)
    angles = np.arange(TURNS) * (math.pi / TURNS)
    cosine, sine = np.cos(angles), np.sin(angles)
    along = np.outer(extremes[:, 0], cosine) - np.outer(extremes[:, 1], sine)
    across = np.outer(extremes[:, 0], sine) + np.outer(extremes[:, 1], cosine)
    return bool(((np.ptp(along, axis=0) <= bed_x) & (np.ptp(across, axis=0) <= bed_y)).any())


def _extremes(points: Points2) -> Points2:
    """Points farthest out in each of the directions to be tried, shape (2 * TURNS, 2)."""
    angles = np.arange(2 * TURNS) * (math.pi / TURNS)
    farthest = [
        int(np.argmax(points @ np.array([math.cos(a), math.sin(a)]))) for a in angles.tolist()
    ]
    return points[farthest]
