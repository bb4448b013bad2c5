"""How each contact between a plate and a piece is joined: screws, tabs, or glue.

Compact contacts on deep enough pieces are screwed from the far side of the plate; long thin ones get
tabs in slots; what takes neither is glued onto a scored outline.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold
from numpy.typing import NDArray

from fabsched.advise.plates.finding import signed_mm2
from fabsched.advise.plates.frames import all_of, area_of
from fabsched.advise.plates.joinery import Joinery, screw_named
from fabsched.advise.plates.owning import Owned
from fabsched.model.shapes import Points2

TOUCH_MM = 0.02
"""Contacts are looked at so far above the plate's face."""
LONG = 3.0
"""A contact is long from this ratio of its sides on."""
THIN = 2.5
"""It is thin up to so many thicknesses of the plate."""
BAND_MM = 8.0
"""Half the width within which a thin contact lies about its side."""
ROUND = 48
"""Corners of a screw hole."""
BORE_MM = 0.3
"""A hole of the piece that differs by no more from a pilot hole is taken for one."""
TINY_MM2 = 1e-6
"""Overlaps smaller than this are rounding."""
ROUNDNESS = 0.97
"""A hole is round if 4 pi times its area is no smaller share of its border squared; a square has
0.79, a polygon of twelve corners 0.98."""
LEAST_MM2 = 0.5
"""Smaller contacts hold nothing."""
FINE_MM = 0.25
"""How finely the place of a screw is looked for."""

Point = NDArray[np.float64]


class Join(StrEnum):
    """How a piece is joined to a plate. The wording table's `[join]` has a template for each."""

    SCREW = "screw"
    TAB = "tab"
    GLUE = "glue"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Contact:
    """A place where a piece stands on a plate.

    Attributes:
        plate: number of the plate.
        piece: number of the piece.
        side: +1 if the piece lies along the plate's normal, -1 if against it.
        join: how they are joined.
        area: the contact, in the plate's frame.
        spots: middles of the screws.
        bored: whether the piece has holes there already that do as pilot holes.
        tabs: areas of the tabs, inside the plate.
    """

    plate: int
    piece: int
    side: int
    join: Join
    area: CrossSection
    spots: tuple[Point, ...] = ()
    bored: bool = False
    tabs: tuple[CrossSection, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """A contact before it is known how it is joined.

    Attributes:
        plate, piece, side, area: as for `Contact`.
        deep: the part of it that goes on for half a pilot hole at least.
    """

    plate: int
    piece: int
    side: int
    area: CrossSection
    deep: CrossSection


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
                Touch(number, piece, side, island, island ^ further)
                for island in section.decompose()
                if island.area() > LEAST_MM2
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
    return contacts


def openings_of(contact: Contact, joinery: Joinery) -> list[CrossSection]:
    """What a contact cuts out of the plate."""
    radius = 0.5 * screw_named(joinery.screw).clear_mm
    holes = [disc(spot, radius) for spot in contact.spots]
    return [*holes, *(_slot(tab, joinery) for tab in contact.tabs)]


def disc(middle: Point, radius_mm: float) -> CrossSection:
    """A round area; its polygon has the area of the circle.

    >>> round(disc(np.zeros(2), 1.0).area(), 6)
    3.141593
    """
    turn = 2.0 * math.pi / ROUND
    reach = radius_mm * math.sqrt(turn / math.sin(turn))
    return CrossSection.circle(reach, ROUND).translate((float(middle[0]), float(middle[1])))


def _joined(
    touch: Touch, touches: Sequence[Touch], owned: Owned, cut: CrossSection, joinery: Joinery
) -> Contact:
    """One contact: long thin ones with tabs before screws, others the other way round."""
    first, second = (_tabbed, _screwed) if _is_strip(touch, owned) else (_screwed, _tabbed)
    found = first(touch, touches, owned, cut, joinery) or second(
        touch, touches, owned, cut, joinery
    )
    return found or _contact(touch, Join.GLUE)


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
    bores = _bores(touch.area, screw.pilot_mm)
    plugs = all_of([disc(bore, 0.5 * screw.pilot_mm + BORE_MM) for bore in bores])
    reach = 0.5 * screw.pilot_mm + joinery.wall_mm
    free = (touch.deep + plugs).offset(-reach, JoinType.Miter, 2.0)
    far_side = all_of([t.area for t in touches if t.side != touch.side])
    free -= _grown(far_side, 0.5 * screw.head_mm)
    free -= _grown(cut, 0.5 * screw.clear_mm + joinery.web_mm)
    free ^= _grown(owned.area, -0.5 * screw.clear_mm) + plugs
    spots = [bore for bore in bores if not (free ^ disc(bore, 0.05)).is_empty()]
    if not spots and free.is_empty():
        return None
    contact = _contact(touch, Join.SCREW)
    return replace(contact, spots=tuple(spots or _spread(free, joinery)), bored=bool(spots))


def _grown(area: CrossSection, by_mm: float) -> CrossSection:
    return area if area.is_empty() else area.offset(by_mm, JoinType.Round)


def _bores(area: CrossSection, pilot_mm: float) -> list[Point]:
    """Middles of the round holes of a contact that will do as pilot holes."""
    found = []
    for ring in area.to_polygons():
        inside = -signed_mm2(ring)
        if inside <= 0.0 or abs(2.0 * math.sqrt(inside / math.pi) - pilot_mm) > BORE_MM:
            continue
        around = float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())
        if 4.0 * math.pi * inside > ROUNDNESS * around**2:
            found.append(centroid(ring))
    return found


