"""One screw through two pieces that stand on either side of a plate, one above the other.

It passes one of them, its head sunk into that one's far end where there is room, then the plate, and
takes hold in the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from manifold3d import CrossSection, JoinType, Manifold

from fabsched.advise.plates.contact_records import Contact, Join, Point, Through, Touch, disc
from fabsched.advise.plates.frames import prism
from fabsched.advise.plates.joinery import SCREW_LENGTHS_MM, Joinery, Screw, screw_named
from fabsched.advise.plates.owning import Owned
from fabsched.advise.plates.placing import bores_of, deepest, grown

SOLID = 0.99
"""Share of a column around a screw that has to be there."""
HEAD_ROOM_MM = 0.3
"""Room around and above a sunk head (own choice)."""
SEAT_MM = 2.0
"""Least plastic between a sunk head and the plate (own choice)."""
REACH_MM = 40.0
"""A sunk head lies no deeper, or no screwdriver reaches it (own choice)."""
FAR_MM = 1e4
"""Further than any piece reaches."""


@dataclass(frozen=True, slots=True, eq=False)
class _Pair:
    """A piece that takes the thread, and one the screw passes."""

    held: Touch
    passed: Touch
    owned: Owned
    joinery: Joinery

    @property
    def screw(self) -> Screw:
        """The screw."""
        return screw_named(self.joinery.screw)


def screwed_through(
    contact: Contact,
    touches: Sequence[Touch],
    owned: Owned,
    cut: CrossSection,
    joinery: Joinery,
) -> Contact | None:
    """A contact that could only be glued, held by a screw through what stands on the other side.

    Args:
        contact: the contact.
        touches: all of the plate.
        owned: the plate.
        cut: what is cut out of it already.
        joinery: measures.
    """
    held = next(t for t in touches if t.piece == contact.piece and t.area is contact.area)
    others = [t for t in touches if t.side == -held.side and not (t.area ^ held.area).is_empty()]
    for passed in sorted(others, key=lambda t: -(t.area ^ held.area).area()):
        found = _through(_Pair(held, passed, owned, joinery), contact, cut)
        if found is not None:
            return found
    return None


def _through(pair: _Pair, contact: Contact, cut: CrossSection) -> Contact | None:
    """The contact with its screw, if both pieces have room for it."""
    for spot, bored in _spots(pair, cut):
        high = _column_mm(pair, spot)
        fitting = _fitting(pair, spot, high) if high else None
        if fitting is not None:
            sunk, length = fitting
            way = Through(piece=pair.passed.piece, high_mm=high, sunk_mm=sunk, length_mm=length)
            return replace(
                contact, join=Join.THROUGH, spots=(spot,), bored=bored, through=way, why=None
            )
    return None


def _spots(pair: _Pair, cut: CrossSection) -> list[tuple[Point, bool]]:
    """Where the screw could go: bores that are there first, then the middle of what is free."""
    screw, joinery = pair.screw, pair.joinery
    bores = bores_of(pair.held.area, screw.pilot_mm)
    far = 0.5 * screw.clear_mm + joinery.web_mm
    free = pair.held.deep.offset(-0.5 * screw.pilot_mm - joinery.wall_mm, JoinType.Miter, 2.0)
    free ^= _whole(pair.passed.area).offset(
        -0.5 * screw.clear_mm - joinery.wall_mm, JoinType.Miter, 2.0
    )
    free = (free ^ grown(pair.owned.area, -0.5 * screw.clear_mm)) - grown(cut, far)
    found = [(bore, True) for bore in bores if (disc(bore, far) ^ cut).is_empty()]
    return found if free.is_empty() else [*found, (deepest(free), False)]


def _whole(area: CrossSection) -> CrossSection:
    """A contact with its bores closed: the screw may go through one."""
    return CrossSection.batch_hull([area]) if len(area.to_polygons()) > 1 else area


def _column_mm(pair: _Pair, spot: Point) -> float:
    """How high the piece that is passed stands there, 0 where the screw would not be inside it."""
    screw = pair.screw
    inner = 0.5 * screw.clear_mm
    high = _solid_mm(pair, disc(spot, inner + pair.joinery.wall_mm) - disc(spot, inner))
    return high if high >= SEAT_MM else 0.0


def _solid_mm(pair: _Pair, ring: CrossSection, below_mm: float = 0.0) -> float:
    """How high a ring of the piece that is passed is solid from the plate on, 0 if it is not.

    Args:
        pair: the pieces.
        ring: area of the ring.
        below_mm: only what lies above this height is looked at.
    """
    column = _column(pair, ring, below_mm)
    if column.is_empty():
        return 0.0
    _, _, low, _, _, top = column.bounding_box()
    slab, side = pair.owned.slab, pair.passed.side
    high = top - slab.high_mm if side > 0 else slab.low_mm - low
    wanted = ring.area() * (high - below_mm)
    return float(high) if column.volume() >= SOLID * wanted else 0.0


def _column(pair: _Pair, ring: CrossSection, below_mm: float) -> Manifold:
    slab, side = pair.owned.slab, pair.passed.side
    face = slab.high_mm + below_mm if side > 0 else slab.low_mm - below_mm
    return pair.passed.laid ^ prism(
        ring, min(face, face + side * FAR_MM), max(face, face + side * FAR_MM)
    )


def _fitting(pair: _Pair, spot: Point, high_mm: float) -> tuple[float, float] | None:
    """Depth of the hole for the head and length of the screw, the head sunk where that can be."""
    screw, deep = pair.screw, pair.joinery.deep_mm
    passes = high_mm + pair.owned.slab.sheet_mm
    least = screw.head_high_mm + HEAD_ROOM_MM
    for length in reversed(SCREW_LENGTHS_MM):
        sunk = passes + deep - length
        if least <= sunk <= min(REACH_MM, high_mm - SEAT_MM) and _has_seat(
            pair, spot, high_mm, sunk
        ):
            return sunk, length
    for length in reversed(SCREW_LENGTHS_MM):
        if 0.5 * deep <= length - passes <= deep:
            return 0.0, length
    return None


def _has_seat(pair: _Pair, spot: Point, high_mm: float, sunk_mm: float) -> bool:
    """Whether there is enough plastic around a sunk head."""
    inner = 0.5 * pair.screw.head_mm + HEAD_ROOM_MM
    ring = disc(spot, inner + pair.joinery.wall_mm) - disc(spot, inner)
    return abs(_solid_mm(pair, ring, high_mm - sunk_mm) - high_mm) < HEAD_ROOM_MM


def passage(contact: Contact, owned: Owned, joinery: Joinery) -> Manifold:
    """The hole a screw needs in the piece it passes, as a body of the part.

    Args:
        contact: with a screw that passes another piece.
        owned: its plate.
        joinery: measures.
    """
    way, screw, slab = contact.through, screw_named(joinery.screw), owned.slab
    if way is None:
        return Manifold()
    side, (spot,) = -contact.side, contact.spots
    face = slab.high_mm if side > 0 else slab.low_mm
    end = face + side * (way.high_mm + 1.0)
    hole = prism(disc(spot, 0.5 * screw.clear_mm), *sorted((face - side * 0.01, end)))
    if way.sunk_mm:
        seat = face + side * (way.high_mm - way.sunk_mm)
        hole += prism(disc(spot, 0.5 * screw.head_mm + HEAD_ROOM_MM), *sorted((seat, end)))
    return slab.frame.raised(hole)
