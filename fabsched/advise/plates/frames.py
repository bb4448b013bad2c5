"""Frames of plates, and the one place that turns meshes and outlines into the library's solids."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, Error, FillRule, Manifold, Mesh64, OpType
from numpy.typing import NDArray

from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Mesh, Points2, Points3

NOISE_MM = 1e-6
"""Corners of an outline closer than this to the line between their neighbours are left out."""
SNAP_MM = 1e-3
"""Corners of a body so close to a plane lie in it (coordinates of a part of a metre in single
precision are good to 6e-5 mm)."""


def along(points: Points3, direction: Points3) -> NDArray[np.float64]:
    """How far points lie in a direction, (n,).

    Written out, since a library would share a product this small between processors and wait.
    """
    x, y, z = (float(value) for value in direction)
    found = points[:, 0] * x
    if y:
        found += points[:, 1] * y
    if z:
        found += points[:, 2] * z
    return np.asarray(found)


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Directions in which a plate lies flat.

    Attributes:
        axes: (3, 3) unit vectors as rows: along the plate, across it, and its normal; right-handed.
    """

    axes: NDArray[np.float64]

    def into(self, points: Points3) -> Points3:
        """Points of the part as seen from the plate, (n, 3)."""
        return np.stack([along(points, axis) for axis in self.axes], axis=1)

    def back(self, points: Points3) -> Points3:
        """Points seen from the plate as points of the part, (n, 3)."""
        return np.stack([along(points, axis) for axis in self.axes.T], axis=1)

    def laid(self, body: Manifold) -> Manifold:
        """A body of the part as seen from the plate."""
        return body.transform(np.hstack([self.axes, np.zeros((3, 1))]))

    def raised(self, body: Manifold) -> Manifold:
        """A body seen from the plate as a body of the part."""
        return body.transform(np.hstack([self.axes.T, np.zeros((3, 1))]))


def frame_along(normal: Points3) -> Frame:
    """The frame of a normal, (3,); its first axis lies along x or y of the part where it can.

    >>> frame_along(np.array([0.0, 0.0, 1.0])).axes.tolist()
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    """
    plain = np.round(normal)
    exact = plain if np.abs(normal - plain).max() < 1e-9 else normal / np.linalg.norm(normal)
    start = np.eye(3)[0 if abs(exact[0]) < 0.9 else 1]
    first = start - exact * (start @ exact)
    first /= np.linalg.norm(first)
    return Frame(np.stack([first, np.cross(exact, first), exact]) + 0.0)


def solid_of(mesh: Mesh, where: str) -> Manifold:
    """A mesh as a solid.

    Raises:
        InputError: its surface is not closed.
    """
    points = np.ascontiguousarray(mesh.vertices, dtype=np.float64)
    body = Manifold(Mesh64(points, np.ascontiguousarray(mesh.faces, dtype=np.uint64)))
    if body.status() != Error.NoError or body.is_empty():
        raise InputError(Fault.PLATES_NEED_CLOSED, where)
    return body


def mesh_of(body: Manifold) -> Mesh:
    """A solid as a mesh."""
    arrays = body.to_mesh64()
    points = np.array(arrays.vert_properties[:, :3], dtype=np.float64)
    return Mesh(points, np.array(arrays.tri_verts, dtype=np.int32))


def area_of(rings: Iterable[Points2]) -> CrossSection:
    """Rings, outer ones counter-clockwise and holes clockwise, as an area."""
    return CrossSection([np.asarray(ring) for ring in rings], FillRule.NonZero)


def rings_of(area: CrossSection) -> tuple[Points2, ...]:
    """The borders of an area, needless corners left out."""
    return tuple(np.array(ring, dtype=np.float64) for ring in area.simplify(NOISE_MM).to_polygons())


def prism(area: CrossSection, low_mm: float, high_mm: float) -> Manifold:
    """An area raised from one height to another, in the frame of the area."""
    return area.extrude(high_mm - low_mm).translate((0.0, 0.0, low_mm))


def joined(bodies: Sequence[Manifold]) -> Manifold:
    """The union of bodies."""
    return bodies[0] if len(bodies) == 1 else Manifold.batch_boolean(list(bodies), OpType.Add)


def all_of(areas: Sequence[CrossSection]) -> CrossSection:
    """The union of areas; nothing if there are none."""
    return CrossSection.batch_boolean(list(areas), OpType.Add) if areas else CrossSection()


def snapped(body: Manifold, heights_mm: Sequence[float]) -> Manifold:
    """A body whose corners near some heights lie exactly there.

    Cutting it there then leaves no films behind.
    """

    def move(points: Points3) -> Points3:
        moved = np.array(points)
        for height in heights_mm:
            near = np.abs(moved[:, 2] - height) < SNAP_MM
            moved[near, 2] = height
        return moved

    return body.warp_batch(move)
