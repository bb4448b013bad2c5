"""No-fit polygons: for two parts, where the second must not lie as seen from the first.

The area is the Minkowski sum of the first and the mirrored second; it is put together from the sums of
the triangles of both (convex pieces: Lozano-Perez, IEEE Trans. Computers C-32(2), 1983, from memory).
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, triangulate
from numpy.typing import NDArray

from fabsched.model.shapes import Points2, turned
from fabsched.nest.poses import ROUND, area_of
from fabsched.nest.raster import Floats
from fabsched.nest.records import Ring

SNUG_MM = 2e-5
"""Parts are given smaller by this, so that they fit where they fit exactly; far below the check's
tolerance."""
CORNER = 1.1
"""A corner of an area with a gap around it may stick out by a tenth of the gap, else it is cut off:
few edges, and nowhere less than the gap."""

Pieces = NDArray[np.float64]
"""(n, 3, 2) triangles."""


class NoFit(NamedTuple):
    """What parts in all the ways they may be turned leave to each other.

    Attributes:
        edges: (k, 7) edges of all areas: both ends, the way from one to the other, and one over the square
            of its length.
        begin: (poses * poses + 1,) where the edges begin for a pose and a pose beside it.
        boxes: (poses * poses, 4) least x and y, and most.
        sizes: (poses, 2) width and height.
        poses: (items + 1,) where the poses of each item begin.
    """

    edges: Floats
    begin: NDArray[np.int64]
    boxes: Floats
    sizes: Floats
    poses: NDArray[np.int64]


class Turned(NamedTuple):
    """A part turned one way.

    Attributes:
        turn_deg: how far.
        corner_mm: lower left corner of its box, turned but not moved.
        size_mm: width and height.
        pieces: of its area, the corner at (0, 0).
        look: the same for ways that look alike.
    """

    turn_deg: float
    corner_mm: Points2
    size_mm: Points2
    pieces: Pieces
    look: bytes


def ways_of(outline: Ring, holes: Sequence[Ring], turns: Sequence[float]) -> list[Turned]:
    """A part in every way it may be turned; ways that look alike are given once.

    Args:
        outline: its border.
        holes: borders of its holes.
        turns: angles allowed, in degrees.
    """
    rings = [np.array(ring, dtype=np.float64) for ring in (outline, *holes)]
    found: dict[bytes, Turned] = {}
    for turn_deg in turns:
        way = _way(rings, turn_deg)
        found.setdefault(way.look, way)
    return list(found.values())


def _way(rings: Sequence[Points2], turn_deg: float) -> Turned:
    lying = [turned(ring, turn_deg) for ring in rings]
    corner, size = lying[0].min(axis=0), np.ptp(lying[0], axis=0)
    moved = [ring - corner for ring in lying]
    look = np.array(sorted((np.round(np.concatenate(moved), 6) + 0.0).tolist())).tobytes()
    return Turned(turn_deg, corner, size, _pieces(_snug(moved)), look)


def _snug(rings: Sequence[Points2]) -> list[Points2]:
    """An area a little smaller."""
    area = area_of(rings[0], rings[1:])
    smaller: list[Points2] = area.offset(-SNUG_MM, JoinType.Miter, 2.0, ROUND).to_polygons()
    return smaller or list(rings)


def _pieces(rings: Sequence[Points2]) -> Pieces:
    """Triangles of an area whose holes run the other way round."""
    return np.asarray(np.concatenate(rings)[triangulate(list(rings))], dtype=np.float64)


def nofit_of(ways: Sequence[Sequence[Turned]], gap_mm: float) -> NoFit:
    """All no-fit polygons.

    Args:
        ways: of each item, from `ways_of`.
        gap_mm: least distance of two parts.
    """
    flat = [way for each in ways for way in each]
    sums = [_apart(a.pieces, b.pieces, gap_mm) for a in flat for b in flat]
    edges = [np.concatenate(list(map(_edges, rings))) for rings in sums]
    counts = [len(each) for each in ways]
    return NoFit(
        edges=np.concatenate(edges),
        begin=np.cumsum([0, *map(len, edges)]).astype(np.int64),
        boxes=np.array([[*e[:, :2].min(axis=0), *e[:, :2].max(axis=0)] for e in edges]),
        sizes=np.array([way.size_mm for way in flat]),
        poses=np.cumsum([0, *counts]).astype(np.int64),
    )


def _apart(first: Pieces, second: Pieces, gap_mm: float) -> list[Points2]:
    """Borders of where the second part overlaps the first, or is nearer than the gap."""
    area = CrossSection(list(_sums(first, second)), FillRule.Positive)
    area = area.offset(gap_mm, JoinType.Miter, CORNER, ROUND) if gap_mm else area
    rings: list[Points2] = area.to_polygons()
    return rings


def _sums(first: Pieces, second: Pieces) -> Iterator[Points2]:
    for one in first:
        for other in second:
            points = (one[:, None] - other[None]).reshape(-1, 2)
            yield CrossSection.hull_points(points).to_polygons()[0]


def _edges(ring: Points2) -> Floats:
    way = np.roll(ring, -1, axis=0) - ring
    square = np.maximum((way**2).sum(axis=1, keepdims=True), 1e-30)
    return np.hstack([ring, ring + way, way, 1.0 / square])
