"""How each contact between a plate and a piece is joined: screws, tabs, or glue.

Compact contacts on deep enough pieces are screwed from the far side of the plate; long thin ones get
tabs in slots. Where another piece stands on the far side, one screw goes through both if it can. What
takes none of these is glued onto a scored outline, and what lies beside the plate onto its edge.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from fabsched.advise.plates.contact_records import (
    RIM_MM,
    Contact,
    Glued,
    Join,
    Point,
    Touch,
    disc,
)
from fabsched.advise.plates.frames import all_of, area_of
from fabsched.advise.plates.joinery import Joinery, screw_named
from fabsched.advise.plates.judging import signed_mm2
from fabsched.advise.plates.owning import Owned
from fabsched.advise.plates.placing import BORE_MM, bores_of, grown, spread
from fabsched.advise.plates.through import screwed_through

TOUCH_MM = 0.02
"""Contacts are looked at so far above the plate's face."""
LONG = 3.0
"""A contact is long from this ratio of its sides on."""
THIN = 2.5
"""It is thin up to so many thicknesses of the plate."""
BAND_MM = 8.0
"""Half the width within which a thin contact lies about its side."""
TINY_MM2 = 1e-6
"""Overlaps smaller than this are rounding."""
LEAST_MM2 = 0.5
"""Smaller contacts hold nothing."""
LEAST_MM = 0.1
"""Nor do narrower ones: there bodies meet in a line."""
BESIDE_MM = 0.05
"""What lies so close to the edge of a plate touches it."""


def touches_of(
    number: int, owned: Owned, pieces: Sequence[Manifold], joinery: Joinery
) -> list[Touch]:
    """Where pieces stand on a plate.

    Args:
        number: of the plate.
        owned: the plate.
        pieces: the pieces as bodies of the part.
        joinery: measures.
    """
    found: list[Touch] = []
    slab = owned.slab
    outline = area_of(slab.rings)
    for piece, body in enumerate(pieces):
        laid = slab.frame.laid(body)
        for side, face in ((1, slab.high_mm), (-1, slab.low_mm)):
            section = laid.slice(face + side * TOUCH_MM) ^ outline
            if section.is_empty():
                continue
            further = laid.slice(face + side * 0.5 * joinery.deep_mm)
            found += [
                Touch(number, piece, side, island, island ^ further, laid)
                for island in section.decompose()
                if island.area() > LEAST_MM2 and not _is_line(island)
            ]
    return found


def _is_line(area: CrossSection) -> bool:
    return bool(area.offset(-0.5 * LEAST_MM, JoinType.Miter, 2.0).is_empty())


def edges_of(
    number: int, owned: Owned, pieces: Sequence[Manifold], touches: Sequence[Touch]
) -> list[Contact]:
    """Pieces that touch a plate along its edge and nowhere else: they are glued on there.

    Args:
        number: of the plate.
        owned: the plate.
        pieces: the pieces as bodies of the part.
        touches: where pieces stand on it.
    """
    slab, known = owned.slab, {touch.piece for touch in touches}
    around = owned.area.offset(BESIDE_MM, JoinType.Miter, 2.0)
    found = []
    for piece, body in enumerate(pieces):
        if piece in known:
            continue
        section = slab.frame.laid(body).slice(0.5 * (slab.low_mm + slab.high_mm)) ^ around
        if section.area() * slab.thick_mm < LEAST_MM2 * BESIDE_MM:
            continue
        rim = grown(section, RIM_MM) ^ owned.area
        found += [
            Contact(plate=number, piece=piece, side=0, join=Join.EDGE, area=strip, why=Glued.BESIDE)
            for strip in rim.decompose()
            if strip.area() > LEAST_MM2
        ]
    return found


def joined_up(touches: Sequence[Touch], owned: Owned, joinery: Joinery) -> list[Contact]:
    """Decide how every contact of one plate is joined.

    Args:
        touches: all contacts of the plate.
        owned: the plate.
        joinery: measures.
    """
    contacts: list[Contact] = []
    cut = CrossSection()
    for touch in sorted(touches, key=lambda t: -t.area.area()):
        contact = _joined(touch, touches, owned, cut, joinery)
        contacts.append(contact)
        cut = all_of([cut, *openings_of(contact, joinery)])
    return list(_with_through(contacts, touches, owned, cut, joinery))


