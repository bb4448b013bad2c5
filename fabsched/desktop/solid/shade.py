"""A solid in one colour, lit from the upper left, its edges drawn out. No Qt here."""

import numpy as np
from numpy.typing import NDArray

from fabsched.desktop.solid.camera import Stand
from fabsched.files.raster import Seen, rasterised

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]
"""(height, width, 4) blue, green, red and opacity, as Qt keeps them on most machines."""

LIGHT = np.array([-0.45, 0.65, 0.62]) / np.linalg.norm([-0.45, 0.65, 0.62])
"""Where the light comes from: right, up, towards the eye."""
AMBIENT = 0.42
"""Brightness of what turns its back to the light (our own choice)."""
CREASE = 0.86
"""An edge is drawn where the sides beside it meet at more than about thirty degrees."""
STEP = 0.012
"""An edge is drawn where depth jumps by more than this share of the solid's (our own choice)."""
EDGE = 0.5
"""Brightness of an edge against the surface beside it (our own choice)."""


def normals(points: Floats, faces: NDArray[np.int32]) -> Floats:
    """(m, 3) unit normals of triangles; zero for those without area."""
    a, b, c = (points[faces[:, corner]] for corner in range(3))
    across = np.cross(b - a, c - a)
    length = np.linalg.norm(across, axis=1, keepdims=True)
    return across / np.where(length > 0, length, 1.0)


def picture(
    points_mm: Floats,
    faces: NDArray[np.int32],
    stand: Stand,
    size_px: tuple[int, int],
    colour: tuple[int, int, int] | Floats,
) -> Pixels:
    """Draw a solid; where there is none the picture is clear.

    Args:
        points_mm: (n, 3).
        faces: (m, 3), counter-clockwise seen from outside.
        stand: from where.
        size_px: width and height.
        colour: red, green and blue, 0 to 255: one for all, or (m, 3) one for each face.
    """
    facing = normals(points_mm, faces) @ stand.camera.axes.T
    towards = facing[:, 2] > 0
    front, facing = faces[towards], facing[towards]
    seen = rasterised(stand.project(points_mm), front, size_px)
    tint = np.broadcast_to(np.asarray(colour, np.float64), (len(faces), 3))[towards]
    bright = AMBIENT + (1 - AMBIENT) * np.clip(facing @ LIGHT, 0.0, 1.0)
    return _coloured(seen, bright, facing, tint)


def _coloured(seen: Seen, bright: Floats, facing: Floats, tint: Floats) -> Pixels:
    there = seen.face >= 0
    out = np.zeros((*seen.face.shape, 4), np.uint8)
    if not len(bright):
        return out
    light = np.where(_edges(seen, facing), EDGE, 1.0) * bright[seen.face]
    for channel, values in enumerate(reversed(tint.T)):
        out[..., channel] = np.where(there, np.clip(light * values[seen.face], 0, 255), 0)
    out[..., 3] = np.where(there, 255, 0)
    return out


def _edges(seen: Seen, facing: Floats) -> NDArray[np.bool_]:
    """Pixels whose right or lower neighbour belongs to a side at another angle or depth."""
    way, there = facing[seen.face], seen.face >= 0
    edge = np.zeros(there.shape, np.bool_)
    for axis in (0, 1):
        one = tuple(slice(None, -1) if at == axis else slice(None) for at in range(2))
        other = tuple(slice(1, None) if at == axis else slice(None) for at in range(2))
        angle = np.einsum("ijk,ijk->ij", way[one], way[other]) < CREASE
        jump = np.abs(seen.depth[one] - seen.depth[other]) > STEP
        edge[one] |= there[one] & there[other] & (angle | jump & (way[one][..., 2] > 0.3))
        edge[one] |= there[one] & ~there[other]
        edge[other] |= there[other] & ~there[one]
    return edge
