"""Parts of a pile onto sheets: usual ones, smaller ones where these do, and offcuts in stock."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fabsched.model.errors import InputError
from fabsched.model.project import Part
from fabsched.nest.place import fits
from fabsched.nest.records import TURNS, Bin, Item, Placement
from fabsched.schedule.beds import too_large
from fabsched.schedule.nesting import onto_sheets, onto_various
from fabsched.schedule.piles import Cutting, Pile
from fabsched.schedule.sheet_stock import bed_of, in_stock, on_bed, stock_mm2, usual_sheet

NO_SHEET = Bin(size_mm=(0.0, 0.0))
"""Where shapes are not known."""

SHEET_GAP_MM = 3.0
"""Room between two parts on a sheet (our own choice; cut lines want half a millimetre between them,
webs a millimetre or better the thickness: cutlasercut.com, "What is laser kerf")."""


@dataclass(frozen=True, slots=True)
class Filled:
    """A sheet before it has a run: copies by part, where they lie, and what sheet it is."""

    cargo: Counter[str]
    placements: tuple[Placement, ...] = ()
    sheet: Bin = NO_SHEET
    stock: str = ""


def filled_sheets(cutting: Cutting, pile: Pile, parts: Sequence[Part]) -> Iterator[Filled]:
    """What lies on each sheet; parts of unknown shape get sheets of their own.

    Raises:
        InputError: a part fits no sheet.
    """
    filling = _Filling(cutting, pile)
    shaped = [part for part in parts if cutting.estimates.get(part.id)]
    for portion in _portions(shaped):
        yield from filling.offcuts_first(portion)
    for part in parts:
        if part not in shaped:
            yield from map(Filled, _portions([part]))


def on_one_sheet(cutting: Cutting, pile: Pile, cargo: Counter[str]) -> Filled | None:
    """Copies on one sheet in hand; None if they need more.

    Raises:
        InputError: a part fits no sheet.
    """
    found = _Filling(cutting, pile).plain(cargo)
    return found[0] if len(found) == 1 else None


def _portions(parts: Sequence[Part]) -> Iterator[Counter[str]]:
    """Copies by part, in portions that keep to every part's `per_run`.

    >>> lid = Part(id="lid", name="Lid", file="lid.svg", copies=3, per_run=2)
    >>> foot = Part(id="foot", name="Foot", file="foot.svg", copies=2)
    >>> list(_portions([lid, foot]))
    [Counter({'lid': 2, 'foot': 2}), Counter({'lid': 1})]
    """
    left = Counter({part.id: part.copies for part in parts})
    while left:
        most = {part.id: part.per_run or part.copies for part in parts}
        portion = Counter({ident: min(count, most[ident]) for ident, count in left.items()})
        yield portion
        left -= portion


@dataclass(frozen=True, slots=True)
class _Filling:
    """Fills sheets of one pile."""

    cutting: Cutting
    pile: Pile

    @property
    def bed(self) -> Bin:
        return bed_of(self.cutting, self.pile)

    def items(self, portion: Counter[str]) -> list[Item]:
        return [self.cutting.item(self.pile, *each) for each in portion.items()]

    def plain(self, portion: Counter[str]) -> list[Filled]:
        """What lies on each sheet in hand, or on sheets as large as the bed if these are too small."""
        items = self.items(portion)
        for sheet, stock in (usual_sheet(self.cutting, self.pile), (self.bed, "")):
            laid = self._onto(items, sheet)
            if laid is not None:
                return [Filled(Counter(p.id for p in on), on, sheet, stock) for on in laid]
        raise self._too_large(items)

    def offcuts_first(self, portion: Counter[str]) -> list[Filled]:
        """The same, each on the smallest sheet in stock that takes all that lies on it."""
        usual = self.plain(portion)
        stocked = self._all_in_stock(self.items(portion), usual[0].stock, len(usual))
        return stocked or [self._smaller(one) for one in usual]

    def _onto(
        self, items: Sequence[Item], sheet: Bin, most: int = 0
    ) -> list[tuple[Placement, ...]] | None:
        rim_mm = self.cutting.rim_mm(self.pile)
        return onto_sheets(items, sheet, gap_mm=SHEET_GAP_MM, rim_mm=rim_mm, most=most)

    def _all_in_stock(self, items: Sequence[Item], usual: str, wanted: int) -> list[Filled]:
        """Everything on sheets and offcuts in stock, the largest first, if there are too few usual ones.

        Nothing where there are enough of these, or all of them together do not suffice.
        """
        claimed, bed = self.cutting.claimed, self.bed
        kinds = sorted(in_stock(self.cutting, self.pile), key=stock_mm2, reverse=True)
        left = {kind.id: kind.count - claimed[kind.id] for kind in kinds}
        if left.get(usual, wanted) >= wanted:
            return []
        sheets = [(kind.id, on_bed(kind, bed)) for kind in kinds for _ in range(left[kind.id])]
        lying = [(ident, sheet) for ident, sheet in sheets if sheet is not None]
        laid = onto_various(
            items,
            [sheet for _, sheet in lying],
            gap_mm=SHEET_GAP_MM,
            rim_mm=self.cutting.rim_mm(self.pile),
        )
        filled = [
            Filled(Counter(p.id for p in placed), placed, sheet, ident)
            for (ident, sheet), placed in zip(lying, laid or (), strict=False)
            if placed
        ]
        claimed.update(one.stock for one in filled)
        return filled

    def _smaller(self, filled: Filled) -> Filled:
        """The same parts on the smallest sheet in stock that takes them all, if one does."""
        items, bed, claimed = self.items(filled.cargo), self.bed, self.cutting.claimed
        for stock in sorted(in_stock(self.cutting, self.pile), key=stock_mm2):
            lies = all(side <= most for side, most in zip(stock.size_mm, bed.size_mm, strict=True))
            smaller = stock_mm2(stock) < math.prod(filled.sheet.size_mm)
            if not (smaller and lies) or claimed[stock.id] >= stock.count:
                continue
            sheet = replace(bed, size_mm=stock.size_mm, outline=stock.outline)
            laid = self._onto(items, sheet, most=1)
            if laid is not None:
                claimed[stock.id] += 1
                return Filled(filled.cargo, laid[0], sheet, stock.id)
        return filled

    def _too_large(self, items: Sequence[Item]) -> InputError:
        """The error for what fits no sheet: a part that does not, or the first if all do alone."""
        cutting, pile, bed_mm = self.cutting, self.pile, self.bed.size_mm
        rim_mm = cutting.rim_mm(pile)
        inner_mm = (bed_mm[0] - 2 * rim_mm, bed_mm[1] - 2 * rim_mm)
        loose = (i.id for i in items if not fits(i.outline, inner_mm, turns=i.turns_deg or TURNS))
        culprit = next(loose, items[0].id)
        estimate = cutting.estimates[culprit][pile.machines[0]]
        return too_large(cutting.part(culprit), estimate, bed_mm, cutting.lasers(pile)[0].name)
