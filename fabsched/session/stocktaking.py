"""What a plan takes from stock, what is left and what has to be bought. Heavy: imported when it runs."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fabsched.model.estimates import Estimate, Route
from fabsched.model.plan import Answer
from fabsched.model.project import Part, Project
from fabsched.model.shop import Sheet, Shop
from fabsched.nest.offcuts import largest_free
from fabsched.nest.records import Bin
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.nesting import outline_of
from fabsched.session.stock_records import FilamentStock, Remnant, SheetStock, Stock

WORTH_MM = 50.0
"""Offcuts narrower than this are waste (our own choice)."""

Estimates = Mapping[str, Mapping[str, Estimate]]
Kind = tuple[str, str, float | None, tuple[float, float]]
"""Id of the stock, material, thickness and size of a sheet."""


def stock_of(project: Project, shop: Shop, estimates: Estimates, answer: Answer) -> Stock:
    """What a plan takes.

    Args:
        project: what was planned.
        shop: what there is.
        estimates: what it was planned with, by part id and machine id.
        answer: the plan.

    Raises:
        InputError: no machine can make a part, or it fits none.
    """
    layouts = layouts_of(project, shop, estimates, answer.course, answer.plan)
    taking = _Taking({part.id: part for part in project.parts}, shop, estimates)
    cut = [x for x in layouts if taking.part(x).route is Route.CUT]
    printed = [x for x in layouts if taking.part(x).route is Route.PRINT]
    return Stock(
        filaments=tuple(taking.filaments(printed)),
        sheets=tuple(taking.sheets(cut)),
        remnants=tuple(taking.remnants(cut)),
    )


@dataclass(frozen=True, slots=True)
class _Taking:
    parts: Mapping[str, Part]
    shop: Shop
    estimates: Estimates

    def part(self, layout: RunLayout) -> Part:
        """The first part of a run; all are of one material."""
        return self.parts[layout.run.cargo[0][0]]

    def filaments(self, printed: Sequence[RunLayout]) -> Iterator[FilamentStock]:
        """Grams of each filament, in the order they are met."""
        need: defaultdict[str, float] = defaultdict(float)
        for layout in printed:
            for ident, copies in layout.run.cargo:
                estimate = self.estimates.get(ident, {}).get(layout.machine)
                if estimate is not None and estimate.mass_g is not None:
                    need[self.parts[ident].material] += copies * estimate.mass_g
        have: defaultdict[str, float] = defaultdict(float)
        for spool in self.shop.spools:
            have[spool.material] += spool.mass_g
        for material, grams in need.items():
            yield FilamentStock(material=material, need_g=grams, have_g=have[material])

    def sheets(self, cut: Sequence[RunLayout]) -> Iterator[SheetStock]:
        """Sheets of each kind, in the order they are met."""
        for kind, used in Counter(self._kind(layout) for layout in cut).items():
            ident, material, thickness_mm, size_mm = kind
            known = self._stocked(ident)
            yield SheetStock(
                stock=ident,
                material=material,
                thickness_mm=thickness_mm,
                size_mm=size_mm,
                used=used,
                have=known.count if known else 0,
            )

    def _stocked(self, ident: str) -> Sheet | None:
        return next((sheet for sheet in self.shop.sheets if sheet.id == ident), None)

    def _kind(self, layout: RunLayout) -> Kind:
        known, part = self._stocked(layout.stock), self.part(layout)
        if known is None:
            known = self._any_like(part) if not layout.placements else None
        if known is None:
            return "", part.material, part.thickness_mm, layout.size_mm
        return known.id, known.material, known.thickness_mm, known.size_mm

    def _any_like(self, part: Part) -> Sheet | None:
        """A kind of sheet for a part whose shape is not known."""
        kind = (part.material, part.thickness_mm)
        return next((s for s in self.shop.sheets if (s.material, s.thickness_mm) == kind), None)

    def remnants(self, cut: Sequence[RunLayout]) -> Iterator[Remnant]:
        """What is worth keeping of each sheet."""
        for layout in cut:
            if not layout.placements:
                continue
            _, material, thickness_mm, size_mm = self._kind(layout)
            rings = [
                [p.outline_mm(outline_of(self.estimates[p.id][layout.machine]))]
                for p in layout.placements
            ]
            room = Bin(size_mm=size_mm, outline=layout.outline)
            x, y, wide, high = largest_free(room, rings)
            if min(wide, high) >= WORTH_MM:
                yield Remnant(
                    run=layout.run.id,
                    material=material,
                    thickness_mm=thickness_mm,
                    at_mm=(x, y),
                    size_mm=(wide, high),
                )
