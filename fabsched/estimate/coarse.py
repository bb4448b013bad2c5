"""Solids with fewer triangles, to be looked at."""

import numpy as np
from numpy.typing import NDArray

from fabsched.model.shapes import Mesh, Points3

Ints = NDArray[np.int64]

FIRST_CELLS = 400
"""Cells along the longest side that are tried first."""
SHRINK = 0.75
"""How many fewer cells are tried next."""


def coarsened(mesh: Mesh, most_faces: int) -> Mesh:
    """The solid with at most so many triangles; the same solid if it has no more.

    Vertices in the same cell of a grid become one, their mean, and triangles without area go
    (vertex clustering: Rossignac and Borrel, Modeling in Computer Graphics, 1993, from memory).

    Args:
        mesh: what is looked at.
        most_faces: how many triangles there may be, at least 12.
    """
    cells, coarse = float(FIRST_CELLS), mesh
    while len(coarse.faces) > most_faces:
        coarse = _clustered(mesh, cells)
        cells *= SHRINK
    return coarse


def _clustered(mesh: Mesh, cells: float) -> Mesh:
    """One vertex for each cell that holds any."""
    low, high = mesh.bounds_mm
    cell_mm = max(float((high - low).max()), 1e-9) / max(cells, 1.0)
    keys = np.floor((mesh.vertices - low) / cell_mm).astype(np.int64)
    rows, owner = _unique_rows(keys)
    counts = np.bincount(owner, minlength=rows)
    sums = [np.bincount(owner, weights=mesh.vertices[:, i], minlength=rows) for i in range(3)]
    vertices: Points3 = np.column_stack(sums) / counts[:, None]
    faces = owner[mesh.faces].astype(np.int32)
    a, b, c = faces[:, 0], faces[:, 1], faces[:, 2]
    return Mesh(vertices, faces[(a != b) & (b != c) & (c != a)])


def _unique_rows(keys: Ints) -> tuple[int, Ints]:
    """How many different rows there are, and which of them each row is."""
    shifted = keys - keys.min(axis=0)
    spans = shifted.max(axis=0) + 1
    flat = (shifted[:, 0] * spans[1] + shifted[:, 1]) * spans[2] + shifted[:, 2]
    unique, owner = np.unique(flat, return_inverse=True)
    return len(unique), owner.reshape(-1)
