"""Geometry as it passes between floors: meshes, flat outlines and motion programs, always in mm."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.operations import Layers, Operation

Points3 = NDArray[np.float64]
"""(n, 3) coordinates in mm."""
Points2 = NDArray[np.float64]
"""(n, 2) coordinates in mm."""
Faces = NDArray[np.int32]
"""(m, 3) vertex indices, counter-clockwise seen from outside."""


def turned(points: Points2, turn_deg: float) -> Points2:
    """Points turned about (0, 0) counter-clockwise; quarter turns are exact."""
    quarters, rest = divmod(turn_deg % 360, 90)
    if rest:
        c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    else:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters)]
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """A triangle mesh in mm, z up, as it stands on the bed.

    Attributes:
        vertices: (n, 3) float64.
        faces: (m, 3) int32.
    """

    vertices: Points3
    faces: Faces

    @property
    def bounds_mm(self) -> tuple[Points3, Points3]:
        """Lowest and highest corner, each of shape (3,)."""
        used = np.zeros(len(self.vertices), dtype=bool)
        used[self.faces.ravel()] = True  # far quicker than sorting the indices
        corners = self.vertices[used]
        return corners.min(axis=0), corners.max(axis=0)

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Extent along x, y and z."""
        low, high = self.bounds_mm
        x, y, z = (float(v) for v in high - low)
        return x, y, z

    @property
    def volume_mm3(self) -> float:
        """Signed volume by the divergence theorem; positive when faces look outwards."""
        a, b, c = (self.vertices[self.faces[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """One path for the laser, curves already resolved into short chords.

    Attributes:
        points_mm: (n, 2) float64; a closed outline does not repeat its first point.
        closed: whether the last point joins the first.
        operation: what the laser does along it.
    """

    points_mm: Points2
    closed: bool
    operation: Operation = Operation.CUT

    @property
    def length_mm(self) -> float:
        """Length of the path, the closing chord included."""
        x, y = np.diff(self.points_mm, axis=0).T
        length = float(np.hypot(x, y).sum())
        if self.closed:
            length += float(np.hypot(*(self.points_mm[0] - self.points_mm[-1])))
        return length


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """All outlines of one flat part, in mm.

    Attributes:
        outlines: in the order of the file.
        layers: of the file, by name, and what is done along each; lines on none are not told.
    """

    outlines: tuple[Outline, ...]
    layers: Layers = ()

    @property
    def bounds_mm(self) -> tuple[Points2, Points2]:
        """Lowest and highest corner over all outlines, each of shape (2,)."""
        points = np.concatenate([outline.points_mm for outline in self.outlines])
        return points.min(axis=0), points.max(axis=0)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Arcs:
    """Which moves of a program run along arcs in the XY plane, helices included.

    Attributes:
        move: (k,) int64, their indices, ascending.
        centre_mm: (k, 2) float64.
        sweep_rad: (k,) float64, counter-clockwise seen from above; clockwise ones are negative.
    """

    move: NDArray[np.int64]
    centre_mm: Points2
    sweep_rad: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Program:
    """The moves of a print that has been prepared already, in coordinates of the machine.

    Attributes:
        points_mm: (n + 1, 3) float64, where the first move starts and where each one ends.
        filament_mm: (n,) float64, how much filament each move pushes on; negative pulls back.
        speed_mm_s: (n,) float64, along the path, or of the filament where only that moves; 0 is as
            fast as the machine travels.
        dwell_s: (n,) float64, how long the machine stands still; such a move leads nowhere.
        exact: (n,) bool, whether the machine stops at the end of the move.
        arcs: the moves that are not straight.
    """

    points_mm: Points3
    filament_mm: NDArray[np.float64]
    speed_mm_s: NDArray[np.float64]
    dwell_s: NDArray[np.float64]
    exact: NDArray[np.bool_]
    arcs: Arcs


Shape = Mesh | Drawing | Program
"""What a part file holds."""
