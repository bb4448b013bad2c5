"""How far a plate reaches into another one it meets: only where it goes on beyond.

Between the faces of a rib the plate below it looks like more of the rib, right across the part. Cut so,
loose tiles would be left beside the rib, and ribs in line would be one. Where walls of unequal height cross, the lower one
looks like reaching up the higher one's whole height; cut so, the higher one would fall apart.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection, JoinType

from fabsched.advise.plates.frames import all_of, area_of, rings_of
from fabsched.advise.plates.owning import ROOM_MM, SQUARE, strips_along
from fabsched.advise.plates.rounds import NOTHING_MM3
from fabsched.advise.plates.slabs import Slab
from fabsched.model.shapes import Points3

BESIDE = 0.05
"""Share of the other plate's thickness in which what goes on beyond it is looked for."""
LEAST_MM2 = 1.0
"""Less than this is not worth another outline (own choice)."""


def reaching(slabs: Sequence[Slab]) -> list[Slab]:
    """Plates without what belongs to others alone; what falls apart then is several plates.

    Args:
        slabs: plates, each as wide as the part is between its faces.

    Returns:
        The plates, the largest first.
    """
    kept: list[Slab] = []
    for slab in sorted(slabs, key=lambda each: -each.area_mm2):
        kept += _parts(slab, [each for each in kept if _square(slab, each)])
    kept.sort(key=lambda each: -each.area_mm2)
    smaller = ([each for each in kept[at:] if _square(kept[at], each)] for at in range(len(kept)))
    found = [
        part for slab, others in zip(kept, smaller, strict=True) for part in _parts(slab, others)
    ]
    return sorted(found, key=lambda each: -each.area_mm2)


def _square(one: Slab, other: Slab) -> bool:
    """Whether two slabs stand at a right angle."""
    return abs(float(one.frame.axes[2] @ other.frame.axes[2])) < SQUARE


def _parts(slab: Slab, others: Sequence[Slab]) -> list[Slab]:
    """What a slab keeps where it meets others."""
    area = area_of(slab.rings)
    alien = all_of([_alien(slab, area, each) for each in others])
    if alien.area() < LEAST_MM2:
        return [slab]
    return [
        replace(slab, rings=rings_of(island), area_mm2=float(island.area()))
        for island in _without_hairs(area - alien).decompose()
    ]


def _without_hairs(area: CrossSection) -> CrossSection:
    """An area without what rounding leaves of strips that were taken out of it."""
    thinned = area.offset(-ROOM_MM, JoinType.Miter, 2.0)
    return thinned.offset(ROOM_MM, JoinType.Miter, 2.0)


def _alien(slab: Slab, area: CrossSection, other: Slab) -> CrossSection:
    """What of a slab lies inside another one and does not go on beyond it on either side."""
    shared = slab.body() ^ other.body()
    if shared.volume() < NOTHING_MM3:
        return CrossSection()
    strip = slab.frame.laid(shared).project()
    edge = np.cross(other.frame.axes[2], slab.frame.axes[2])
    # hairs that rounding leaves beside it are nothing that goes on
    rest = area - strip.offset(ROOM_MM, JoinType.Miter, 2.0)
    spans = _beside(slab, rest, strip, other)
    return strip - strips_along(slab, edge, spans) if spans else strip


def _beside(
    slab: Slab, rest: CrossSection, strip: CrossSection, other: Slab
) -> list[tuple[float, float]]:
    """Stretches along a strip, mm, beside which there is something."""
    normal: Points3 = other.frame.axes[2]
    edge = np.cross(normal, slab.frame.axes[2])
    across, along = slab.frame.axes[:2] @ normal, slab.frame.axes[:2] @ edge
    step = BESIDE * other.thick_mm * across
    moved = [strip.translate((side * float(step[0]), side * float(step[1]))) for side in (-1, 1)]
    spans = []
    for touching in (all_of(moved) ^ rest).decompose():
        at = np.concatenate(touching.to_polygons()) @ along
        spans.append((float(at.min()), float(at.max())))
    return spans