def _with_through(
    contacts: Sequence[Contact],
    touches: Sequence[Touch],
    owned: Owned,
    cut: CrossSection,
    joinery: Joinery,
) -> Iterator[Contact]:
    """The contacts, with one screw through two where both could only be glued or one could."""
    left = {(c.piece, number): c for number, c in enumerate(contacts)}
    passed: set[int] = set()
    for number, contact in sorted(
        enumerate(contacts), key=lambda each: not _bored(each[1], joinery)
    ):
        if contact.join is not Join.GLUE or contact.piece in passed:
            continue
        found = screwed_through(contact, touches, owned, cut, joinery)
        if found is None or found.through is None:
            continue
        left[contact.piece, number] = found
        passed.add(found.through.piece)
        cut = all_of([cut, *openings_of(found, joinery)])
    for contact in left.values():
        is_passed = contact.piece in passed and contact.join is Join.GLUE
        yield replace(contact, join=Join.THROUGH, why=None) if is_passed else contact


def _bored(contact: Contact, joinery: Joinery) -> bool:
    """Whether a piece has a hole for the screw's thread already."""
    return bool(bores_of(contact.area, screw_named(joinery.screw).pilot_mm))


def openings_of(contact: Contact, joinery: Joinery) -> list[CrossSection]:
    """What a contact cuts out of the plate."""
    radius = 0.5 * screw_named(joinery.screw).clear_mm
    holes = [disc(spot, radius) for spot in contact.spots]
    return [*holes, *(_slot(tab, joinery) for tab in contact.tabs)]


def _joined(
    touch: Touch, touches: Sequence[Touch], owned: Owned, cut: CrossSection, joinery: Joinery
) -> Contact:
    """One contact: long thin ones with tabs before screws, others the other way round."""
    first, second = (_tabbed, _screwed) if _is_strip(touch, owned) else (_screwed, _tabbed)
    found = first(touch, touches, owned, cut, joinery) or second(
        touch, touches, owned, cut, joinery
    )
    return found or replace(_contact(touch, Join.GLUE), why=_why(touch, touches, joinery))


def _why(touch: Touch, touches: Sequence[Touch], joinery: Joinery) -> Glued:
    """Why a contact takes neither screw nor tab."""
    reach = 0.5 * screw_named(joinery.screw).pilot_mm + joinery.wall_mm
    if touch.area.offset(-reach, JoinType.Miter, 2.0).is_empty():
        return Glued.SMALL
    if touch.deep.offset(-reach, JoinType.Miter, 2.0).is_empty():
        return Glued.SHALLOW
    other_side = any(
        t.side == -touch.side and not (t.area ^ touch.area).is_empty() for t in touches
    )
    return Glued.COVERED if other_side else Glued.SMALL


def _contact(touch: Touch, join: Join) -> Contact:
    return Contact(
        plate=touch.plate, piece=touch.piece, side=touch.side, join=join, area=touch.area
    )


def _is_strip(touch: Touch, owned: Owned) -> bool:
    """Whether a contact, or each arm of it, is long and thin."""
    limit = 0.5 * THIN * owned.slab.thick_mm
    thick = touch.area.offset(-limit, JoinType.Miter, 2.0)
    if not thick.is_empty():
        return False
    length = 0.5 * _around(touch.area)
    return bool(length**2 > LONG * touch.area.area())


def _around(area: CrossSection) -> float:
    """Length of all borders."""
    return sum(
        float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())
        for ring in area.to_polygons()
    )


def _screwed(
    touch: Touch, touches: Sequence[Touch], owned: Owned, cut: CrossSection, joinery: Joinery
) -> Contact | None:
    """Screws from the far side, if there is room for pilot and head; holes that are there come first."""
    screw = screw_named(joinery.screw)
    bores = bores_of(touch.area, screw.pilot_mm)
    plugs = all_of([disc(bore, 0.5 * screw.pilot_mm + BORE_MM) for bore in bores])
    reach = 0.5 * screw.pilot_mm + joinery.wall_mm
    free = (touch.deep + plugs).offset(-reach, JoinType.Miter, 2.0)
    far_side = all_of([t.area for t in touches if t.side != touch.side])
    free -= grown(far_side, 0.5 * screw.head_mm)
    free -= grown(cut, 0.5 * screw.clear_mm + joinery.web_mm)
    free ^= grown(owned.area, -0.5 * screw.clear_mm) + plugs
    spots = [bore for bore in bores if not (free ^ disc(bore, 0.05)).is_empty()]
    if not spots and free.is_empty():
        return None
    contact = _contact(touch, Join.SCREW)
    return replace(contact, spots=tuple(spots or spread(free, joinery)), bored=bool(spots))


