"""Which closed shells of a mesh are hollows, and which are bodies that face the wrong way."""

import numpy as np
from numpy.typing import NDArray

from fabsched.files.mesh_kernels import Indices
from fabsched.model.shapes import Faces, Points3

MOST_SHELLS = 256
MOST_FACETS = 100_000_000
"""So many inward-facing shells are looked at, the largest ones, and so many facets in all. More
shells are sponge or lattice, whose hollows are taken as meant."""


def inverted_shells(
    points: Points3,
    faces: Faces,
    volumes: NDArray[np.float64],
    shell: Indices,
    rim: NDArray[np.bool_],
) -> NDArray[np.bool_]:
    """Facets of closed shells that face inwards with no solid around them.

    A shell that faces inwards inside a solid is a hollow; anywhere else it is a body turned inside
    out. (By the fill rule of the 3MF Core Specification, section 4.1.1, such a body would vanish.)

    Args:
        points: (n, 3) in mm.
        faces: (m, 3).
        volumes: signed volume under each facet, (m,) in mm³.
        shell: lowest facet of each facet's shell, (m,).
        rim: which half-edges have no twin, (3m,).

    Returns:
        (m,) true where the facet is to be turned.
    """
    wrong = np.zeros(len(faces), dtype=np.bool_)
    roots = np.flatnonzero(shell == np.arange(len(shell)))
    if len(roots) == 1:
        return wrong
    of_shell = np.bincount(shell, volumes, len(faces))
    of_shell[shell[rim.reshape(-1, 3).any(axis=1)]] = 0  # an open shell has no inside
    inward = roots[of_shell[roots] < 0]
    inward = inward[np.argsort(of_shell[inward], kind="stable")]
    corners = points[faces]
    low, high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
    for root in inward[: min(MOST_SHELLS, 1 + MOST_FACETS // len(faces))]:
        point = corners[root].mean(axis=0)
        beside = ((low <= point[:2]) & (high >= point[:2])).all(axis=1)
        others = beside & (shell != root)
        if winding(corners[others], point) < 1:
            wrong |= shell == root
    return wrong


def winding(triangles: NDArray[np.float64], point: NDArray[np.float64]) -> int:
    """How many solids more than hollows lie around a point.

    Counts the facets above the point, those that look up as one and those that look down as minus
    one. Seen from above, the borders of neighbouring facets cancel exactly, since each edge is
    judged alike from both sides; so a ray through an edge or a corner is counted once.

    Args:
        triangles: (m, 3, 3) in mm.
        point: (3,) in mm.

    Returns:
        1 inside a solid, 0 outside or in a hollow.
    """
    near = triangles - point
    a, b, c = near[:, 0], near[:, 1], near[:, 2]
    turns = _crossings(a, b) + _crossings(b, c) + _crossings(c, a)
    normal = np.cross(b - a, c - a)
    above = np.einsum("ij,ij->i", a, normal) * np.sign(normal[:, 2]) > 0
    return int(turns[above].sum())


def _crossings(a: Points3, b: Points3) -> NDArray[np.int64]:
    """Whether each edge, seen from above, passes the origin on its right, upwards 1, downwards -1."""
    side = a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]
    up = (a[:, 1] <= 0) & (b[:, 1] > 0) & (side > 0)
    down = (a[:, 1] > 0) & (b[:, 1] <= 0) & (side < 0)
    return up.astype(np.int64) - down.astype(np.int64)
