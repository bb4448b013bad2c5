"""Closed meshes of many shapes, for tests of what reads and mends them."""

import itertools

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray
from trimesh.creation import icosphere

from fabsched.model.shapes import Mesh

SPHERE = icosphere(subdivisions=1, radius=1.0)
DIRECTIONS: NDArray[np.float64] = np.array(SPHERE.vertices, dtype=np.float64)
FACES: NDArray[np.int32] = np.array(SPHERE.faces, dtype=np.int32)


def lump(seed: int) -> Mesh:
    """A body of 80 facets around a random middle, every ray from there leaving it once."""
    rng = np.random.default_rng(seed)
    radii = 10 ** rng.uniform(-0.5, 1.5) * rng.uniform(0.6, 1.4, (len(DIRECTIONS), 1))
    return Mesh(DIRECTIONS * radii + rng.uniform(-50, 50, 3), FACES.copy())


def joined(*meshes: Mesh) -> Mesh:
    """All facets of several meshes in one, none of their vertices shared."""
    starts = itertools.accumulate((len(mesh.vertices) for mesh in meshes), initial=0)
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]
    vertices = np.concatenate([mesh.vertices for mesh in meshes])
    return Mesh(vertices, np.concatenate(faces).astype(np.int32))


def moved(mesh: Mesh, *, by: tuple[float, float, float]) -> Mesh:
    """The mesh elsewhere."""
    return Mesh(mesh.vertices + np.array(by), mesh.faces)


def scaled(mesh: Mesh, factor: float) -> Mesh:
    """The mesh larger or smaller, seen from the origin."""
    return Mesh(mesh.vertices * factor, mesh.faces)


def soup(mesh: Mesh) -> Mesh:
    """The mesh with corners of its own for every facet."""
    corners = mesh.vertices[mesh.faces].reshape(-1, 3)
    return Mesh(corners, np.arange(len(corners), dtype=np.int32).reshape(-1, 3))


def turned(mesh: Mesh, facets: NDArray[np.bool_]) -> Mesh:
    """The mesh with some facets facing the other way."""
    faces = mesh.faces.copy()
    faces[facets] = faces[facets][:, ::-1]
    return Mesh(mesh.vertices, faces)


def triangles(mesh: Mesh) -> set[tuple[tuple[float, ...], ...]]:
    """The facets by their coordinates, each beginning with its lowest corner."""
    found = set()
    for facet in mesh.vertices[mesh.faces].tolist():
        corners = [tuple(corner) for corner in facet]
        first = corners.index(min(corners))
        found.add(tuple(corners[first:] + corners[:first]))
    return found


lumps = st.builds(lump, st.integers(0, 2**32 - 1))
