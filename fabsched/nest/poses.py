"""A part in each way it may be turned, grown by half the gap and drawn as pixels."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType

from fabsched.model.shapes import Points2, turned
from fabsched.nest.raster import Table, rasterised

ROUND = 128
"""Chords of a full turn at the corners of a grown part: half a gap short by 3 parts in 10 000."""
MITRE = 2.0
"""Asked for by the library, not used for rounded corners."""


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """A part turned one way.

    Attributes:
        turn_deg: how far it is turned.
        runs: its pixels, from `rasterised`.
        columns: how many columns they take.
        size_mm: extent of the part with half the gap on every side.
        corner_mm: lower left corner of that box, the part turned but not moved.
        rings: border and holes of the grown part, the corner at (0, 0).
    """

    turn_deg: float
    runs: Table
    columns: int
    size_mm: tuple[float, float]
    corner_mm: tuple[float, float]
    rings: list[Points2]


def area_of(outline: Points2, holes: Sequence[Points2] = ()) -> CrossSection:
    """The area inside a ring and outside of its holes; rings may run either way."""
    area = CrossSection([outline], FillRule.NonZero)
    return area - CrossSection(list(holes), FillRule.NonZero) if holes else area


def grown(outline: Points2, gap_mm: float, holes: Sequence[Points2] = ()) -> list[Points2]:
    """The borders of a part with half the gap around it, rounded at corners.

    Args:
        outline: (n, 2) ring; it may run either way and touch itself.
        gap_mm: the gap, 0 for none.
        holes: rings of its holes; those that half the gap fills are gone.

    Returns:
        The outer border, then the holes.

    Raises:
        ValueError: the outline encloses no area, or lies in pieces.
    """
    area = area_of(outline, holes)
    area = area.offset(gap_mm / 2, JoinType.Round, MITRE, ROUND) if gap_mm else area
    pieces = area.decompose()
    if area.is_empty() or len(pieces) != 1:
        raise ValueError("an outline encloses one area")
    rings: list[Points2] = sorted(
        pieces[0].to_polygons(), key=lambda ring: -float(np.ptp(ring[:, 0]))
    )
    return rings if holes else rings[:1]


def poses_of(
    outline: Points2,
    gap_mm: float,
    turns: Sequence[float],
    resolution_mm: float,
    holes: Sequence[Points2] = (),
) -> list[Pose]:
    """A part in every way it may be turned; ways that look alike are given once.

    Args:
        outline: (n, 2) ring.
        gap_mm: least distance of two parts.
        turns: angles allowed, in degrees.
        resolution_mm: side of a pixel.
        holes: rings of its holes.
    """
    borders = grown(outline, gap_mm, holes)
    poses: list[Pose] = []
    for turn_deg in turns:
        pose = _pose(outline, borders, gap_mm, turn_deg, resolution_mm)
        if not any(np.array_equal(pose.runs, other.runs) for other in poses):
            poses.append(pose)
    return poses


def _pose(
    outline: Points2,
    borders: Sequence[Points2],
    gap_mm: float,
    turn_deg: float,
    resolution_mm: float,
) -> Pose:
    """One pose. Its box is that of the outline, since chords round the grown corners off a little."""
    ring = turned(outline, turn_deg)
    x, y = (float(v) - gap_mm / 2 for v in ring.min(axis=0))
    wide, high = (float(v) + gap_mm for v in np.ptp(ring, axis=0))
    rings = [np.asarray(turned(border, turn_deg) - [x, y]) for border in borders]
    runs = rasterised(rings, resolution_mm)
    return Pose(turn_deg, runs, int(runs[:, 2].max()), (wide, high), (x, y), rings)
