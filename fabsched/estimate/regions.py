"""Plane regions: the one place that talks to the polygon library (manifold3d).

A region is what a section of a solid is: polygons with holes, no overlaps, outer borders
counter-clockwise. Offsets join at mitred corners, which is what parallel beads do.
"""

from typing import Protocol

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType
from numba import njit

from fabsched.estimate.arrays import Floats, Ints, Loops, bundled
from fabsched.model.shapes import Points2


class Region(Protocol):
    """Polygons with holes, in mm: the part of the library's class that is used."""

    def area(self) -> float:
        """Area in mm^2."""

    def is_empty(self) -> bool:
        """Whether there is nothing."""

    def num_contour(self) -> int:
        """Number of borders, holes counted."""

    def offset(self, delta: float, join_type: object, miter_limit: float) -> "Region":
        """Borders moved outwards by delta mm."""

    def to_polygons(self) -> list[Points2]:
        """The borders, (n, 2) each."""

    def hull(self) -> "Region":
        """The smallest convex region around it."""


def _typed(region: Region) -> Region:
    """Gives what comes from the untyped library its type."""
    return region


MITRE = 2.0
"""Corners reach at most this many times the offset from where they were."""


def polygons_of(loops: Loops) -> list[Points2]:
    """Each polygon as an array of its own, (n, 2)."""
    points = np.stack([loops.x, loops.y], axis=1)
    return np.split(points, loops.starts[1:-1])


def covered_by(loops: Loops) -> Region:
    """Everything the polygons wind around at least once in either sense (non-zero filling).

    Overlapping solids therefore count once, and holes, which run the other way, stay holes.
    """
    return _typed(CrossSection(polygons_of(loops), FillRule.NonZero))


def library_inset(loops: Loops, distance_mm: float) -> Loops:
    """Borders moved inwards, outwards if the distance is negative; any distance, any polygons."""
    return loops_of(covered_by(loops).offset(-distance_mm, JoinType.Miter, MITRE))


def loops_of(region: Region) -> Loops:
    """The borders of a region, tidy."""
    return bundled(region.to_polygons())


@njit(cache=True, nogil=True)
def _measure(x: Floats, y: Floats, starts: Ints) -> tuple[float, float, float]:
    """Signed area, perimeter and sum of tan(turn / 2) over all corners."""
    area = length = turning = 0.0
    for loop in range(starts.size - 1):
        low, high = starts[loop], starts[loop + 1]
        if high - low < 3:
            continue
        px, py = x[low] - x[high - 1], y[low] - y[high - 1]
        before = np.sqrt(px * px + py * py)
        for i in range(low, high):
            j = i + 1 if i + 1 < high else low
            dx, dy = x[j] - x[i], y[j] - y[i]
            here = np.sqrt(dx * dx + dy * dy)
            area += x[i] * y[j] - x[j] * y[i]
            length += here
            turning += _half_tangent(px * dy - py * dx, before * here + px * dx + py * dy)
            px, py, before = dx, dy, here
    return 0.5 * area, length, turning


@njit(cache=True, nogil=True)
def _half_tangent(cross: float, base: float) -> float:
    """tan(turn / 2) = sin / (1 + cos), at most `SHARPEST` either way."""
    if abs(cross) < SHARPEST * base:
        return cross / base
    return SHARPEST if cross > 0.0 else -SHARPEST


SHARPEST = 20.0
"""Bound for tan(turn / 2): beyond a turn of 174 degrees a corner is a needle."""


class Measure:
    """Area, perimeter and corners of the borders of a region.

    Attributes:
        area_mm2: area, holes taken off.
        length_mm: length of all borders.
        turning: T, the sum of tan(turn / 2) over all corners.
    """

    __slots__ = ("area_mm2", "length_mm", "turning")

    def __init__(self, loops: Loops) -> None:
        self.area_mm2, self.length_mm, self.turning = _measure(loops.x, loops.y, loops.starts)

    def grown_mm2(self, distance_mm: float) -> float:
        """Area after moving the border outwards with mitred corners: A + P d + T d^2.

        Steiner's formula for parallel bodies, in its form for mitred polygons; exact as long as
        no two pieces of border meet.
        """
        return self.area_mm2 + distance_mm * (self.length_mm + distance_mm * self.turning)
