"""Where in a contact a screw can go."""

import math

import numpy as np
from manifold3d import CrossSection, JoinType

from fabsched.advise.plates.contact_records import Point, disc
from fabsched.advise.plates.joinery import Joinery
from fabsched.advise.plates.judging import signed_mm2
from fabsched.model.shapes import Points2

BORE_MM = 0.3
"""A hole of the piece that differs by no more from a pilot hole is taken for one."""
ROUNDNESS = 0.97
"""A hole is round if 4 pi times its area is no smaller share of its border squared; a square has
0.79, a polygon of twelve corners 0.98."""
FINE_MM = 0.25
"""How finely the place of a screw is looked for."""


def grown(area: CrossSection, by_mm: float) -> CrossSection:
    """An area with its border moved out, round at the corners; nothing stays nothing."""
    return area if area.is_empty() else area.offset(by_mm, JoinType.Round)


def bores_of(area: CrossSection, pilot_mm: float) -> list[Point]:
    """Middles of the round holes of a contact that will do as pilot holes."""
    found = []
    for ring in area.to_polygons():
        inside = -signed_mm2(ring)
        if inside <= 0.0 or abs(2.0 * math.sqrt(inside / math.pi) - pilot_mm) > BORE_MM:
            continue
        around = float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())
        if 4.0 * math.pi * inside > ROUNDNESS * around**2:
            found.append(centroid(ring))
    return found


def centroid(ring: Points2) -> Point:
    """Centre of the area inside a ring, (2,).

    >>> centroid(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 4.0], [0.0, 4.0]])).tolist()
    [1.0, 2.0]
    """
    start = ring[0]
    x, y = (ring - start).T
    across = x * np.roll(y, -1) - np.roll(x, -1) * y
    twice = float(across.sum())
    sums = [float(((v + np.roll(v, -1)) * across).sum()) for v in (x, y)]
    return np.asarray(start + np.array(sums) / (3.0 * twice))


def spread(free: CrossSection, joinery: Joinery) -> list[Point]:
    """One place deep inside an area, or two far apart if it is long."""
    points = np.concatenate([np.asarray(ring) for ring in free.to_polygons()])
    middle = points.mean(axis=0)
    long = points[np.linalg.norm(points - middle, axis=1).argmax()]
    other = points[np.linalg.norm(points - long, axis=1).argmax()]
    if np.linalg.norm(other - long) < joinery.far_mm:
        return [deepest(free)]
    return [inwards(free, end) for end in (long, other)]


def deepest(area: CrossSection) -> Point:
    """A point about as far from the border as any."""
    kept = area
    step = 0.25 * math.sqrt(area.area())
    while step > FINE_MM:
        smaller = kept.offset(-step, JoinType.Miter, 2.0)
        if smaller.is_empty():
            step *= 0.5
        else:
            kept = smaller
    largest = max(kept.decompose(), key=lambda island: island.area())
    return inwards(
        largest, np.mean([np.mean(ring, axis=0) for ring in largest.to_polygons()], axis=0)
    )


def inwards(area: CrossSection, wanted: Point) -> Point:
    """The place wanted if the area holds it, else the nearest of its corners."""
    if not (area ^ disc(wanted, 1e-3)).is_empty():
        return np.asarray(wanted)
    points = np.concatenate([np.asarray(ring) for ring in area.to_polygons()])
    return np.asarray(points[np.linalg.norm(points - wanted, axis=1).argmin()])
