"""A part taken apart: plates as exact outlines, and what is left as closed bodies.

All space of the part goes to exactly one plate or piece, or is taken out by a joint; so volumes can
be balanced to the last digit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection, Manifold, OpType

from fabsched.advise.plates.balance import Balance
from fabsched.advise.plates.contact_records import Contact, Glued, Join, Through, disc
from fabsched.advise.plates.contacts import edges_of, joined_up, openings_of, touches_of
from fabsched.advise.plates.frames import (
    Frame,
    area_of,
    joined,
    mesh_of,
    prism,
    rings_of,
    solid_of,
)
from fabsched.advise.plates.joinery import Joinery, screw_named
from fabsched.advise.plates.owning import Owned, dealt_out
from fabsched.advise.plates.removing import HAIR_MM, without
from fabsched.advise.plates.slabs import Slab
from fabsched.advise.plates.through import passage
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Mesh, Outline, Points2

OVERLAP_MM = 0.01
"""How far a pilot hole starts below the face of its piece, so that no film is left."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Plate:
    """A plate to be cut from sheet.

    Attributes:
        slab: where it lies in the part.
        rings: its outline in the slab's frame, joints cut out.
        scored: outlines of glued pieces, in the slab's frame.
        screws: middles of the screw holes, in the slab's frame.
        tabs: middles of the slots, in the slab's frame.
        edges: lines, (2, 2) each, along which it is joined to other plates, in the slab's frame.
        drawing: what is cut, from the lower left corner.
        area_mm2: area of the outline.
        volume_mm3: its volume, as thick as it was drawn.
    """

    slab: Slab
    rings: tuple[Points2, ...]
    scored: tuple[Points2, ...]
    screws: tuple[Points2, ...]
    tabs: tuple[Points2, ...]
    edges: tuple[Points2, ...]
    drawing: Drawing
    area_mm2: float
    volume_mm3: float

    def body(self) -> Manifold:
        """The plate as a body of the part."""
        solid = prism(area_of(self.rings), self.slab.low_mm, self.slab.high_mm)
        return self.slab.frame.raised(solid)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Joint:
    """A place where a piece is joined to a plate.

    Attributes:
        plate: number of the plate.
        piece: number of the piece.
        side: +1 if the piece lies along the plate's normal, -1 if against it, 0 if beside the plate.
        join: how they are joined.
        rings: where they touch, in the slab's frame; beside the plate a strip along its edge.
        spots: middles of the screws, in the slab's frame.
        tabs: rings of each tab, in the slab's frame.
        through: what its screw passes on the other side of the plate.
        why: why it is only glued.
    """

    plate: int
    piece: int
    side: int
    join: Join
    rings: tuple[Points2, ...]
    spots: tuple[Points2, ...]
    tabs: tuple[tuple[Points2, ...], ...]
    through: Through | None = None
    why: Glued | None = None

    @classmethod
    def of(cls, contact: Contact) -> "Joint":
        """A contact without the library's areas, which cannot leave their process."""
        return cls(
            plate=contact.plate,
            piece=contact.piece,
            side=contact.side,
            join=contact.join,
            rings=rings_of(contact.area),
            spots=contact.spots,
            tabs=tuple(rings_of(tab) for tab in contact.tabs),
            through=contact.through,
            why=contact.why,
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Piece:
    """What is printed.

    Attributes:
        mesh: where it was in the part.
        volume_mm3: its volume.
        side: (3,) direction of the part in which it looks at the plate it stands on.
    """

    mesh: Mesh
    volume_mm3: float
    side: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Split:
    """A part taken apart.

    Attributes:
        plates: cut from sheet, the largest first.
        pieces: printed, the largest first.
        joints: where they meet.
        askew: slabs that meet a larger plate askew and stay with the pieces.
        joinery: measures that were used.
        balance: where the volume went.
    """

    plates: tuple[Plate, ...]
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    askew: tuple[Slab, ...]
    joinery: Joinery
    balance: Balance

    @property
    def screws(self) -> int:
        """How many screws it takes."""
        return sum(len(joint.spots) for joint in self.joints)


def split(
    mesh: Mesh, slabs: Sequence[Slab], joinery: Joinery | None = None, *, where: str = "part"
) -> Split:
    """Take a part apart.

    Args:
        mesh: the part.
        slabs: the plates to cut, of `find_plates`, the largest first.
        joinery: measures of the joints; None takes the usual ones.
        where: name of the part, for errors.

    Raises:
        InputError: the surface of the part is not closed.
    """
    measures = joinery or Joinery()
    whole = solid_of(mesh, where)
    owned, askew = dealt_out(slabs, measures)
    rest, taken_mm3 = without(whole, [each.slab for each in owned])
    bodies, crumbs = _sorted_out(rest, measures)
    contacts = _contacts(owned, bodies, measures)
    plates = _plates(owned, contacts, measures)
    cut_bodies, pilots = _with_joints(bodies, owned, contacts, measures)
    pieces = _pieces(cut_bodies, owned, contacts)
    holes, play = _cut_mm3(owned, plates, contacts, measures)
    balance = Balance(
        whole=whole.volume(),
        plates=sum(plate.volume_mm3 for plate in plates),
        pieces=sum(piece.volume_mm3 for piece in pieces),
        screw_holes=holes,
        play=play,
        pilots=pilots,
        crumbs=crumbs,
        trued=taken_mm3 - _slabs_mm3(owned),
    )
    return Split(
        plates=plates,
        pieces=pieces,
        joints=tuple(Joint.of(contact) for contact in contacts),
        askew=askew,
        joinery=measures,
        balance=balance,
    )


def as_drawn(done: Split, changed_mm3: float) -> Split:
    """The same, its balance told against the part as it was drawn before it was changed.

    Args:
        done: the changed part, taken apart.
        changed_mm3: what it had gained, negative if lost.
    """
    whole = done.balance.whole - changed_mm3
    return replace(done, balance=replace(done.balance, whole=whole, changed=changed_mm3))


def _slabs_mm3(owned: Sequence[Owned]) -> float:
    """Volume of all slabs together, shared edges once."""
    if len(owned) == 1:
        slab = owned[0].slab
        return float(area_of(slab.rings).area()) * slab.thick_mm
    return float(joined([each.slab.body() for each in owned]).volume()) if owned else 0.0


def _cut_mm3(
    owned: Sequence[Owned],
    plates: Sequence[Plate],
    contacts: Sequence[Contact],
    joinery: Joinery,
) -> tuple[float, float]:
    """Volume of the screw holes in plates, and of the play around tabs and fingers."""
    holes = _screw_holes_mm3(owned, contacts, joinery)
    tabs = sum(tab.area() * owned[c.plate].slab.thick_mm for c in contacts for tab in c.tabs)
    before = sum((each.area.area() + each.gap_mm2) * each.slab.thick_mm for each in owned)
    after = sum(plate.volume_mm3 for plate in plates)
    return holes, before - after - tabs - holes


def _sorted_out(bodies: Sequence[Manifold], joinery: Joinery) -> tuple[list[Manifold], float]:
    """Bodies worth making, the largest first, and the volume of the others."""
    kept = sorted(
        (body for body in bodies if body.volume() >= joinery.crumb_mm3), key=lambda b: -b.volume()
    )
    crumbs = sum(body.volume() for body in bodies if body.volume() < joinery.crumb_mm3)
    return kept, float(crumbs)


def _contacts(
    owned: Sequence[Owned], bodies: Sequence[Manifold], joinery: Joinery
) -> tuple[Contact, ...]:
    found: list[Contact] = []
    for number, each in enumerate(owned):
        touches = touches_of(number, each, bodies, joinery)
        found += joined_up(touches, each, joinery)
        found += edges_of(number, each, bodies, touches)
    return tuple(found)


def _plates(
    owned: Sequence[Owned], contacts: Sequence[Contact], joinery: Joinery
) -> tuple[Plate, ...]:
    return tuple(
        _plate(each, [c for c in contacts if c.plate == number], joinery)
        for number, each in enumerate(owned)
    )


def _plate(owned: Owned, contacts: Sequence[Contact], joinery: Joinery) -> Plate:
    """One plate with its joints cut out."""
    openings = [opening for contact in contacts for opening in openings_of(contact, joinery)]
    area = CrossSection.batch_boolean([owned.area, *openings], OpType.Subtract)
    rings = rings_of(area)
    glued = [contact.area for contact in contacts if contact.join is Join.GLUE]
    scored = tuple(ring for each in glued for ring in rings_of(each ^ area))
    clean = area_of(rings)
    return Plate(
        slab=owned.slab,
        rings=rings,
        scored=scored,
        screws=tuple(spot for contact in contacts for spot in contact.spots),
        tabs=tuple(_middle(tab) for contact in contacts for tab in contact.tabs),
        edges=tuple(_axis(strip) for strip in owned.edges),
        drawing=drawing_of(rings, scored),
        area_mm2=clean.area(),
        volume_mm3=clean.area() * owned.slab.thick_mm,
    )


def _middle(area: CrossSection) -> Points2:
    """Centre of the box around an area, (2,)."""
    x0, y0, x1, y1 = area.bounds()
    return np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)])


