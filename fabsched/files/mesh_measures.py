"""Compiled sums over facets: box, volume and area."""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Faces, Points3

Floats = NDArray[np.float64]
"""One-dimensional float64 array."""


class Measures(NamedTuple):
    """What a mesh measures.

    Attributes:
        low: lowest corner of the box around all facets, (3,) in mm.
        high: its highest corner, (3,) in mm.
        volumes: volume between each facet and the middle of the box, negative where the facet
            faces it, (m,) in mm³. Their sum is the volume by the divergence theorem; measured from
            the middle, rounding does not grow with the distance from the origin.
        area_mm2: of all facets.
        leak_mm2: length of the sum of all area vectors, which is zero for a closed surface.
    """

    low: Floats
    high: Floats
    volumes: Floats
    area_mm2: float
    leak_mm2: float

    @property
    def volume_mm3(self) -> float:
        """Signed volume."""
        return float(self.volumes.sum())


def measured(points: Points3, faces: Faces) -> Measures:
    """Measure a mesh of at least one facet, in mm."""
    low, high = box(points, faces)
    volumes, area_mm2, leak_mm2 = _sums(points, faces, (low + high) / 2)
    return Measures(low, high, volumes, area_mm2, leak_mm2)


@njit(cache=True, nogil=True)
def box(points: Points3, faces: Faces) -> tuple[Floats, Floats]:
    """Lowest and highest corner, (3,) each, of the box around all facets."""
    low = points[faces[0, 0]].copy()
    high = low.copy()
    for corner in faces.ravel():
        for i in range(3):
            low[i] = min(low[i], points[corner, i])
            high[i] = max(high[i], points[corner, i])
    return low, high


@njit(cache=True, nogil=True)
def _sums(points: Points3, faces: Faces, middle: Floats) -> tuple[Floats, float, float]:
    """Volumes as seen from `middle`, summed area and length of the summed area vectors."""
    volumes = np.empty(faces.shape[0])
    area, x, y, z = 0.0, 0.0, 0.0, 0.0
    for f in range(faces.shape[0]):
        a = points[faces[f, 0]]
        b = points[faces[f, 1]]
        c = points[faces[f, 2]]
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
        nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        x, y, z = x + nx, y + ny, z + nz
        area += math.sqrt(nx * nx + ny * ny + nz * nz)
        from_middle = (a[0] - middle[0]) * nx + (a[1] - middle[1]) * ny + (a[2] - middle[2]) * nz
        volumes[f] = from_middle / 6
    return volumes, area / 2, math.sqrt(x * x + y * y + z * z) / 2
