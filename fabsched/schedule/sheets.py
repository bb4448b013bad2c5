"""Cut parts onto sheets: everything of one material that may be cut at the same time."""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, combinations, islice
from types import MappingProxyType

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Part
from fabsched.model.references import where_of
from fabsched.model.shop import Border, Laser, Sheet, Shop
from fabsched.model.spread import Spread
from fabsched.model.units import minutes_s
from fabsched.model.weekend import Choice, Run
from fabsched.nest.place import TURNS, fits
from fabsched.nest.records import Bin, Item, Placement
from fabsched.schedule.beds import Estimates, numbered, together, too_large
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import Size, area_mm2, item_of, onto_sheets, onto_various
from fabsched.schedule.on_machines import run_on

NO_SHEET = Bin(size_mm=(0.0, 0.0))
"""Where shapes are not known."""

SHEET_GAP_MM = 3.0
"""Room between two parts on a sheet (common practice: not less than the thickness)."""


@dataclass(frozen=True, slots=True)
class _Pile:
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
        thickness = "" if self.thickness_mm is None else f"{self.thickness_mm:g}"
        words = (self.material, thickness, *self.way, "sheet")
        return "-".join(word for word in words if word)

    @property
    def name(self) -> str:
        thick = self.thickness_mm is not None
        return f"{self.material} {self.thickness_mm:g} mm" if thick else self.material

    def goes_with(self, other: "_Pile") -> bool:
        """Whether sheets of both may be one: alike but for their ways, and not either-or."""
        alike = replace(self, way=()) == replace(other, way=())
        return alike and self.way != other.way and self.way[:1] != other.way[:1]


@dataclass(frozen=True, slots=True)
class _Cutting:
    """What is known about cutting: the parts, their estimates and the shop."""

    parts: Sequence[Part]
    estimates: Mapping[str, Estimates]
    shop: Shop
    ways: Mapping[str, tuple[str, ...]]
    claimed: Counter[str] = field(default_factory=Counter)

    def lasers(self, pile: _Pile) -> list[Laser]:
        return [laser for laser in self.shop.lasers if laser.id in pile.machines]

    def part(self, ident: str) -> Part:
        return next(part for part in self.parts if part.id == ident)


@dataclass(frozen=True, slots=True)
class LaidSheet:
    """A sheet with what is cut from it.

    Attributes:
        run: the run that cuts it.
        size_mm: width and height of the sheet; (0, 0) where shapes are not known.
        placements: where every copy lies on it; empty where shapes are not known.
        stock: id of the kind of sheet it is; empty if there are none such.
        outline: its border where it is no rectangle.
        keep_out: areas that stay free.
    """

    run: Run
    size_mm: Size = (0.0, 0.0)
    placements: tuple[Placement, ...] = ()
    stock: str = ""
    outline: Border = ()
    keep_out: tuple[Border, ...] = ()


@dataclass(frozen=True, slots=True)
class _Filled:
    """A sheet before it has a run: copies by part, where they lie, and what sheet it is."""

    cargo: Counter[str]
    placements: tuple[Placement, ...] = ()
    sheet: Bin = NO_SHEET
    stock: str = ""


