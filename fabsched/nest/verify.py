"""An independent check of a layout: exact distances and areas, no pixels."""

import math
from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, FillRule
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Points2

Floats = NDArray[np.float64]

TOLERANCE_MM = 1e-4
"""How far a part may stick out, or two without a gap may overlap: far below any kerf or bead."""
GAP_SHARE = 0.999
"""Share of the gap that must be there; corners are rounded by chords."""


def distance_mm(first: Points2, second: Points2, limit_mm: float = math.inf) -> float:
    """Least distance of two rings: 0 if one crosses, touches or contains the other.

    Args:
        first: (n, 2) ring.
        second: (m, 2) ring.
        limit_mm: distances above this are not told apart.

    Returns:
        The distance, or the limit if that is smaller.
    """
    if _contains(first, second[0]) or _contains(second, first[0]):
        return 0.0
    low, high = second.min(axis=0) - limit_mm, second.max(axis=0) + limit_mm
    return math.sqrt(_between(first, second, low, high, limit_mm**2))


@njit(cache=True, nogil=True)
def _between(first: Points2, second: Points2, low: Floats, high: Floats, limit2: float) -> float:
    """Squared distance of two rings, edge by edge; edges outside the box are left aside."""
    least = limit2
    p = first[-1]
    for i in range(len(first)):
        q = first[i]
        near = max(p[0], q[0]) >= low[0] and min(p[0], q[0]) <= high[0]
        if near and max(p[1], q[1]) >= low[1] and min(p[1], q[1]) <= high[1]:
            r = second[-1]
            for j in range(len(second)):
                s = second[j]
                least = min(least, _edges2(p, q, r, s))
                r = s
        p = q
    return least


@njit(cache=True, nogil=True)
def _edges2(p: Floats, q: Floats, r: Floats, s: Floats) -> float:
    """Squared distance of the edges p-q and r-s: an end's from the other edge, or 0."""
    if _side(p, q, r) * _side(p, q, s) < 0.0 and _side(r, s, p) * _side(r, s, q) < 0.0:
        return 0.0
    of_first = min(_point2(p, r, s), _point2(q, r, s))
    return min(of_first, _point2(r, p, q), _point2(s, p, q))


@njit(cache=True, nogil=True)
def _side(a: Floats, b: Floats, p: Floats) -> float:
    """Positive where p lies to the left of the line from a to b."""
    side: float = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
    return side


@njit(cache=True, nogil=True)
def _point2(p: Floats, a: Floats, b: Floats) -> float:
    """Squared distance of a point from an edge."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length2 = max(dx * dx + dy * dy, 1e-30)
    share = min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length2))
    away: float = (p[0] - a[0] - share * dx) ** 2 + (p[1] - a[1] - share * dy) ** 2
    return away


@njit(cache=True, nogil=True)
def _contains(ring: Points2, point: Floats) -> bool:
    """Whether a point lies inside, by the number of edges to its right."""
    inside = False
    a = ring[-1]
    for i in range(len(ring)):
        b = ring[i]
        if (a[1] > point[1]) != (b[1] > point[1]):
            inside ^= a[0] + (point[1] - a[1]) * (b[0] - a[0]) / (b[1] - a[1]) > point[0]
        a = b
    return inside


def problems(
    bins: Sequence[Sequence[Points2]], bin_size_mm: tuple[float, float], gap_mm: float
) -> tuple[str, ...]:
    """What is wrong with a layout.

    Args:
        bins: (n, 2) rings of all parts where they lie, by bin.
        bin_size_mm: width and height of a bin.
        gap_mm: least distance of two parts.

    Returns:
        One line for each part that sticks out and each pair too close; nothing if all is well.
    """
    found: list[str] = []
    for number, parts in enumerate(bins):
        boxes = np.array([[*p.min(axis=0), *p.max(axis=0)] for p in parts]).reshape(-1, 4)
        outside = (boxes[:, :2] < -TOLERANCE_MM) | (
            boxes[:, 2:] > np.add(bin_size_mm, TOLERANCE_MM)
        )
        found.extend(
            f"bin {number}: part {i} sticks out" for i in np.flatnonzero(outside.any(axis=1))
        )
        for i, j in _near(boxes, gap_mm):
            if _too_close(parts[i], parts[j], gap_mm):
                found.append(f"bin {number}: parts {i} and {j} are too close")
    return tuple(found)


def _near(boxes: NDArray[np.float64], gap_mm: float) -> list[tuple[int, int]]:
    """Pairs whose boxes are nearer than the gap."""
    pairs: list[tuple[int, int]] = []
    for i in range(len(boxes)):
        low, high = boxes[i, :2] - gap_mm, boxes[i, 2:] + gap_mm
        rest = boxes[i + 1 :]
        near = ((rest[:, :2] < high) & (rest[:, 2:] > low)).all(axis=1)
        pairs.extend((i, int(j) + i + 1) for j in np.flatnonzero(near))
    return pairs


def _too_close(first: Points2, second: Points2, gap_mm: float) -> bool:
    if gap_mm > TOLERANCE_MM:
        return distance_mm(first, second, gap_mm) < GAP_SHARE * gap_mm
    shared = _area(first) ^ _area(second)
    width = float(np.ptp(first, axis=0).max())
    return float(shared.area()) > TOLERANCE_MM * width


def _area(ring: Points2) -> CrossSection:
    return CrossSection([ring], FillRule.NonZero)
