"""Cut parts onto sheets: everything of one material that may be cut at the same time."""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Part
from fabsched.model.references import where_of
from fabsched.model.shop import Laser, Shop
from fabsched.model.spread import Spread
from fabsched.model.units import minutes_s
from fabsched.model.weekend import Choice, Run
from fabsched.nest.place import fits
from fabsched.nest.records import Placement
from fabsched.schedule.beds import Estimates, numbered, together, too_large
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import Size, onto_sheets, outline_of

SHEET_GAP_MM = 3.0
"""Room between two parts on a sheet (common practice: not less than the thickness)."""


@dataclass(frozen=True, slots=True)
class _Pile:
    """What parts must have in common to share sheets."""

    material: str
    thickness_mm: float | None
    after: frozenset[str]
    machines: tuple[str, ...]

    @property
    def stem(self) -> str:
        thickness = "" if self.thickness_mm is None else f"{self.thickness_mm:g}"
        return "-".join(word for word in (self.material, thickness, "sheet") if word)

    @property
    def name(self) -> str:
        thick = self.thickness_mm is not None
        return f"{self.material} {self.thickness_mm:g} mm" if thick else self.material


@dataclass(frozen=True, slots=True)
class _Cutting:
    """What is known about cutting: the parts, their estimates and the shop."""

    parts: Sequence[Part]
    estimates: Mapping[str, Estimates]
    shop: Shop

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
    """

    run: Run
    size_mm: Size = (0.0, 0.0)
    placements: tuple[Placement, ...] = ()


@dataclass(frozen=True, slots=True)
class _Filled:
    """A sheet before it has a run: copies by part, and where they lie."""

    cargo: Counter[str]
    size_mm: Size = (0.0, 0.0)
    placements: tuple[Placement, ...] = ()


def cut_sheets(
    parts: Sequence[Part], estimates: Mapping[str, Estimates], shop: Shop, namer: Namer
) -> tuple[LaidSheet, ...]:
    """The attended runs that cut all copies of all cut parts, one sheet each.

    Args:
        parts: cut parts, of any material.
        estimates: for one copy, by part and laser.
        shop: lasers to choose from and sheets in hand.
        namer: gives the ids.

    Raises:
        InputError: no laser can make one of them, or it fits no sheet.
    """
    cutting = _Cutting(parts, estimates, shop)
    sheets = [
        (pile, filled)
        for pile, members in _piles(cutting).items()
        for filled in _filled(cutting, pile, members)
    ]
    count = Counter(pile.name for pile, _ in sheets)
    seen: Counter[str] = Counter()
    laid = []
    for pile, filled in sheets:
        name = numbered(pile.name, seen[pile.name], count[pile.name])
        seen[pile.name] += 1
        ident = namer.fresh(f"{pile.stem}-{seen[pile.name]}")
        run = _sheet_run(cutting, pile, filled.cargo, ident, name)
        laid.append(LaidSheet(run, filled.size_mm, filled.placements))
    return tuple(laid)


def cut_runs(
    parts: Sequence[Part], estimates: Mapping[str, Estimates], shop: Shop, namer: Namer
) -> tuple[Run, ...]:
    """The runs of `cut_sheets` alone."""
    return tuple(sheet.run for sheet in cut_sheets(parts, estimates, shop, namer))


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
    return _Pile(part.material, part.thickness_mm, frozenset(part.after), able)


def _filled(cutting: _Cutting, pile: _Pile, parts: list[Part]) -> Iterator[_Filled]:
    """What lies on each sheet; parts of unknown shape get sheets of their own."""
    shaped = [part for part in parts if cutting.estimates.get(part.id)]
    for portion in _portions(shaped):
        yield from _nested(cutting, pile, portion)
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


def _nested(cutting: _Cutting, pile: _Pile, portion: Counter[str]) -> list[_Filled]:
    """What lies on each sheet in hand, or on sheets as large as the bed if these are too small."""
    machine = pile.machines[0]
    outlines = {ident: outline_of(cutting.estimates[ident][machine]) for ident in portion}
    bed_mm, rim_mm = _bed_mm(cutting, pile), _rim_mm(cutting, pile)
    for sheet_mm in (_sheet_mm(cutting, pile, bed_mm), bed_mm):
        sheets = onto_sheets(portion, outlines, sheet_mm, gap_mm=SHEET_GAP_MM, rim_mm=rim_mm)
        if sheets is not None:
            return [_Filled(Counter(p.id for p in sheet), sheet_mm, sheet) for sheet in sheets]
    inner_mm = (bed_mm[0] - 2 * rim_mm, bed_mm[1] - 2 * rim_mm)
    culprit = next((i for i in portion if not fits(outlines[i], inner_mm)), next(iter(portion)))
    estimate = cutting.estimates[culprit][machine]
    raise too_large(cutting.part(culprit), estimate, bed_mm, cutting.lasers(pile)[0].name)


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


def _bed_mm(cutting: _Cutting, pile: _Pile) -> Size:
    """What every laser of a pile takes."""
    beds = [laser.bed_mm for laser in cutting.lasers(pile)]
    return min(x for x, _ in beds), min(y for _, y in beds)


def _sheet_mm(cutting: _Cutting, pile: _Pile, bed_mm: Size) -> Size:
    """The largest sheet in hand of that kind, as far as it lies on the bed; else the bed."""
    sizes = [
        sheet.size_mm
        for sheet in cutting.shop.sheets
        if sheet.material == pile.material and _as_thick(sheet.thickness_mm, pile.thickness_mm)
    ]
    x, y = max(sizes, key=math.prod, default=bed_mm)
    return min(x, bed_mm[0]), min(y, bed_mm[1])


def _as_thick(sheet_mm: float, part_mm: float | None) -> bool:
    return part_mm is None or math.isclose(sheet_mm, part_mm, abs_tol=1e-6)


def _sheet_run(cutting: _Cutting, pile: _Pile, cargo: Counter[str], ident: str, name: str) -> Run:
    lasers = cutting.lasers(pile)
    choices = [Choice(laser.id, _sheet_s(cutting, cargo, laser)) for laser in lasers]
    return Run(
        id=ident,
        name=name,
        choices=tuple(sorted(choices, key=lambda choice: choice.seconds.likely)),
        attended=True,
        start_s=minutes_s(max(laser.start_minutes for laser in lasers)),
        clear_s=minutes_s(max(laser.after_minutes for laser in lasers)),
        fail_start=max(laser.fail_start for laser in lasers),
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
