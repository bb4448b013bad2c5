"""Which plate owns what where plates meet.

The larger plate owns a shared edge and every corner; along the edge both get fingers in turn, the
larger one those at the ends; no finger ends within a third plate, where what is left between the two
ends would be nobody's. Where two plates cross, each is slotted half-way. A plate that meets a
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
LONG = 1.5
"""Least length of a finger in thicknesses: one no longer than the plate beside it is thick would come
loose in a corner that this plate cuts off (own choice)."""
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
            thirds = [body for at, body in enumerate(bodies) if at not in (one, other)]
            pair = claims[one], claims[other]
            deals[one, other] = [_share(*pair, bar, thirds, joinery) for bar in bars]
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


def _share(
    owner: Claim, other: Claim, bar: Manifold, thirds: Sequence[Manifold], joinery: Joinery
) -> Deal:
    """Deal out one bar in which two plates meet, and thirds may."""
    edge = np.cross(owner.slab.frame.axes[2], other.slab.frame.axes[2])
    low, high = _span(bar, edge)
    in_owner, in_other = (claim.slab.frame.laid(bar).project() for claim in (owner, other))
    if _divides(in_owner, owner.area) and _divides(in_other, other.area):
        theirs = [
            (0.5 * (low + high), high)
        ]  # they cross: each gets a slot half-way, from its edge
    else:
        least = LONG * max(claim.slab.thick_mm for claim in (owner, other))
        fingers = _fingers(low, high, joinery.finger_mm, least)
        spans = _crossed(bar, thirds, edge)
        ends = [_beside(end, spans) for end in fingers]
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


def _span(body: Manifold, edge: Points3) -> tuple[float, float]:
    """From where to where a body reaches along an edge."""
    corners = np.asarray(body.to_mesh64().vert_properties)[:, :3] @ edge
    return float(corners.min()), float(corners.max())


def _crossed(bar: Manifold, thirds: Sequence[Manifold], edge: Points3) -> list[tuple[float, float]]:
    """Stretches of a bar that lie in third plates too."""
    cells = [cell for third in thirds for cell in (bar ^ third).decompose()]
    return [_span(cell, edge) for cell in cells if cell.volume() > NOTHING_MM3]


def _beside(end: float, spans: Sequence[tuple[float, float]]) -> float:
    """The end of a finger, or of the stretch it lies in the one that is nearer.

    >>> _beside(4.0, [(3.0, 6.0)]), _beside(7.0, [(3.0, 6.0)])
    (3.0, 7.0)
    """
    for low, high in spans:
        if low < end < high:
            return low if end - low < high - end else high
    return end


def _divides(strip: CrossSection, area: CrossSection) -> bool:
    """Whether an area falls apart without a strip."""
    return len((area - strip).decompose()) > len(area.decompose())


def _fingers(low: float, high: float, finger_mm: float, least_mm: float) -> list[float]:
    """Ends of an odd number of fingers of about a length, none shorter than the least.

    >>> _fingers(0.0, 50.0, 12.0, 4.5), _fingers(0.0, 20.0, 12.0, 4.5)
    ([0.0, 10.0, 20.0, 30.0, 40.0, 50.0], [0.0, 20.0])
    >>> _fingers(0.0, 18.0, 3.0, 4.5)
    [0.0, 6.0, 12.0, 18.0]
    """
    count = int((high - low) / max(finger_mm, least_mm))
    count = count + 1 - count % 2 if count > 2 else 1
    if (high - low) / count < least_mm:
        count = max(1, count - 2)
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
