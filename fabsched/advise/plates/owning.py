"""Which plate owns what where plates meet.

The larger plate owns a shared edge and every corner; along the edge both get fingers in turn, the
larger one those at the ends; where two plates cross, each is slotted half-way. A plate that meets a larger one askew cannot be cut straight and
stays with the printed pieces.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from fabsched.advise.plates.finding import Slab
from fabsched.advise.plates.frames import area_of, prism
from fabsched.advise.plates.joinery import Joinery
from fabsched.model.shapes import Points3

NOTHING_MM3 = 1e-3
"""Overlaps and bodies smaller than this are rounding."""
HAIR_MM = 1e-3
"""Half the width of tongues and slits that are rounding."""
SQUARE = 1e-6
"""Cosine up to which plates stand at a right angle."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Owned:
    """A plate with what is left to it.

    Attributes:
        slab: where it lies.
        area: its outline in the slab's frame.
        gap_mm2: area lost to the play between fingers.
        edges: strips along which it meets other plates, in the slab's frame.
    """

    slab: Slab
    area: CrossSection
    gap_mm2: float = 0.0
    edges: tuple[CrossSection, ...] = ()


@dataclass(slots=True)
class _Claim:
    """A plate while edges are dealt out."""

    slab: Slab
    area: CrossSection
    gap_mm2: float
    edges: list[CrossSection]

    def body(self) -> Manifold:
        """All of the slab, as a body of the part."""
        slab = self.slab
        return slab.frame.raised(prism(area_of(slab.rings), slab.low_mm, slab.high_mm))


def dealt_out(
    slabs: Sequence[Slab], joinery: Joinery
) -> tuple[tuple[Owned, ...], tuple[Slab, ...]]:
    """Give every edge and corner to one of the plates that meet there.

    Args:
        slabs: the plates to be cut, the largest first.
        joinery: measures of the fingers.

    Returns:
        The plates that can be cut, and those that meet a larger one askew.
    """
    straight, askew = _straight(slabs)
    claims = [_Claim(slab, area_of(slab.rings), 0.0, []) for slab in straight]
    bodies = [claim.body() for claim in claims]
    for one, other in combinations(range(len(claims)), 2):
        shared = bodies[one] ^ bodies[other]
        for bar in shared.decompose() if not shared.is_empty() else ():
            if bar.volume() > NOTHING_MM3:
                _share(claims[one], claims[other], bar, joinery)
    return tuple(_owned(claim) for claim in claims), askew


def _owned(claim: _Claim) -> Owned:
    """What is left to a plate, without the hairs that rounding leaves along shared edges."""
    area = claim.area
    for way in (-1.0, 1.0) if claim.edges else ():
        area = area.offset(way * HAIR_MM, JoinType.Miter, 2.0)
        area = area.offset(-way * HAIR_MM, JoinType.Miter, 2.0)
    return Owned(slab=claim.slab, area=area, gap_mm2=claim.gap_mm2, edges=tuple(claim.edges))


def _straight(slabs: Sequence[Slab]) -> tuple[list[Slab], tuple[Slab, ...]]:
    """Plates that meet all larger ones at a right angle or not at all, and the others."""
    kept: list[tuple[Slab, Manifold]] = []
    askew: list[Slab] = []
    for slab in slabs:
        body = _Claim(slab, CrossSection(), 0.0, []).body()
        if any(_meets_askew(slab, body, *other) for other in kept):
            askew.append(slab)
        else:
            kept.append((slab, body))
    return [slab for slab, _ in kept], tuple(askew)


def _meets_askew(slab: Slab, body: Manifold, other: Slab, other_body: Manifold) -> bool:
    if abs(float(slab.frame.axes[2] @ other.frame.axes[2])) < SQUARE:
        return False
    return bool((body ^ other_body).volume() > NOTHING_MM3)


def _share(owner: _Claim, other: _Claim, bar: Manifold, joinery: Joinery) -> None:
    """Deal out one bar in which two plates meet."""
    edge = np.cross(owner.slab.frame.axes[2], other.slab.frame.axes[2])
    corners = np.asarray(bar.to_mesh64().vert_properties)[:, :3] @ edge
    low, high = float(corners.min()), float(corners.max())
    in_owner, in_other = (claim.slab.frame.laid(bar).project() for claim in (owner, other))
    if _divides(in_owner, owner.area) and _divides(in_other, other.area):
        theirs = [
            (0.5 * (low + high), high)
        ]  # they cross: each gets a slot half-way, from its edge
    else:
        ends = _fingers(low, high, joinery.finger_mm)
        theirs = list(zip(ends[1:-1:2], ends[2:-1:2], strict=True))
    slots = _strips(owner.slab, edge, theirs) ^ in_owner
    wide = slots.offset(joinery.room_mm, JoinType.Miter, 2.0) if theirs else slots
    owner.gap_mm2 += ((wide - slots) ^ owner.area).area()
    owner.area -= wide
    other.area -= in_other - _strips(other.slab, edge, theirs)
    owner.edges.append(in_owner)
    other.edges.append(in_other)


def _divides(strip: CrossSection, area: CrossSection) -> bool:
    """Whether an area falls apart without a strip."""
    return len((area - strip).decompose()) > len(area.decompose())


def _fingers(low: float, high: float, finger_mm: float) -> list[float]:
    """Ends of an odd number of fingers of about a length.

    >>> _fingers(0.0, 50.0, 12.0), _fingers(0.0, 20.0, 12.0)
    ([0.0, 10.0, 20.0, 30.0, 40.0, 50.0], [0.0, 20.0])
    """
    count = int((high - low) / finger_mm)
    count = count + 1 - count % 2 if count > 2 else 1
    return [low + (high - low) * i / count for i in range(count + 1)]


def _strips(slab: Slab, edge: Points3, spans: Sequence[tuple[float, float]]) -> CrossSection:
    """Stretches along an edge, right across a slab, in its frame."""
    x, y = (float(value) for value in slab.frame.axes[:2] @ edge)
    along, across = np.array([x, y]), np.array([-y, x])
    reach = 1.0 + max(float(np.abs(ring).max()) for ring in slab.rings) * 2.0
    return area_of(
        np.stack(
            [along * s + across * side * reach for s, side in ((a, -1), (b, -1), (b, 1), (a, 1))]
        )
        for a, b in spans
    )