def _tabbed(
    touch: Touch, touches: Sequence[Touch], owned: Owned, cut: CrossSection, joinery: Joinery
) -> Contact | None:
    """Tabs through the plate; those at its edge lie in open notches, those in the way are left out."""
    far_side = all_of([t.area for t in touches if t.side != touch.side])
    outline = area_of([ring for ring in owned.area.to_polygons() if signed_mm2(ring) > 0.0])
    taken = all_of([cut, far_side, outline - owned.area])
    kept: list[CrossSection] = []
    for place in _places(touch.area, joinery):
        tab = (touch.area ^ place) ^ owned.area
        if _holds(tab, owned.area, taken, joinery):
            kept.append(tab)
            taken = all_of([taken, _slot(tab, joinery)])
    return replace(_contact(touch, Join.TAB), tabs=tuple(kept)) if kept else None


def _holds(tab: CrossSection, plate: CrossSection, taken: CrossSection, joinery: Joinery) -> bool:
    """Whether a tab is thick enough, far enough from other openings, and leaves the plate whole."""
    if tab.offset(-0.49 * joinery.thin_mm, JoinType.Miter, 2.0).is_empty():
        return False
    slot = _slot(tab, joinery)
    if len(tab.decompose()) > 1 or (grown(slot, joinery.web_mm) ^ taken).area() > TINY_MM2:
        return False
    return len((plate - taken - slot).decompose()) == len((plate - taken).decompose())


def _slot(tab: CrossSection, joinery: Joinery) -> CrossSection:
    """The opening for a tab."""
    room = joinery.room_mm
    return tab.offset(room, JoinType.Miter, 2.0) if room else tab


def _places(area: CrossSection, joinery: Joinery) -> list[CrossSection]:
    """Stretches for tabs along every long straight side of a contact."""
    places: list[CrossSection] = []
    for start, along, length in _sides(area):
        count = int(
            (length - 0.5 * joinery.tab_mm + joinery.gap_mm) // (joinery.tab_mm + joinery.gap_mm)
        )
        tab = joinery.tab_mm
        if count < 1 and length > 0.5 * tab:
            count, tab = 1, 0.6 * length
        step = length / max(1, count)
        middles = (start + along * step * (number + 0.5) for number in range(count))
        places += [_stretch(middle, along, tab) for middle in middles]
    return places


def _sides(area: CrossSection) -> list[tuple[Point, Point, float]]:
    """Start, direction and length of the straight sides, each direction and line only once."""
    found: list[tuple[Point, Point, float]] = []
    sides = []
    for ring in area.to_polygons():
        ends = np.roll(ring, -1, axis=0)
        sides += [(float(np.linalg.norm(b - a)), a, b) for a, b in zip(ring, ends, strict=True)]
    for length, a, b in sorted(sides, key=lambda side: -side[0]):
        if length < 4.0:
            break
        along = (b - a) / length
        if not any(_beside(a, along, length, *known) for known in found):
            found.append((np.asarray(a), np.asarray(along), length))
    return found


def _beside(a: Point, along: Point, length: float, start: Point, way: Point, reach: float) -> bool:
    """Whether a side runs along one known already, or is one of its short ends."""
    if abs(float(along @ way)) < 0.99:
        return length < 0.2 * reach
    middle = a + 0.5 * length * along - start
    off = abs(float(middle[0] * way[1] - middle[1] * way[0]))
    return off < BAND_MM and -1.0 < float(middle @ way) < reach + 1.0


def _stretch(middle: Point, along: Point, length: float) -> CrossSection:
    """A band right across a contact, wide enough for any thin one."""
    across = np.array([-along[1], along[0]]) * BAND_MM
    half = 0.5 * length * along
    return area_of(
        [
            np.stack(
                [
                    middle - half - across,
                    middle + half - across,
                    middle + half + across,
                    middle - half + across,
                ]
            )
        ]
    )