def centroid(ring: Points2) -> Point:
    """Centre of the area inside a ring, (2,).

    >>> centroid(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 4.0], [0.0, 4.0]])).tolist()
    [1.0, 2.0]
    """
    start = ring[0]
    x, y = (ring - start).T
    across = x * np.roll(y, -1) - np.roll(x, -1) * y
    twice = float(across.sum())
    sums = [float(((v + np.roll(v, -1)) * across).sum()) for v in (x, y)]
    return np.asarray(start + np.array(sums) / (3.0 * twice))


def _spread(free: CrossSection, joinery: Joinery) -> list[Point]:
    """One place deep inside an area, or two far apart if it is long."""
    points = np.concatenate([np.asarray(ring) for ring in free.to_polygons()])
    middle = points.mean(axis=0)
    long = points[np.linalg.norm(points - middle, axis=1).argmax()]
    other = points[np.linalg.norm(points - long, axis=1).argmax()]
    if np.linalg.norm(other - long) < joinery.far_mm:
        return [_deepest(free)]
    return [_inwards(free, end) for end in (long, other)]


def _deepest(area: CrossSection) -> Point:
    """A point about as far from the border as any."""
    kept = area
    step = 0.25 * math.sqrt(area.area())
    while step > FINE_MM:
        smaller = kept.offset(-step, JoinType.Miter, 2.0)
        if smaller.is_empty():
            step *= 0.5
        else:
            kept = smaller
    largest = max(kept.decompose(), key=lambda island: island.area())
    return _inwards(
        largest, np.mean([np.mean(ring, axis=0) for ring in largest.to_polygons()], axis=0)
    )


def _inwards(area: CrossSection, wanted: Point) -> Point:
    """The place wanted if the area holds it, else the nearest of its corners."""
    if not (area ^ disc(wanted, 1e-3)).is_empty():
        return np.asarray(wanted)
    points = np.concatenate([np.asarray(ring) for ring in area.to_polygons()])
    return np.asarray(points[np.linalg.norm(points - wanted, axis=1).argmin()])


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
    if len(tab.decompose()) > 1 or (_grown(slot, joinery.web_mm) ^ taken).area() > TINY_MM2:
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
