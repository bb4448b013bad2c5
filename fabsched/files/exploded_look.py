"""How bodies look from above at an angle: what is seen in every pixel, and which edges can be seen.

Surfaces go through a depth buffer. An edge is looked at point by point: it is seen where none of the
pixels around is nearer by more than a surface beside it could be.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fabsched.files.raster import Seen, rasterised
from fabsched.model.shapes import Mesh, Points3

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AXES = np.array(
    [
        [0.866025403784, -0.5, 0.0],
        [0.25, 0.433012701892, 0.866025403784],
        [-0.433012701892, -0.75, 0.5],
    ]
)
"""Directions of the part that point right and up in the picture and to the viewer: halfway between x
and -y, from 30 degrees above."""
SHARP_COS = 0.9
"""Cosine between faces below which the edge between them is drawn."""
SIDE_PX = 720
"""Pixels along the longer side of the picture."""
STEP_PX = 0.5
"""Distance of the points at which an edge is looked at."""
ROOM_PX = 3.0
"""How much nearer than an edge what is beside it may be: two pixels away on steep surfaces."""
SHORT_PX = 1.5
"""Shorter bits of edges are not drawn."""
WHOLE = 0.9
"""Share of an edge from which it is seen as a whole, and drawn however short it is."""
FACING = 1e-6
"""Cosine from which a face looks at the viewer."""


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """What is seen of some bodies.

    Attributes:
        low_mm: (2,) lower left corner of the picture.
        size_mm: (2,) its width and height.
        mm_px: side of a pixel.
        body: (height, width) number of the body in every pixel; -1 where there is none.
        light: (height, width) how bright it is there, 1 in full light.
        lines: (n, 2, 2) ends of the edges that are seen, in mm, y up.
    """

    low_mm: Floats
    size_mm: Floats
    mm_px: float
    body: Ints
    light: Floats
    lines: Floats

    def at(self, row: int, column: int) -> Floats:
        """Where the middle of a pixel lies, (2,) mm, y up."""
        x = self.low_mm[0] + (column + 0.5) * self.mm_px
        y = self.low_mm[1] + self.size_mm[1] - (row + 0.5) * self.mm_px
        return np.array([x, y])


@dataclass(frozen=True, slots=True, eq=False)
class _Scene:
    """All bodies together.

    Attributes:
        points: (n, 3) corners: pixels right and down, and nearer to the viewer.
        faces: (m, 3) triangles.
        owners: (m,) body of each.
        normals: (m, 3) unit normals as seen from the viewer; 0 for triangles without area.
    """

    points: Floats
    faces: Ints
    owners: Ints
    normals: Floats

    @property
    def front(self) -> NDArray[np.bool_]:
        """Whether triangles look at the viewer, (m,)."""
        return np.asarray(self.normals[:, 2] > FACING)


def look_of(meshes: Sequence[Mesh], margin_mm: float) -> Look:
    """Look at bodies.

    Args:
        meshes: at least one.
        margin_mm: room around them.
    """
    flat = [mesh.vertices @ AXES.T for mesh in meshes]
    every = np.concatenate(flat)[:, :2]
    low, high = every.min(axis=0) - margin_mm, every.max(axis=0) + margin_mm
    mm_px = float((high - low).max()) / SIDE_PX
    size = np.ceil((high - low) / mm_px).astype(int)
    scene = _scene(meshes, flat, low, size, mm_px)
    front = np.flatnonzero(scene.front)
    pixels = (int(size[0]), int(size[1]))
    seen = rasterised(scene.points, scene.faces[front].astype(np.int32), pixels)
    owners, lit = scene.owners[front], _lit(scene.normals[front])
    there = seen.face >= 0
    ends = _seen_bits(scene, _edges(scene), _nearest(seen, scene))
    return Look(
        low_mm=low,
        size_mm=size * mm_px,
        mm_px=mm_px,
        body=np.where(there, owners[seen.face], -1),
        light=np.where(there, lit[seen.face], 0.0),
        lines=_in_mm(ends, low, size, mm_px),
    )


def _scene(
    meshes: Sequence[Mesh], flat: Sequence[Points3], low: Floats, size: Ints, mm_px: float
) -> _Scene:
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes[:-1])])
    faces = np.concatenate([m.faces + start for m, start in zip(meshes, starts, strict=True)])
    counts = [len(mesh.faces) for mesh in meshes]
    seen = np.concatenate(flat)
    a, b, c = (seen[faces[:, corner]] for corner in range(3))
    across = np.cross(b - a, c - a)
    length = np.linalg.norm(across, axis=1, keepdims=True)
    normals = np.divide(across, length, out=np.zeros_like(across), where=length > 1e-9)
    points = seen / mm_px
    points[:, 0] -= low[0] / mm_px
    points[:, 1] = size[1] - (points[:, 1] - low[1] / mm_px)
    owners = np.repeat(np.arange(len(meshes)), counts)
    return _Scene(points, faces.astype(np.int64), owners, normals)


def _lit(normals: Floats) -> Floats:
    """How bright faces are: more where they look up in the part, or at the viewer."""
    up = normals @ AXES[:, 2]
    return np.asarray(0.55 + 0.25 * up + 0.2 * normals[:, 2])


def _edges(scene: _Scene) -> Ints:
    """Ends of the edges at which the surface turns sharply, or away from the viewer, (k, 2)."""
    sides = scene.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    faces = np.repeat(np.arange(len(scene.faces)), 3)
    keys = sides.min(axis=1) * len(scene.points) + sides.max(axis=1)
    order = np.argsort(keys, kind="stable")
    one, other = order[:-1], order[1:]
    twins = keys[one] == keys[other]
    one, other = one[twins], other[twins]
    fronts = scene.front
    first, second = faces[one], faces[other]
    both = fronts[first] & fronts[second]
    cosine = np.einsum("ij,ij->i", scene.normals[first], scene.normals[second])
    drawn = (fronts[first] | fronts[second]) & ~(both & (cosine > SHARP_COS))
    return np.asarray(sides[one[drawn]])


def _nearest(seen: Seen, scene: _Scene) -> Floats:
    """How near the farthest of the pixels around each one is, in pixels; a border of none around."""
    low, high = float(scene.points[:, 2].min()), float(scene.points[:, 2].max())
    depth = np.where(seen.face >= 0, low + seen.depth * (high - low), -np.inf)
    wide = np.pad(depth, 2, constant_values=-np.inf)
    height, width = depth.shape
    around = [
        wide[1 + row : 3 + height + row, 1 + column : 3 + width + column]
        for row, column in product((-1, 0, 1), repeat=2)
    ]
    return np.asarray(np.minimum.reduce(around))


def _seen_bits(scene: _Scene, edges: Ints, nearest: Floats) -> Floats:
    """The parts of edges that nothing hides, (n, 2, 2) pixels."""
    start, end = scene.points[edges[:, 0]], scene.points[edges[:, 1]]
    length = np.hypot(*(end - start)[:, :2].T)
    counts = np.maximum(np.ceil(length / STEP_PX).astype(np.int64), 1) + 1
    owner = np.repeat(np.arange(len(edges)), counts)
    first = np.cumsum(counts) - counts
    share = (np.arange(len(owner)) - first[owner]) / (counts[owner] - 1)
    points = start[owner] + share[:, None] * (end - start)[owner]
    column, row = np.floor(points[:, :2]).astype(np.int64).T + 1
    height, width = nearest.shape
    around = nearest[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]
    open_to_view = points[:, 2] >= around - ROOM_PX
    begins = open_to_view & ~_before(open_to_view, owner)
    ends = open_to_view & ~_before(open_to_view[::-1], owner[::-1])[::-1]
    found = np.stack([points[begins, :2], points[ends, :2]], axis=1)
    least = np.minimum(SHORT_PX, WHOLE * length[owner[begins]])
    long = np.hypot(*(found[:, 1] - found[:, 0]).T) >= least
    return np.asarray(found[long])


def _before(marks: NDArray[np.bool_], owner: Ints) -> NDArray[np.bool_]:
    """The mark of the point before, on the same edge; not marked for the first one."""
    found = np.zeros_like(marks)
    found[1:] = marks[:-1] & (owner[1:] == owner[:-1])
    return found


def _in_mm(ends: Floats, low: Floats, size: Ints, mm_px: float) -> Floats:
    turned = np.stack([ends[..., 0], size[1] - ends[..., 1]], axis=-1)
    return np.asarray(low + turned * mm_px)
