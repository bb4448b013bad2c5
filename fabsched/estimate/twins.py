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
def _bucket_starts(faces: Faces, vertex_count: int) -> Ints:
    """Room for the half-edges of each vertex, filed under the lower of their two corners."""
    starts = np.zeros(vertex_count + 1, np.int64)
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        starts[min(a, b) + 1] += 1
        starts[min(b, c) + 1] += 1
        starts[min(c, a) + 1] += 1
    return np.cumsum(starts)


@njit(cache=True, nogil=True)
def _pair(faces: Faces, vertex_count: int) -> tuple[Indices, int]:
    """Pair each half-edge with the first free one against it, in linear time."""
    starts = _bucket_starts(faces, vertex_count)
    filled = starts[:-1].copy()
    # Beside each half-edge that waits stands twice its higher corner, plus 1 where it leads up to
    # it: so what it is compared with lies side by side.
    waiting = np.empty((starts[-1], 2), np.int32)
    across = np.full(3 * faces.shape[0], -1, np.int32)
    paired = 0
    for t in range(faces.shape[0]):
        for i in range(3):
            a, b = faces[t, i], faces[t, i + 1 if i < 2 else 0]
            low, against = (a, 2 * b) if a < b else (b, 2 * a + 1)
            slot, end = starts[low], filled[low]
            while slot < end and waiting[slot, 0] != against:
                slot += 1
            if slot < end:
                other = waiting[slot, 1]
                across[3 * t + i], across[other] = other, 3 * t + i
                waiting[slot, 0] = -1
                paired += 2
            else:
                waiting[end, 0], waiting[end, 1] = against ^ 1, 3 * t + i
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