JOINT = 12
"""Groups of sheets tried on one at most: each takes some tenths of a second (our own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSharing:
    """One sheet that can be cut instead of several.

    Attributes:
        out: ids of the runs it replaces.
        sheet: what is cut instead.
    """

    out: tuple[str, ...]
    sheet: LaidSheet


NO_WAYS: Mapping[str, tuple[str, ...]] = MappingProxyType({})
"""Where nothing is left open."""


def cut_sheets(
    parts: Sequence[Part],
    estimates: Mapping[str, Estimates],
    shop: Shop,
    namer: Namer,
    ways: Mapping[str, tuple[str, ...]] = NO_WAYS,
) -> tuple[tuple[LaidSheet, ...], tuple[SheetSharing, ...]]:
    """The attended runs that cut all copies of all cut parts, one sheet each.

    Parts of different ways to make something lie on different sheets, since nobody knows yet which
    will be cut; what may share a sheet if both are is told beside.

    Args:
        parts: cut parts, of any material.
        estimates: for one copy, by part and laser.
        shop: lasers to choose from and sheets in hand.
        namer: gives the ids.
        ways: ids of the open fork and the way a part belongs to, by its id; most belong to none.

    Raises:
        InputError: no laser can make one of them, or it fits no sheet.
    """
    cutting = _Cutting(parts, estimates, shop, ways)
    sheets = [
        (pile, filled)
        for pile, members in _piles(cutting).items()
        for filled in _filled(cutting, pile, members)
    ]
    count = Counter((pile.name, pile.way) for pile, _ in sheets)
    seen: Counter[tuple[str, tuple[str, ...]]] = Counter()
    laid: list[tuple[_Pile, LaidSheet]] = []
    for pile, filled in sheets:
        kind = (pile.name, pile.way)
        name = numbered(pile.name, seen[kind], count[kind])
        seen[kind] += 1
        ident = namer.fresh(f"{pile.stem}-{seen[kind]}")
        laid.append((pile, _laid(cutting, pile, filled, ident, name)))
    return tuple(sheet for _, sheet in laid), tuple(_sharings(cutting, laid, namer))


def _laid(cutting: _Cutting, pile: _Pile, filled: _Filled, ident: str, name: str) -> LaidSheet:
    run = _sheet_run(cutting, pile, filled.cargo, ident, name)
    return LaidSheet(
        run,
        filled.sheet.size_mm,
        filled.placements,
        filled.stock,
        filled.sheet.outline,
        filled.sheet.keep_out,
    )


def _sharings(
    cutting: _Cutting, laid: Sequence[tuple[_Pile, LaidSheet]], namer: Namer
) -> Iterator[SheetSharing]:
    """Pairs and triples of sheets of different ways whose parts fit onto one.

    Of each pile only the last sheet is looked at, since the others are full; what is cut anyway
    comes first.
    """
    known = [(pile, sheet) for pile, sheet in dict(laid).items() if sheet.placements]
    last = sorted(known, key=lambda each: bool(each[0].way))
    groups = chain(combinations(last, 2), combinations(last, 3))
    able = (
        group
        for group in groups
        if all(a.goes_with(b) for (a, _), (b, _) in combinations(group, 2))
    )
    for group in islice(able, JOINT):
        cargo = Counter[str]()
        for _, sheet in group:
            cargo.update(dict(sheet.run.cargo))
        filled = _nested(cutting, group[0][0], cargo)
        if len(filled) == 1:
            ids = tuple(sheet.run.id for _, sheet in group)
            name = " + ".join(sheet.run.name for _, sheet in group)
            ident = namer.fresh("+".join(ids))
            yield SheetSharing(out=ids, sheet=_laid(cutting, group[0][0], filled[0], ident, name))


def cut_runs(
    parts: Sequence[Part], estimates: Mapping[str, Estimates], shop: Shop, namer: Namer
) -> tuple[Run, ...]:
    """The runs of `cut_sheets` alone."""
    return tuple(sheet.run for sheet in cut_sheets(parts, estimates, shop, namer)[0])


def _piles(cutting: _Cutting) -> dict[_Pile, list[Part]]:
    piles: dict[_Pile, list[Part]] = {}
    for part in cutting.parts:
        piles.setdefault(_pile_of(cutting, part), []).append(part)
    return piles


def _pile_of(cutting: _Cutting, part: Part) -> _Pile:
    known = cutting.estimates.get(part.id, {})
    lasers = cutting.shop.lasers
    able = tuple(x.id for x in lasers if x.id in known or (part.minutes and not known))
    if not able:
        raise InputError(Fault.NO_MACHINE, where_of(part, "route"), route=part.route.value)
    way = cutting.ways.get(part.id, ())
    return _Pile(part.material, part.thickness_mm, frozenset(part.after), able, way)


def _filled(cutting: _Cutting, pile: _Pile, parts: list[Part]) -> Iterator[_Filled]:
    """What lies on each sheet; parts of unknown shape get sheets of their own."""
    shaped = [part for part in parts if cutting.estimates.get(part.id)]
    for portion in _portions(shaped):
        yield from _nested(cutting, pile, portion, offcuts=True)
    for part in parts:
        if part not in shaped:
            yield from map(_Filled, _portions([part]))


def _portions(parts: list[Part]) -> Iterator[Counter[str]]:
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


def _nested(
    cutting: _Cutting, pile: _Pile, portion: Counter[str], *, offcuts: bool = False
) -> list[_Filled]:
    """What lies on each sheet in hand, or on sheets as large as the bed if these are too small.

    With `offcuts`, a sheet is replaced by the smallest one in stock that takes all that lies on it.
    """
    items = [_item(cutting, pile, ident, copies) for ident, copies in portion.items()]
    rim_mm = _rim_mm(cutting, pile)
    for sheet, stock in (_usual(cutting, pile), (_bed(cutting, pile), "")):
        laid = onto_sheets(items, sheet, gap_mm=SHEET_GAP_MM, rim_mm=rim_mm)
        if laid is None:
            continue
        filled = [_Filled(Counter(p.id for p in lying), lying, sheet, stock) for lying in laid]
        if offcuts and (stocked := _all_in_stock(cutting, pile, items, stock, len(filled))):
            return stocked
        return [_smaller(cutting, pile, one) for one in filled] if offcuts else filled
    raise _too_large(cutting, pile, items, rim_mm)


def _all_in_stock(
    cutting: _Cutting, pile: _Pile, items: Sequence[Item], usual: str, wanted: int
) -> list[_Filled]:
    """Everything on sheets and offcuts in stock, the largest first, where there are too few usual ones.

    Nothing where there are enough of these, or all of them together do not suffice.
    """
    kinds = sorted(_in_stock(cutting, pile), key=_stock_mm2, reverse=True)
    left = {kind.id: kind.count - cutting.claimed[kind.id] for kind in kinds}
    if left.get(usual, wanted) >= wanted:
        return []
    bed = _bed(cutting, pile)
    sheets = [(kind.id, _on_bed(kind, bed)) for kind in kinds for _ in range(left[kind.id])]
    lying = [(ident, sheet) for ident, sheet in sheets if sheet is not None]
    laid = onto_various(
        items,
        [sheet for _, sheet in lying],
        gap_mm=SHEET_GAP_MM,
        rim_mm=_rim_mm(cutting, pile),
    )
    filled = [
        _Filled(Counter(p.id for p in placed), placed, sheet, ident)
        for (ident, sheet), placed in zip(lying, laid or (), strict=False)
        if placed
    ]
    cutting.claimed.update(one.stock for one in filled)
    return filled


def _on_bed(stock: Sheet, bed: Bin) -> Bin | None:
    """A sheet as far as it lies on the bed; None for an offcut that is larger."""
    if not stock.outline:
        x, y = (min(pair) for pair in zip(stock.size_mm, bed.size_mm, strict=True))
        return replace(bed, size_mm=(x, y))
    lies = all(side <= most for side, most in zip(stock.size_mm, bed.size_mm, strict=True))
    return replace(bed, size_mm=stock.size_mm, outline=stock.outline) if lies else None


def _item(cutting: _Cutting, pile: _Pile, ident: str, copies: int) -> Item:
    return item_of(cutting.part(ident), cutting.estimates[ident][pile.machines[0]], copies)


def _too_large(cutting: _Cutting, pile: _Pile, items: Sequence[Item], rim_mm: float) -> InputError:
    """The error for what fits no sheet: a part that does not, or the first if all do one by one."""
    bed_mm = _bed(cutting, pile).size_mm
    inner_mm = (bed_mm[0] - 2 * rim_mm, bed_mm[1] - 2 * rim_mm)
    loose = (i.id for i in items if not fits(i.outline, inner_mm, turns=i.turns_deg or TURNS))
    culprit = next(loose, items[0].id)
    estimate = cutting.estimates[culprit][pile.machines[0]]
    return too_large(cutting.part(culprit), estimate, bed_mm, cutting.lasers(pile)[0].name)


def _smaller(cutting: _Cutting, pile: _Pile, filled: _Filled) -> _Filled:
    """The same parts on the smallest sheet in stock that takes them all, if one does."""
    items = [_item(cutting, pile, ident, copies) for ident, copies in filled.cargo.items()]
    rim_mm = _rim_mm(cutting, pile)
    for stock in sorted(_in_stock(cutting, pile), key=_stock_mm2):
        bed = _bed(cutting, pile)
        lies = all(side <= most for side, most in zip(stock.size_mm, bed.size_mm, strict=True))
        smaller = _stock_mm2(stock) < math.prod(filled.sheet.size_mm)
        if not (smaller and lies) or cutting.claimed[stock.id] >= stock.count:
            continue
        sheet = replace(bed, size_mm=stock.size_mm, outline=stock.outline)
        laid = onto_sheets(items, sheet, gap_mm=SHEET_GAP_MM, rim_mm=rim_mm, most=1)
        if laid is not None:
            cutting.claimed[stock.id] += 1
            return _Filled(filled.cargo, laid[0], sheet, stock.id)
    return filled


def _stock_mm2(sheet: Sheet) -> float:
    return area_mm2(sheet.outline) if sheet.outline else math.prod(sheet.size_mm)


def _rim_mm(cutting: _Cutting, pile: _Pile) -> float:
    """Half the widest kerf: the beam runs so far outside a part, and has to stay on the sheet.

    Nothing where the tables do not know the material, so that only times are known.
    """
    tables = {material.id: material for material in cutting.shop.sheet_materials}
    material, thickness_mm = tables.get(pile.material), pile.thickness_mm
    if material is None or thickness_mm is None or not material.settings:
        return 0.0
    speeds = (
        cut_speeds(laser, material, thickness_mm, where=pile.stem) for laser in cutting.lasers(pile)
    )
    return max(speed.kerf_mm for speed in speeds) / 2


def _bed(cutting: _Cutting, pile: _Pile) -> Bin:
    """A sheet as large as what every laser of a pile takes, with all that stays free on any."""
    lasers = cutting.lasers(pile)
    return Bin(
        size_mm=(min(x.bed_mm[0] for x in lasers), min(x.bed_mm[1] for x in lasers)),
        keep_out=tuple(ring for laser in lasers for ring in laser.keep_out),
    )


def _usual(cutting: _Cutting, pile: _Pile) -> tuple[Bin, str]:
    """The largest rectangular sheet of that kind, as far as it lies on the bed, and its id.

    The bed itself if there is none.
    """
    bed = _bed(cutting, pile)
    kinds = [sheet for sheet in _in_stock(cutting, pile) if not sheet.outline]
    if not kinds:
        return bed, ""
    largest = max(kinds, key=_stock_mm2)
    x, y = (min(pair) for pair in zip(largest.size_mm, bed.size_mm, strict=True))
    return replace(bed, size_mm=(x, y)), largest.id


def _in_stock(cutting: _Cutting, pile: _Pile) -> list[Sheet]:
    """Sheets of the kind a pile needs."""
    return [
        sheet
        for sheet in cutting.shop.sheets
        if sheet.material == pile.material and _as_thick(sheet.thickness_mm, pile.thickness_mm)
    ]


def _as_thick(sheet_mm: float, part_mm: float | None) -> bool:
    return part_mm is None or math.isclose(sheet_mm, part_mm, abs_tol=1e-6)


def _sheet_run(cutting: _Cutting, pile: _Pile, cargo: Counter[str], ident: str, name: str) -> Run:
    lasers = cutting.lasers(pile)
    choices = [
        Choice(
            laser.id,
            _sheet_s(cutting, cargo, laser),
            start_s=minutes_s(laser.start_minutes),
            clear_s=minutes_s(laser.after_minutes),
            fail_start=laser.fail_start,
            fail_hour=0.0,
        )
        for laser in lasers
    ]
    return run_on(
        choices,
        id=ident,
        name=name,
        attended=True,
        cargo=tuple(sorted(cargo.items())),
        after=tuple(sorted(pile.after)),
        needed=any(cutting.part(part).needed for part in cargo),
    )


def _sheet_s(cutting: _Cutting, cargo: Counter[str], laser: Laser) -> Spread:
    """Machine seconds of a sheet: its copies one after the other."""
    rows = [
        together(cutting.part(ident), cutting.estimates.get(ident, {}).get(laser.id), copies)
        for ident, copies in cargo.items()
    ]
    return Spread(
        sum(row.low for row in rows), sum(row.likely for row in rows), sum(row.high for row in rows)
    )