def _axis(strip: CrossSection) -> Points2:
    """The middle line of a narrow rectangle, (2, 2)."""
    ring = np.asarray(max(strip.hull().to_polygons(), key=len))
    middle = ring.mean(axis=0)
    _, _, ways = np.linalg.svd(ring - middle, full_matrices=False)
    reach = (ring - middle) @ ways[0]
    return np.stack([middle + ways[0] * reach.min(), middle + ways[0] * reach.max()])


def drawing_of(rings: Sequence[Points2], scored: Sequence[Points2]) -> Drawing:
    """Outlines from the lower left corner on."""
    low = np.concatenate(list(rings)).min(axis=0)
    return Drawing(
        (
            *(Outline(ring - low, closed=True, operation=Operation.SCORE) for ring in scored),
            *(Outline(ring - low, closed=True) for ring in rings),
        )
    )


def _screw_holes_mm3(
    owned: Sequence[Owned], contacts: Sequence[Contact], joinery: Joinery
) -> float:
    """Volume of the screw holes, as far as they lie in plates."""
    radius = 0.5 * screw_named(joinery.screw).clear_mm
    total = 0.0
    for number, each in enumerate(owned):
        spots = [spot for c in contacts if c.plate == number for spot in c.spots]
        holes = [disc(spot, radius) ^ each.area for spot in spots]
        total += sum(hole.area() for hole in holes) * each.slab.thick_mm
    return total


