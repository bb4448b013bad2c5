"""Which triangle lies across each edge."""

from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Indices, Ints
from fabsched.model.shapes import Faces


class Twins(NamedTuple):
    """The neighbours of every half-edge; half-edge 3t + i of triangle t leaves its corner i.

    Attributes:
        across: (3t,) int32, the half-edge running the other way along the same edge, -1 if none.
        open_edges: how many have none; 0 exactly if the surface is closed and wound consistently.
    """

    across: Indices
    open_edges: int


@njit(cache=True, nogil=True)
def _ends(faces: Faces, half: int) -> tuple[int, int]:
    """Corner a half-edge leaves and corner it reaches."""
    t = half // 3
    i = half - 3 * t
    return faces[t, i], faces[t, i + 1 if i < 2 else 0]


@njit(cache=True, nogil=True)
def _bucket_starts(faces: Faces, vertex_count: int) -> Ints:
    """Room for the half-edges of each vertex, filed under the lower of their two corners."""
    starts = np.zeros(vertex_count + 1, np.int64)
    for half in range(3 * faces.shape[0]):
        a, b = _ends(faces, half)
        starts[min(a, b) + 1] += 1
    return np.cumsum(starts)


@njit(cache=True, nogil=True)
def _pair(faces: Faces, vertex_count: int) -> tuple[Indices, int]:
    """Pair each half-edge with the first free one against it, in linear time."""
    starts = _bucket_starts(faces, vertex_count)
    filled = starts[:-1].copy()
    waiting = np.empty(3 * faces.shape[0], np.int32)
    across = np.full(3 * faces.shape[0], -1, np.int32)
    paired = 0
    for half in range(3 * faces.shape[0]):
        a, b = _ends(faces, half)
        low = min(a, b)
        for slot in range(starts[low], filled[low]):
            other = waiting[slot]
            if other < 0:
                continue
            c, d = _ends(faces, other)
            if c == b and d == a:
                across[half] = other
                across[other] = half
                waiting[slot] = -1
                paired += 2
                break
        else:
            waiting[filled[low]] = half
            filled[low] += 1
    return across, across.size - paired


def pair_edges(faces: Faces, vertex_count: int) -> Twins:
    """Find the half-edge across every half-edge.

    Args:
        faces: (m, 3) vertex indices.
        vertex_count: one more than the largest index that may occur.

    Returns:
        The pairs; edges shared by more than two triangles are paired two by two.
    """
    across, open_edges = _pair(faces, vertex_count)
    return Twins(across, int(open_edges))
