"""From a part taken apart to the parts and works of a project."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np

from fabsched.advise.plates.compare_input import ENGLISH, PartNames
from fabsched.advise.plates.contact_records import STICKS, Join
from fabsched.advise.plates.frames import solid_of
from fabsched.advise.plates.splitting import Piece, Split
from fabsched.advise.plates.stocks import Stock
from fabsched.estimate.cutting import estimate_cut
from fabsched.estimate.poses import poses
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.turning import Turn
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.materials import Filament
from fabsched.model.project import Part, Work
from fabsched.model.shapes import Drawing, Mesh
from fabsched.model.shop import Laser, Printer, Shop
from fabsched.model.spread import Spread

CLEAN_MINUTES = Spread(2.0, 4.0, 8.0)
"""Hands for peeling the film off one plate and wiping it (our own guess)."""
FIT_MINUTES: Mapping[Join, Spread] = {
    Join.SCREW: Spread(1.0, 2.0, 4.0),
    Join.THROUGH: Spread(1.5, 3.0, 6.0),
    Join.TAB: Spread(1.0, 2.0, 5.0),
    Join.GLUE: Spread(2.0, 4.0, 8.0),
    Join.EDGE: Spread(2.0, 4.0, 8.0),
}
"""Hands for one screw, one through two pieces, one contact with tabs, one glued piece (our own guess)."""
EDGE_MINUTES = Spread(1.0, 2.0, 4.0)
"""Hands for each edge in which two plates meet (our own guess)."""
POSES = 2
"""Ways to print a piece that are simulated: as it stands in the part, and the likeliest other."""
ALIKE_MM = 1e-3
"""Pieces whose corners all match so closely are copies of each other."""

MachineT = TypeVar("MachineT", Printer, Laser)

Shapes = Mapping[str, Mesh | Drawing]
"""What belongs into the file of each part, by id."""
Estimates = Mapping[str, Mapping[str, Estimate]]
"""By part id and machine id."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Made:
    """What takes the place of a part.

    Attributes:
        parts: plates and pieces.
        works: cleaning and fitting; the last of them finishes the part.
        shapes: what belongs into the parts' files.
        estimates: of the parts.
        screws: designation and number of the screws it takes.
        copies: how many of the part are made.
    """

    parts: tuple[Part, ...]
    works: tuple[Work, ...]
    shapes: Shapes
    estimates: Estimates
    screws: tuple[str, int]
    copies: int = 1

    @property
    def items(self) -> tuple[str, ...]:
        """Ids of all parts and works."""
        return (*(part.id for part in self.parts), *(work.id for work in self.works))


def made_of(
    split: Split,
    part: Part,
    shop: Shop,
    stocks: Sequence[Stock],
    fresh: Callable[[str], str],
    names: PartNames = ENGLISH,
) -> Made:
    """The parts and works that take the place of a part.

    Args:
        split: the part taken apart.
        part: the part.
        shop: its machines make them.
        stocks: sheets, one for each thickness.
        fresh: gives an id that is not taken yet, from the one wanted.
        names: what they are called.

    Raises:
        InputError: no machine can make one of them.
    """
    book = _Book()
    for number, plate in enumerate(split.plates, start=1):
        stock = next(s for s in stocks if s.thickness_mm == plate.slab.sheet_mm)
        name = names.plate.format(part=part.name, number=number)
        cut = _plate_part(part, fresh(f"{part.id}_plate{number}"), name, stock)
        book.enter(cut, plate.drawing, _cut_estimates(plate.drawing, cut, shop, stock))
    for number, (piece, copies) in enumerate(_distinct(split.pieces), start=1):
        name = names.piece.format(part=part.name, number=number)
        printed = _piece_part(part, fresh(f"{part.id}_piece{number}"), name, copies)
        turn, estimates = _print_estimates(piece.mesh, printed, shop)
        book.enter(replace(printed, turn_deg=turn), piece.mesh, estimates)
    return Made(
        parts=tuple(book.parts),
        works=_works(split, part, book.parts, fresh, names),
        shapes=book.shapes,
        estimates=book.estimates,
        screws=(split.joinery.screw, split.screws * part.copies),
        copies=part.copies,
    )


@dataclass(slots=True)
class _Book:
    """Parts as they are entered, with what is known of them."""

    parts: list[Part] = field(default_factory=list)
    shapes: dict[str, Mesh | Drawing] = field(default_factory=dict)
    estimates: dict[str, dict[str, Estimate]] = field(default_factory=dict)

    def enter(self, part: Part, shape: Mesh | Drawing, estimates: dict[str, Estimate]) -> None:
        """Take in one part."""
        self.parts.append(part)
        self.shapes[part.id], self.estimates[part.id] = shape, estimates


def _plate_part(part: Part, ident: str, name: str, stock: Stock) -> Part:
    return Part(
        id=ident,
        name=name,
        file=f"parts/{ident}.dxf",
        copies=part.copies,
        route=Route.CUT,
        material=stock.material.id,
        thickness_mm=stock.thickness_mm,
        needed=part.needed,
        after=part.after,
    )


