"""Slabs cut out of a body by planes, so that nothing is left of them, not even a film."""

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from fabsched.advise.plates.frames import area_of, joined, prism, snapped
from fabsched.advise.plates.rounds import NOTHING_MM3
from fabsched.advise.plates.slabs import Slab
from fabsched.model.shapes import Points3

HAIR_MM = 1e-7
"""Too little to count, enough to tell what lies on either side of a plane."""
SKIN_MM = 1e-5
"""As much more than a plate is cut out where it ends inside the part, so that no film is left."""
ALL = 0.9999
"""Share of a body that a plate has to be to be all of it."""
SHARES = (0.001, 0.5, 0.999)
"""Where along its thickness that is looked at."""
LEAST_MM2 = 1.0
"""A plate that covers less of a body is none of it."""


def without(whole: Manifold, slabs: Sequence[Slab]) -> tuple[list[Manifold], float]:
    """Bodies left when slabs are cut out by planes, and the volume that was cut out."""
    bodies, taken = [whole], 0.0
    for slab in slabs:
        left: list[Manifold] = []
        for body in bodies:
            rest, gone = _cut_out(body, slab)
            left += rest
            taken += gone
        bodies = left
    return bodies, taken


def _cut_out(body: Manifold, slab: Slab) -> tuple[list[Manifold], float]:
    """One body without a slab: what lies above, below and beside it, and the volume between.

    What lies above is cut a hair higher than the face, and what lies between a hair lower, so that no
    film of the face comes along and holds together what is apart; what lies beside is then made higher
    by two, so that it grows together again with what it belongs to.
    """
    frame, low, high = slab.frame, slab.low_mm, slab.high_mm
    laid = snapped(frame.laid(body), (low, high))
    above = laid.trim_by_plane((0, 0, 1), high + HAIR_MM)
    below = laid.trim_by_plane((0, 0, -1), -(low - HAIR_MM))
    between = laid.trim_by_plane((0, 0, -1), -(high - HAIR_MM))
    beside, gone = _told_apart(between.trim_by_plane((0, 0, 1), low + HAIR_MM), slab)
    gone *= slab.thick_mm / (slab.thick_mm - 2.0 * HAIR_MM)
    kept = [each for each in (above, below) if not each.is_empty()]
    if beside:
        kept = [joined([*kept, *(_stretched(island, low, high) for island in beside)])]
    return [frame.raised(island) for each in kept for island in each.decompose()], gone


def _told_apart(between: Manifold, slab: Slab) -> tuple[list[Manifold], float]:
    """What lies at the height of a slab but is none of it, and the volume of what is."""
    outline = area_of(slab.rings)
    beside, gone = [], 0.0
    for island in between.decompose():
        volume, rest = island.volume(), [island]
        cuts = [island.slice(slab.low_mm + share * slab.thick_mm) for share in SHARES]
        shared = [_shared_mm2(cut, outline) for cut in cuts]
        if all(mine > ALL * cut.area() for mine, cut in zip(shared, cuts, strict=True)):
            rest = []
        elif max(shared) > LEAST_MM2:
            tool = outline.offset(SKIN_MM, JoinType.Miter, 2.0)
            rest = (island - prism(tool, slab.low_mm - 1.0, slab.high_mm + 1.0)).decompose()
        rest = [each for each in rest if each.volume() > NOTHING_MM3]
        gone += volume - sum(each.volume() for each in rest)
        beside += rest
    return beside, gone


def _shared_mm2(one: CrossSection, other: CrossSection) -> float:
    """Area two areas share; quick where they are the same."""
    size = abs(one.area() - other.area()) < 1e-6 * other.area()
    if size and np.allclose(one.bounds(), other.bounds(), rtol=0.0, atol=SKIN_MM):
        return float(one.area())
    return float((one ^ other).area())


def _stretched(body: Manifold, low_mm: float, high_mm: float) -> Manifold:
    """A body with its lowest and highest faces moved out by two hairs."""

    def move(points: Points3) -> Points3:
        moved = np.array(points)
        moved[points[:, 2] > high_mm - 2.0 * HAIR_MM, 2] = high_mm + 2.0 * HAIR_MM
        moved[points[:, 2] < low_mm + 2.0 * HAIR_MM, 2] = low_mm - 2.0 * HAIR_MM
        return moved

    return body.warp_batch(move)
