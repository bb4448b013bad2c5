"""Slabs cut out of a body by planes, so that nothing is left of them, not even a film."""

from collections.abc import Sequence

import numpy as np
from manifold3d import Manifold

from fabsched.advise.plates.finding import Slab
from fabsched.advise.plates.frames import area_of, joined, snapped
from fabsched.advise.plates.owning import NOTHING_MM3
from fabsched.model.shapes import Points3

HAIR_MM = 1e-7
"""Too little to count, enough to tell what lies on either side of a plane."""


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

    What lies above is cut a hair higher than the face, so that no film of the face comes along; what
    lies beside is made higher by two, so that it grows together again with what it belongs to.
    """
    frame, low, high = slab.frame, slab.low_mm, slab.high_mm
    laid = snapped(frame.laid(body), (low, high))
    above = laid.trim_by_plane((0, 0, 1), high + HAIR_MM)
    below = laid.trim_by_plane((0, 0, -1), -(low - HAIR_MM))
    between = laid.trim_by_plane((0, 0, -1), -high).trim_by_plane((0, 0, 1), low)
    beside, gone = _told_apart(between, slab)
    kept = [each for each in (above, below) if not each.is_empty()]
    if beside:
        kept = [joined([*kept, *(_stretched(island, low, high) for island in beside)])]
    return [frame.raised(island) for each in kept for island in each.decompose()], gone


def _told_apart(between: Manifold, slab: Slab) -> tuple[list[Manifold], float]:
    """What lies at the height of a slab but is none of it, and the volume of what is."""
    outline = area_of(slab.rings)
    beside, gone = [], 0.0
    for island in between.decompose():
        section = island.slice(0.5 * (slab.low_mm + slab.high_mm))
        if (section ^ outline).area() > 0.5 * section.area():
            gone += island.volume()
        elif island.volume() > NOTHING_MM3:
            beside.append(island)
    return beside, gone


def _stretched(body: Manifold, low_mm: float, high_mm: float) -> Manifold:
    """A body with its lowest and highest faces moved out by two hairs."""

    def move(points: Points3) -> Points3:
        moved = np.array(points)
        moved[points[:, 2] > high_mm - HAIR_MM, 2] = high_mm + 2.0 * HAIR_MM
        moved[points[:, 2] < low_mm + HAIR_MM, 2] = low_mm - 2.0 * HAIR_MM
        return moved

    return body.warp_batch(move)
