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
from fabsched.model.shapes import Faces


class Sliced(NamedTuple):
    """A mesh made ready for slicing.

    Attributes:
        x, y, z: (v,) coordinates in mm.
        faces: (m, 3) int32.
        level: (v,) int32, number of planes not above the vertex.
        across: (3m,) int32 twins of the half-edges, -1 for none.
        planes: (k,) heights of the planes in mm, ascending.
    """

    x: Floats
    y: Floats
    z: Floats
    faces: Faces
    level: Indices
    across: Indices
    planes: Floats


class Layout(NamedTuple):
    """Where the segments of each triangle are filed, for a band of planes.

    Attributes:
        first: (m,) int32, first plane of the band that crosses the triangle.
        offset: (m+1,) number of the triangle's first segment; the last entry is their count.
        loose: segments that end on an edge with no triangle across.
    """

    first: Indices
    offset: Ints
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
def _edges_crossed(level: Indices, faces: Faces, t: int, plane: int) -> tuple[int, int]:
    """Edge of triangle t that leads down through a plane, and the one that leads up."""
    a = level[faces[t, 0]] > plane
    b = level[faces[t, 1]] > plane
    c = level[faces[t, 2]] > plane
    if a == c:
        return (0, 1) if a else (1, 0)
    if a != b:
        return (0, 2) if a else (2, 0)
    return (1, 2) if b else (2, 1)


@njit(cache=True, nogil=True)
def _point_on(mesh: Sliced, t: int, edge: int, plane: int) -> tuple[float, float]:
    """Where an edge crosses a plane, computed from its lower end."""
    p = mesh.faces[t, edge]
    q = mesh.faces[t, edge + 1 if edge < 2 else 0]
    if mesh.level[p] > plane:
        p, q = q, p
    u = (mesh.planes[plane] - mesh.z[p]) / (mesh.z[q] - mesh.z[p])
    x = mesh.x[p] + u * (mesh.x[q] - mesh.x[p])
    y = mesh.y[p] + u * (mesh.y[q] - mesh.y[p])
    return x, y


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
def _lay_out(mesh: Sliced, low: int, high: int) -> Layout:
    """File the segments of planes low to high - 1 triangle by triangle."""
    count = mesh.faces.shape[0]
    first = np.empty(count, np.int32)
    offset = np.zeros(count + 1, np.int64)
    loose = 0
    for t in range(count):
        a = mesh.level[mesh.faces[t, 0]]
        b = mesh.level[mesh.faces[t, 1]]
        c = mesh.level[mesh.faces[t, 2]]
        first[t] = max(min(a, b, c), low)
        crossed = max(0, min(max(a, b, c), high) - first[t])
        offset[t + 1] = offset[t] + crossed
        if mesh.across[3 * t] < 0 or mesh.across[3 * t + 1] < 0 or mesh.across[3 * t + 2] < 0:
            for plane in range(first[t], first[t] + crossed):
                up = _edges_crossed(mesh.level, mesh.faces, t, plane)[1]
                loose += mesh.across[3 * t + up] < 0
    return Layout(first, offset, loose)


@njit(cache=True, nogil=True)
def _walk(  # noqa: PLR0913, PLR0917 - compiled kernel
    mesh: Sliced, layout: Layout, seen: Flags, points: Floats, at: int, t: int, plane: int
) -> tuple[int, int]:
    """Follow one chain from a triangle; returns the next free point and whether it closed."""
    while True:
        segment = layout.offset[t] + plane - layout.first[t]
        if seen[segment]:
            return at, 1
        seen[segment] = 1
        down, up = _edges_crossed(mesh.level, mesh.faces, t, plane)
        points[at, 0], points[at, 1] = _point_on(mesh, t, down, plane)
        at += 1
        twin = mesh.across[3 * t + up]
        if twin < 0:
            points[at, 0], points[at, 1] = _point_on(mesh, t, up, plane)
            return at + 1, 0
        t = twin // 3


@njit(cache=True, nogil=True)
def _chain(mesh: Sliced, layout: Layout) -> Chains:
    """Walk all chains, those that begin at a gap first."""
    segments = layout.offset[-1]
    points = np.empty((segments + layout.loose, 2))
    starts = np.empty(segments + 1, np.int64)
    plane_of = np.empty(segments, np.int32)
    closed = np.empty(segments, np.uint8)
    seen = np.zeros(segments, np.uint8)
    at = chains = 0
    for heads_only in range(0 if layout.loose == 0 else 1, -1, -1):
        for t in range(mesh.faces.shape[0]):
            for s in range(layout.offset[t], layout.offset[t + 1]):
                plane = layout.first[t] + s - layout.offset[t]
                if seen[s]:
                    continue
                if heads_only:
                    down = _edges_crossed(mesh.level, mesh.faces, t, plane)[0]
                    if mesh.across[3 * t + down] >= 0:
                        continue
                starts[chains] = at
                plane_of[chains] = plane
                at, closed[chains] = _walk(mesh, layout, seen, points, at, t, plane)
                chains += 1
    starts[chains] = at
    return Chains(
        points[:at], starts[: chains + 1].copy(), plane_of[:chains].copy(), closed[:chains].copy()
    )


def chain_band(mesh: Sliced, low: int, high: int) -> Chains:
    """Polygons and open chains of the planes low to high - 1.

    Memory is about 20 bytes a triangle and 45 bytes a crossing of the band.
    """
    return _chain(mesh, _lay_out(mesh, low, high))
