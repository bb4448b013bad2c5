"""An independent check of a layout: exact distances and areas, no pixels."""

import math
from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, FillRule
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Points2
from fabsched.nest.records import Bin

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
    return apart_mm([first], [second], limit_mm)


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
    """What is wrong with a layout of parts without holes in rectangular bins.

    Args:
        bins: (n, 2) rings of all parts where they lie, by bin.
        bin_size_mm: width and height of a bin.
        gap_mm: least distance of two parts.

    Returns:
        One line for each part that sticks out and each pair too close; nothing if all is well.
    """
    room = Bin(size_mm=bin_size_mm)
    return tuple(
        f"bin {number}: {line}"
        for number, parts in enumerate(bins)
        for line in faults([[part] for part in parts], room, gap_mm)
    )


def faults(parts: Sequence[Sequence[Points2]], room: Bin, gap_mm: float) -> tuple[str, ...]:
    """What is wrong with the layout of one bin.

    Args:
        parts: border and holes of every part where it lies, (n, 2) each.
        room: the bed, sheet or offcut.
        gap_mm: least distance of two parts.

    Returns:
        One line for each part that sticks out, each that lies on an area kept out and each pair too
        close; nothing if all is well.
    """
    boxes = np.array([[*p[0].min(axis=0), *p[0].max(axis=0)] for p in parts]).reshape(-1, 4)
    outside = (boxes[:, :2] < -TOLERANCE_MM) | (boxes[:, 2:] > np.add(room.size_mm, TOLERANCE_MM))
    found = [f"part {i} sticks out" for i in np.flatnonzero(outside.any(axis=1))]
    if room.outline or room.keep_out:
        found.extend(
            line for i, part in enumerate(parts) for line in _misplaced(i, part, room, gap_mm)
        )
    for i, j in _near(boxes, gap_mm):
        if _too_close(parts[i], parts[j], gap_mm):
            found.append(f"parts {i} and {j} are too close")
    return tuple(found)


def _misplaced(number: int, part: Sequence[Points2], room: Bin, gap_mm: float) -> list[str]:
    """Whether a part leaves a bin's own outline or is too near to an area kept out."""
    area = _area(part)
    found: list[str] = []
    allowed = TOLERANCE_MM * _length(part[0])
    if room.outline and (area - _area([np.array(room.outline)])).area() > allowed:
        found.append(f"part {number} sticks out")
    kept_out = ([np.array(ring, dtype=np.float64)] for ring in room.keep_out)
    near = (ring for ring in kept_out if _too_close(part, ring, gap_mm))
    found.extend(f"part {number} is too close to an area kept out" for _ in near)
    return found


def _length(ring: Points2) -> float:
    return float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum())


def _near(boxes: NDArray[np.float64], gap_mm: float) -> list[tuple[int, int]]:
    """Pairs whose boxes are nearer than the gap."""
    pairs: list[tuple[int, int]] = []
    for i in range(len(boxes)):
        low, high = boxes[i, :2] - gap_mm, boxes[i, 2:] + gap_mm
        rest = boxes[i + 1 :]
        near = ((rest[:, :2] < high) & (rest[:, 2:] > low)).all(axis=1)
        pairs.extend((i, int(j) + i + 1) for j in np.flatnonzero(near))
    return pairs


def _too_close(first: Sequence[Points2], second: Sequence[Points2], gap_mm: float) -> bool:
    if gap_mm > TOLERANCE_MM:
        return apart_mm(first, second, gap_mm) < GAP_SHARE * gap_mm
    shared = _area(first) ^ _area(second)
    contact = min(_length(first[0]), _length(second[0])) / 2
    return float(shared.area()) > TOLERANCE_MM * contact


def apart_mm(
    first: Sequence[Points2], second: Sequence[Points2], limit_mm: float = math.inf
) -> float:
    """Least distance of two parts with holes: 0 if they touch or overlap.

    Args:
        first: border and holes, (n, 2) each.
        second: likewise.
        limit_mm: distances above this are not told apart.

    Returns:
        The distance, or the limit if that is smaller.
    """
    if _inside(first, second[0][0]) or _inside(second, first[0][0]):
        return 0.0
    least = limit_mm**2
    for ring in first:
        for other in second:
            low, high = other.min(axis=0) - limit_mm, other.max(axis=0) + limit_mm
            least = min(least, _between(ring, other, low, high, least))
    return math.sqrt(least)


def _inside(part: Sequence[Points2], point: Floats) -> bool:
    """Whether a point lies in a part, and in none of its holes."""
    return _contains(part[0], point) and not any(_contains(hole, point) for hole in part[1:])


def _area(part: Sequence[Points2]) -> CrossSection:
    solid = CrossSection([part[0]], FillRule.NonZero)
    return solid - CrossSection(list(part[1:]), FillRule.NonZero) if part[1:] else solid