def _piece_part(part: Part, ident: str, name: str, copies: int) -> Part:
    return Part(
        id=ident,
        name=name,
        file=f"parts/{ident}.stl",
        copies=copies * part.copies,
        route=Route.PRINT,
        material=part.material,
        needed=part.needed,
        after=part.after,
        unit="mm",
    )


def _distinct(pieces: Sequence[Piece]) -> list[tuple[Piece, int]]:
    """Pieces that differ, each with the number of its copies."""
    found: list[tuple[Piece, int]] = []
    for piece in pieces:
        for number, (known, copies) in enumerate(found):
            if _same(piece, known):
                found[number] = (known, copies + 1)
                break
        else:
            found.append((piece, 1))
    return found


def _same(one: Piece, other: Piece) -> bool:
    """Whether one piece is the other, moved: what they do not share is a film at most."""
    if abs(one.volume_mm3 - other.volume_mm3) > 1e-3 * one.volume_mm3:
        return False
    if not np.allclose(one.mesh.size_mm, other.mesh.size_mm, atol=ALIKE_MM):
        return False
    solid, moved = solid_of(one.mesh, "piece"), solid_of(other.mesh, "piece")
    away = one.mesh.bounds_mm[0] - other.mesh.bounds_mm[0]
    shared = (solid ^ moved.translate(tuple(float(v) for v in away))).volume()
    return bool(shared > (1.0 - 1e-3) * one.volume_mm3)


def _cut_estimates(drawing: Drawing, part: Part, shop: Shop, stock: Stock) -> dict[str, Estimate]:
    """Estimates on every laser that can cut it.

    Raises:
        InputError: none can.
    """

    def estimate(laser: Laser) -> Estimate:
        return estimate_cut(
            drawing,
            laser,
            stock.material,
            stock.thickness_mm,
            where=part.file,
            sheet=stock.sheet,
        )

    return _on_each(shop.lasers, estimate, part)


def _print_estimates(mesh: Mesh, part: Part, shop: Shop) -> tuple[Turn, dict[str, Estimate]]:
    """The pose a piece is best printed in, and its estimates in it.

    Raises:
        InputError: no printer can print it.
    """
    filament = filament_of(part, shop)
    if not shop.printers:
        raise _machineless(part)
    found = poses(mesh, shop.printers[0], filament, where=part.file, limit=POSES)
    turn = found[0].turn_deg

    def estimate(printer: Printer) -> Estimate:
        known = found[0].estimate if printer is shop.printers[0] else None
        return known or estimate_print(mesh, printer, filament, where=part.file, turn_deg=turn)

    return turn, _on_each(shop.printers, estimate, part)


def _on_each(
    machines: Sequence[MachineT], estimate: Callable[[MachineT], Estimate], part: Part
) -> dict[str, Estimate]:
    """Estimates on the machines that can; if none can, the first one's error."""
    found: dict[str, Estimate] = {}
    errors: list[InputError] = []
    for machine in machines:
        try:
            found[machine.id] = estimate(machine)
        except InputError as error:
            errors.append(error)
    if not found:
        raise errors[0] if errors else _machineless(part)
    return found


def _machineless(part: Part) -> InputError:
    return InputError(Fault.NO_MACHINE, part.file, route=str(part.route))


def filament_of(part: Part, shop: Shop) -> Filament:
    """The filament of a part.

    Raises:
        KeyError: the shop's table does not hold it.
    """
    return {filament.id: filament for filament in shop.filaments}[part.material]


def _works(
    split: Split,
    part: Part,
    parts: Sequence[Part],
    fresh: Callable[[str], str],
    names: PartNames,
) -> tuple[Work, ...]:
    """Cleaning the plates, then fitting everything together."""
    plates = [each.id for each in parts if each.route is Route.CUT]
    pieces = [each.id for each in parts if each.route is Route.PRINT]
    clean = Work(
        id=fresh(f"{part.id}_clean"),
        name=names.clean.format(part=part.name),
        minutes=CLEAN_MINUTES.scaled(len(plates) * part.copies),
        after=tuple(plates),
        needed=part.needed,
    )
    fit = Work(
        id=fresh(f"{part.id}_fit"),
        name=names.fit.format(part=part.name),
        minutes=_fitting(split).scaled(part.copies),
        after=(clean.id, *pieces),
        undoable=all(joint.join not in STICKS for joint in split.joints),
        needed=part.needed,
    )
    return clean, fit


def _fitting(split: Split) -> Spread:
    """Hands for all joints of one copy."""
    edges = sum(len(plate.edges) for plate in split.plates) // 2
    counted = [(EDGE_MINUTES, edges)]
    for joint in split.joints:
        count = len(joint.spots) if joint.join in {Join.SCREW, Join.THROUGH} else 1
        counted.append((FIT_MINUTES[joint.join], count))
    low, likely, high = (
        sum(count * getattr(each, name) for each, count in counted)
        for name in ("low", "likely", "high")
    )
    return Spread(low, likely, high)
