"""Plain arrays that pass between the compiled kernels, bundled under names."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
"""float64 array; one-dimensional unless stated."""
Ints = NDArray[np.int64]
"""One-dimensional int64 array."""
Indices = NDArray[np.int32]
"""int32 array; one-dimensional unless stated."""
Flags = NDArray[np.uint8]
"""One-dimensional array of small codes or zeros and ones."""


class Loops(NamedTuple):
    """Closed polygons one after another.

    Attributes:
        x: (n,) coordinates in mm.
        y: (n,) coordinates in mm.
        starts: (m+1,) index of the first point of each polygon, then n.
    """

    x: Floats
    y: Floats
    starts: Ints


class Spans(NamedTuple):
    """Straight pieces of parallel lines.

    Attributes:
        ends: (n, 4) x0, y0, x1, y1 in mm, ordered by line, then along it.
        line: (n,) number of the line each piece lies on, counted from 0.
    """

    ends: Floats
    line: Indices


NO_LOOPS = Loops(np.empty(0), np.empty(0), np.zeros(1, np.int64))
NO_SPANS = Spans(np.empty((0, 4)), np.empty(0, np.int32))


def bundled(polygons: Sequence[NDArray[np.float64]]) -> Loops:
    """Polygons given as (n, 2) arrays.

    >>> bundled([np.array([[0.0, 0], [1, 0], [0, 1]])]).starts.tolist()
    [0, 3]
    """
    if not polygons:
        return NO_LOOPS
    points = np.concatenate(polygons)
    starts = np.cumsum([0, *(len(polygon) for polygon in polygons)])
    return Loops(np.ascontiguousarray(points[:, 0]), np.ascontiguousarray(points[:, 1]), starts)


def joined(parts: list[Loops]) -> Loops:
    """Several bundles of polygons as one.

    >>> square = Loops(np.array([0.0, 1, 1, 0]), np.array([0.0, 0, 1, 1]), np.array([0, 4]))
    >>> joined([square, NO_LOOPS, square]).starts.tolist()
    [0, 4, 8]
    """
    kept = [part for part in parts if part.x.size]
    if not kept:
        return NO_LOOPS
    counts = np.concatenate([np.diff(part.starts) for part in kept])
    starts = np.concatenate([np.zeros(1, np.int64), np.cumsum(counts)])
    x = np.concatenate([part.x for part in kept])
    return Loops(x, np.concatenate([part.y for part in kept]), starts)
