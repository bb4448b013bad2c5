"""Piles: cut parts that may lie on the same sheets, and what is known for cutting them."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Part
from fabsched.model.references import where_of
from fabsched.model.shop import Laser, Shop
from fabsched.nest.records import Item
from fabsched.schedule.beds import Estimates
from fabsched.schedule.nesting import item_of


@dataclass(frozen=True, slots=True)
class Pile:
    """What parts must have in common to share sheets.

    Attributes:
        material, thickness_mm: of the sheet.
        after: what they wait for.
        machines: ids of lasers that can cut them.
        way: ids of the fork that is left open and of the way they belong to; empty for most.
    """

    material: str
    thickness_mm: float | None
    after: frozenset[str]
    machines: tuple[str, ...]
    way: tuple[str, ...] = ()

    @property
    def stem(self) -> str:
        """What ids of its sheets begin with."""
        thickness = "" if self.thickness_mm is None else f"{self.thickness_mm:g}"
        words = (self.material, thickness, *self.way, "sheet")
        return "-".join(word for word in words if word)

    @property
    def name(self) -> str:
        """As shown."""
        thick = self.thickness_mm is not None
        return f"{self.material} {self.thickness_mm:g} mm" if thick else self.material

    def goes_with(self, other: "Pile") -> bool:
        """Whether sheets of both may be one: alike but for their ways, and not either-or."""
        alike = replace(self, way=()) == replace(other, way=())
        return alike and self.way != other.way and self.way[:1] != other.way[:1]


@dataclass(frozen=True, slots=True)
class Cutting:
    """What is known about cutting.

    Attributes:
        parts: cut parts, of any material.
        estimates: for one copy, by part and laser.
        shop: lasers to choose from and sheets in hand.
        ways: ids of the open fork and the way a part belongs to, by its id; most belong to none.
        claimed: sheets of the stock that are used already, by id; counted up as they are.
    """

    parts: Sequence[Part]
    estimates: Mapping[str, Estimates]
    shop: Shop
    ways: Mapping[str, tuple[str, ...]]
    claimed: Counter[str] = field(default_factory=Counter)

    def lasers(self, pile: Pile) -> list[Laser]:
        """Those that can cut a pile."""
        return [laser for laser in self.shop.lasers if laser.id in pile.machines]

    def part(self, ident: str) -> Part:
        """The part of an id."""
        return next(part for part in self.parts if part.id == ident)

    def item(self, pile: Pile, ident: str, copies: int) -> Item:
        """A part of a pile as it is laid out."""
        return item_of(self.part(ident), self.estimates[ident][pile.machines[0]], copies)

    def piles(self) -> dict[Pile, list[Part]]:
        """The parts by what they must have in common.

        Raises:
            InputError: no laser can make one of them.
        """
        found: dict[Pile, list[Part]] = {}
        for part in self.parts:
            found.setdefault(self._pile_of(part), []).append(part)
        return found

    def _pile_of(self, part: Part) -> Pile:
        known = self.estimates.get(part.id, {})
        lasers = self.shop.lasers
        able = tuple(x.id for x in lasers if x.id in known or (part.minutes and not known))
        if not able:
            raise InputError(Fault.NO_MACHINE, where_of(part, "route"), route=part.route.value)
        way = self.ways.get(part.id, ())
        return Pile(part.material, part.thickness_mm, frozenset(part.after), able, way)

    def rim_mm(self, pile: Pile) -> float:
        """Half the widest kerf: the beam runs so far outside a part, and has to stay on the sheet.

        Nothing where the tables do not know the material, so that only times are known.
        """
        tables = {material.id: material for material in self.shop.sheet_materials}
        material, thickness_mm = tables.get(pile.material), pile.thickness_mm
        if material is None or thickness_mm is None or not material.settings:
            return 0.0
        speeds = (
            cut_speeds(laser, material, thickness_mm, where=pile.stem)
            for laser in self.lasers(pile)
        )
        return max(speed.kerf_mm for speed in speeds) / 2