def _with_joints(
    bodies: Sequence[Manifold],
    owned: Sequence[Owned],
    contacts: Sequence[Contact],
    joinery: Joinery,
) -> tuple[list[Manifold], float]:
    """The pieces with tabs put on and pilot holes taken out, and the volume of the latter."""
    made, pilots = [], 0.0
    for number, body in enumerate(bodies):
        mine = [contact for contact in contacts if contact.piece == number]
        tabs = [_tab(tab, owned[c.plate], c.side) for c in mine for tab in c.tabs]
        drilled = [c for c in mine if not c.bored]
        holes = [_pilot(s, owned[c.plate], c.side, joinery) for c in drilled for s in c.spots]
        passing = [c for c in contacts if c.through and c.through.piece == number]
        holes += [passage(c, owned[c.plate], joinery) for c in passing]
        tool = joined(holes) if holes else Manifold()
        pilots += (body ^ tool).volume()
        made.append(joined([body - tool if holes else body, *tabs]))
    return made, pilots


def _tab(area: CrossSection, owned: Owned, side: int) -> Manifold:
    """A tab as a body of the part, a hair into its piece."""
    slab = owned.slab
    low = slab.low_mm - (0.0 if side > 0 else 4.0 * HAIR_MM)
    high = slab.high_mm + (4.0 * HAIR_MM if side > 0 else 0.0)
    return slab.frame.raised(prism(area, low, high))


def _pilot(spot: Points2, owned: Owned, side: int, joinery: Joinery) -> Manifold:
    """A pilot hole as a body of the part."""
    slab = owned.slab
    area = disc(spot, 0.5 * screw_named(joinery.screw).pilot_mm)
    face = slab.high_mm if side > 0 else slab.low_mm
    start, end = face - side * OVERLAP_MM, face + side * joinery.deep_mm
    return slab.frame.raised(prism(area, min(start, end), max(start, end)))


def _pieces(
    bodies: Sequence[Manifold], owned: Sequence[Owned], contacts: Sequence[Contact]
) -> tuple[Piece, ...]:
    found = []
    for number, body in enumerate(bodies):
        mine = sorted((c for c in contacts if c.piece == number), key=lambda c: -c.area.area())
        found.append(
            Piece(
                mesh=mesh_of(body),
                volume_mm3=body.volume(),
                side=_side(owned[mine[0].plate].slab.frame, mine[0].side)
                if mine
                else (0.0, 0.0, -1.0),
            )
        )
    return tuple(found)


def _side(frame: Frame, side: int) -> tuple[float, float, float]:
    """The direction from a piece to its plate."""
    x, y, z = (float(value) for value in -side * frame.axes[2])
    return x, y, z
