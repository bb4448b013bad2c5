"""Which plate owns what where plates meet.

The larger plate owns a shared edge and every corner; along the edge both get fingers in turn, the
larger one those at the ends; where two plates cross, each is slotted half-way. A plate that meets a
larger one askew is cut square where that begins, since a laser cuts no slanted edges; the wedge
between stays with the printed pieces, and so does all of a plate of which too little would be left.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from fabsched.advise.plates.frames import all_of, area_of, rings_of
from fabsched.advise.plates.joinery import Joinery
from fabsched.advise.plates.rounds import NOTHING_MM3, Claim, Deal, close_rounds
from fabsched.advise.plates.slabs import Slab
from fabsched.model.shapes import Points3

HAIR_MM = 1e-3
"""Half the width of tongues and slits that are rounding."""
ROOM_MM = 1e-4
"""Room for rounding."""
LEFT = 0.5
"""Share of a plate that must be left where a larger one meets it askew (own choice)."""
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
    if len(slabs) == 1:
        (slab,) = slabs
        return (Owned(slab=slab, area=area_of(slab.rings)),), ()
    straight, askew = _straight(slabs)
    claims = [Claim(slab, area_of(slab.rings), CrossSection(), []) for slab, _ in straight]
    bodies = [body for _, body in straight]
    deals: dict[tuple[int, int], list[Deal]] = {}
    for one, other in combinations(range(len(claims)), 2):
        shared = bodies[one] ^ bodies[other]
        bars = [bar for bar in shared.decompose() if bar.volume() > NOTHING_MM3]
        if bars:
            pair = claims[one], claims[other]
            deals[one, other] = [_share(*pair, bar, joinery) for bar in bars]
    close_rounds(claims, deals)
    return tuple(_owned(claim) for claim in claims), askew


def _owned(claim: Claim) -> Owned:
    """What is left to a plate, without the hairs that rounding leaves along shared edges."""
    area = claim.area
    for way in (-1.0, 1.0) if claim.edges else ():
        area = area.offset(way * HAIR_MM, JoinType.Miter, 2.0)
        area = area.offset(-way * HAIR_MM, JoinType.Miter, 2.0)
    return Owned(slab=claim.slab, area=area, gap_mm2=claim.gap.area(), edges=tuple(claim.edges))


def _straight(slabs: Sequence[Slab]) -> tuple[list[tuple[Slab, Manifold]], tuple[Slab, ...]]:
    """Plates cut square where they meet a larger one askew, as bodies too; and those too little is left of."""
    kept: list[tuple[Slab, Manifold]] = []
    askew: list[Slab] = []
    for slab in slabs:
        body = slab.body()
        shadow = all_of([_shadow(slab, body, *other) for other in kept])
        left = slab if shadow.is_empty() else _clipped(slab, shadow)
        if left is None:
            askew.append(slab)
        else:
            kept.append((left, body if left is slab else left.body()))
    return kept, tuple(askew)


def _shadow(slab: Slab, body: Manifold, other: Slab, other_body: Manifold) -> CrossSection:
    """Where a plate meets another at a slant, in its own frame."""
    if abs(float(slab.frame.axes[2] @ other.frame.axes[2])) < SQUARE:
        return CrossSection()
    shared = body ^ other_body
    if shared.volume() < NOTHING_MM3:
        return CrossSection()
    return slab.frame.laid(shared).project().offset(ROOM_MM, JoinType.Miter, 2.0)


def _clipped(slab: Slab, shadow: CrossSection) -> Slab | None:
    """A plate that ends where its neighbour begins, None if too little of it is left."""
    islands = (area_of(slab.rings) - shadow).decompose()
    left = max(islands, key=lambda island: island.area(), default=CrossSection())
    if left.area() < LEFT * slab.area_mm2:
        return None
    return replace(slab, rings=rings_of(left), area_mm2=left.area())


def _share(owner: Claim, other: Claim, bar: Manifold, joinery: Joinery) -> Deal:
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
    slots = strips_along(owner.slab, edge, theirs) ^ in_owner
    wide = slots.offset(joinery.room_mm, JoinType.Miter, 2.0) if theirs else slots
    owner.gap = (owner.gap + (wide ^ owner.area)) - slots
    owner.area -= wide
    given = strips_along(other.slab, edge, theirs) ^ in_other
    other.area -= in_other - given
    owner.edges.append(in_owner)
    other.edges.append(in_other)
    return Deal(bar=bar, given=other.raised(given) ^ bar)


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


def strips_along(slab: Slab, edge: Points3, spans: Sequence[tuple[float, float]]) -> CrossSection:
    """Stretches along an edge, right across a slab, in its frame.

    Args:
        slab: the slab.
        edge: (3,) direction of the edge in the part, a unit vector.
        spans: both ends of each stretch along it, mm.
    """
    x, y = (float(value) for value in slab.frame.axes[:2] @ edge)
    along, across = np.array([x, y]), np.array([-y, x])
    reach = 1.0 + max(float(np.abs(ring).max()) for ring in slab.rings) * 2.0
    return area_of(
        np.stack(
            [along * s + across * side * reach for s, side in ((a, -1), (b, -1), (b, 1), (a, 1))]
        )
        for a, b in spans
    )
