"""Sections of a mesh: planes, crossings, and the walk that chains crossings into polygons.

A vertex lies above a plane when its height is not less than the plane's. Each triangle that has
corners on both sides is then crossed by exactly one oriented segment, which starts on the edge
that leads down through the plane and ends on the edge that leads up. The next segment lies in the
triangle across that edge, so polygons are found by walking from triangle to triangle: no
coordinates are compared and no tolerance is needed.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Flags, Floats, Indices, Ints
from fabsched.model.shapes import Faces, Points3


class Sliced(NamedTuple):
    """A mesh made ready for slicing.

    Attributes:
        points: (v, 3) coordinates in mm.
        faces: (m, 3) int32.
        level: (v,) int32, number of planes not above the vertex.
        across: (3m,) int32 twins of the half-edges, -1 for none.
        planes: (k,) heights of the planes in mm, ascending.
    """

    points: Points3
    faces: Faces
    level: Indices
    across: Indices
    planes: Floats


class Layout(NamedTuple):
    """Where the segments of each triangle are filed, for a band of planes.

    Attributes:
        base: (m,) int32; the segment of a triangle in a plane is number `base + plane`.
        segments: their number.
        loose: segments that end on an edge with no triangle across.
    """

    base: Indices
    segments: int
    loose: int


class Chains(NamedTuple):
    """Polygons and open chains of a band of planes.

    Attributes:
        points: (n, 2) corners in mm; open chains hold their last point as well.
        starts: (c+1,) index of the first point of each chain, then n.
        plane: (c,) int32, the plane each lies in.
        closed: (c,) 1 for a polygon, 0 for an open chain.
    """

    points: Floats
    starts: Ints
    plane: Indices
    closed: Flags


@njit(cache=True, nogil=True)
def _edge_down(level: Indices, faces: Faces, t: int, plane: int) -> int:
    """Edge of triangle t that leads down through a plane that crosses it."""
    a = level[faces[t, 0]] > plane
    b = level[faces[t, 1]] > plane
    if a and not b:
        return 0
    return 1 if b and not level[faces[t, 2]] > plane else 2


@njit(cache=True, nogil=True)
def _edge_up(level: Indices, faces: Faces, t: int, plane: int, down: int) -> int:
    """The edge that leads up again: behind the corner across, unless that lies above too."""
    last = down - 1 if down else 2
    return (down + 1 if down < 2 else 0) if level[faces[t, last]] > plane else last


@njit(cache=True, nogil=True)
def _point_on(mesh: Sliced, t: int, edge: int, plane: int) -> tuple[float, float]:
    """Where an edge crosses a plane, computed from its lower end."""
    p = mesh.faces[t, edge]
    q = mesh.faces[t, edge + 1 if edge < 2 else 0]
    if mesh.level[p] > plane:
        p, q = q, p
    x, y, z = mesh.points[p, 0], mesh.points[p, 1], mesh.points[p, 2]
    u = (mesh.planes[plane] - z) / (mesh.points[q, 2] - z)
    return x + u * (mesh.points[q, 0] - x), y + u * (mesh.points[q, 1] - y)


@njit(cache=True, nogil=True)
def count_crossings(level: Indices, faces: Faces, planes: int) -> Ints:
    """How many triangles each plane crosses, shape (planes,)."""
    change = np.zeros(planes + 1, np.int64)
    for t in range(faces.shape[0]):
        a, b, c = level[faces[t, 0]], level[faces[t, 1]], level[faces[t, 2]]
        change[min(a, b, c)] += 1
        change[max(a, b, c)] -= 1
    return np.cumsum(change)[:planes]


@njit(cache=True, nogil=True)
def _crossed(mesh: Sliced, t: int, low: int, high: int) -> tuple[int, int]:
    """First of the planes low to high - 1 that crosses a triangle, and the first that no more does."""
    a = mesh.level[mesh.faces[t, 0]]
    b = mesh.level[mesh.faces[t, 1]]
    c = mesh.level[mesh.faces[t, 2]]
    first = max(min(a, b, c), low)
    return first, max(first, min(max(a, b, c), high))


@njit(cache=True, nogil=True)
def _ends_loose(mesh: Sliced, t: int, plane: int) -> bool:
    """Whether the segment of a triangle ends on an edge with no triangle across."""
    down = _edge_down(mesh.level, mesh.faces, t, plane)
    up = _edge_up(mesh.level, mesh.faces, t, plane, down)
    loose: bool = mesh.across[3 * t + up] < 0
    return loose


@njit(cache=True, nogil=True)
def _lay_out(mesh: Sliced, low: int, high: int) -> Layout:
    """File the segments of planes low to high - 1 triangle by triangle."""
    base = np.empty(mesh.faces.shape[0], np.int32)
    count = loose = 0
    for t in range(mesh.faces.shape[0]):
        first, end = _crossed(mesh, t, low, high)
        base[t] = count - first
        count += end - first
        if mesh.across[3 * t] < 0 or mesh.across[3 * t + 1] < 0 or mesh.across[3 * t + 2] < 0:
            for plane in range(first, end):
                loose += _ends_loose(mesh, t, plane)
    return Layout(base, count, loose)


@njit(cache=True, nogil=True)
def _walk(  # noqa: PLR0913, PLR0917 - compiled kernel
    mesh: Sliced, base: Indices, seen: Flags, points: Floats, at: int, t: int, plane: int
) -> tuple[int, int]:
    """Follow one chain from a triangle; returns the next free point and whether it closed."""
    down = _edge_down(mesh.level, mesh.faces, t, plane)
    while True:
        segment = base[t] + plane
        if seen[segment]:
            return at, 1
        seen[segment] = 1
        points[at, 0], points[at, 1] = _point_on(mesh, t, down, plane)
        at += 1
        up = _edge_up(mesh.level, mesh.faces, t, plane, down)
        twin = mesh.across[3 * t + up]
        if twin < 0:
            points[at, 0], points[at, 1] = _point_on(mesh, t, up, plane)
            return at + 1, 0
        t = twin // 3
        down = twin - 3 * t


@njit(cache=True, nogil=True)
def _begins_loose(mesh: Sliced, t: int, plane: int) -> bool:
    """Whether the segment of a triangle begins on an edge with no triangle across."""
    loose: bool = mesh.across[3 * t + _edge_down(mesh.level, mesh.faces, t, plane)] < 0
    return loose


@njit(cache=True, nogil=True)
def _chain(mesh: Sliced, layout: Layout, low: int, high: int) -> Chains:
    """Walk all chains, those that begin at a gap first."""
    points = np.empty((layout.segments + layout.loose, 2))
    starts = np.empty(layout.segments + 1, np.int64)
    plane_of = np.empty(layout.segments, np.int32)
    closed = np.empty(layout.segments, np.uint8)
    seen = np.zeros(layout.segments, np.uint8)
    at = chains = 0
    for heads_only in range(0 if layout.loose == 0 else 1, -1, -1):
        for t in range(mesh.faces.shape[0]):
            first, end = _crossed(mesh, t, low, high)
            for plane in range(first, end):
                if seen[layout.base[t] + plane]:
                    continue
                if heads_only and not _begins_loose(mesh, t, plane):
                    continue
                starts[chains] = at
                plane_of[chains] = plane
                at, closed[chains] = _walk(mesh, layout.base, seen, points, at, t, plane)
                chains += 1
    starts[chains] = at
    return Chains(
        points[:at], starts[: chains + 1].copy(), plane_of[:chains].copy(), closed[:chains].copy()
    )


def chain_band(mesh: Sliced, low: int, high: int) -> Chains:
    """Polygons and open chains of the planes low to high - 1.

    Memory is about 4 bytes a triangle and 30 bytes a crossing of the band.
    """
    return _chain(mesh, _lay_out(mesh, low, high), low, high)
