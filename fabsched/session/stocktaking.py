"""What a plan takes from stock, what is left and what has to be bought. Heavy: imported when it runs."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fabsched.model.estimates import Estimate, Route
from fabsched.model.plan import Answer, Plan
from fabsched.model.project import Part, Project
from fabsched.model.shapes import Points2
from fabsched.model.shop import Sheet, Shop
from fabsched.nest.offcuts import largest_free
from fabsched.nest.records import Bin
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.nesting import outline_of
from fabsched.schedule.sheet_runs import lying_on
from fabsched.session.stock_records import FilamentStock, Remnant, SheetStock, Stock
from fabsched.session.stock_spent import Spent, begun

WORTH_MM = 50.0
"""Offcuts narrower than this are waste (our own choice)."""

Estimates = Mapping[str, Mapping[str, Estimate]]
Kind = tuple[str, str, float | None, tuple[float, float]]
"""Id of the stock, material, thickness and size of a sheet."""


def stock_of(
    project: Project, shop: Shop, estimates: Estimates, answer: Answer, spent: Iterable[Spent] = ()
) -> Stock:
    """What a plan takes.

    Args:
        project: what was planned.
        shop: what there was before the weekend began.
        estimates: what it was planned with, by part id and machine id.
        answer: the plan; of a weekend under way that of the rest.
        spent: runs that have ended by then.

    Raises:
        InputError: no machine can make a part, or it fits none.
    """
    taking = _Taking({part.id: part for part in project.parts}, shop, estimates)
    over = [each for each in spent if taking.knows(each)]
    carried = frozenset(answer.plan.order) - answer.plan.dropped
    both = Plan(order=(*carried, *(each.run for each in over)))  # laying them out once is enough
    laid = {x.run.id: x for x in layouts_of(project, shop, estimates, answer.course, both)}
    takes = [
        *(_ahead(layout) for ident, layout in laid.items() if ident in carried),
        *(_before(each, laid.get(each.run)) for each in over),
    ]
    every = [x for x in takes if taking.part(x).route is Route.CUT and x.share > 0]
    cut = list(taking.of_what_there_was(every))
    printed = [x for x in takes if taking.part(x).route is Route.PRINT]
    return Stock(
        filaments=tuple(taking.filaments(printed)),
        sheets=tuple(taking.sheets(cut)),
        remnants=tuple(taking.remnants(cut)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Take:
    """A run that takes from stock.

    Attributes:
        run: its id.
        items: (part id, copies) of it.
        machine: where.
        layout: where everything lies; None where that is not known any more.
        share: how far it gets, 0 to 1.
        over: whether it has ended.
        failed: whether it came to nothing.
    """

    run: str
    items: tuple[tuple[str, int], ...]
    machine: str
    layout: RunLayout | None
    over: bool = False
    share: float = 1.0
    failed: bool = False


def _ahead(layout: RunLayout) -> _Take:
    return _Take(run=layout.run.id, items=layout.run.cargo, machine=layout.machine, layout=layout)


def _before(spent: Spent, layout: RunLayout | None) -> _Take:
    return _Take(
        run=spent.run,
        items=spent.items,
        machine=spent.machine,
        layout=layout if layout and sorted(layout.run.cargo) == sorted(spent.items) else None,
        share=spent.share,
        over=True,
        failed=spent.failed,
    )


@dataclass(frozen=True, slots=True)
class _Taking:
    parts: Mapping[str, Part]
    shop: Shop
    estimates: Estimates

    def knows(self, spent: Spent) -> bool:
        """Whether everything a run made is still in the project; a coupon weighs next to nothing."""
        return bool(spent.items) and all(ident in self.parts for ident, _ in spent.items)

    def part(self, take: _Take) -> Part:
        """The first part of a run; all are of one material."""
        return self.parts[take.items[0][0]]

    def filaments(self, printed: Sequence[_Take]) -> Iterator[FilamentStock]:
        """Grams of each filament, in the order they are met."""
        need: defaultdict[str, float] = defaultdict(float)
        for take in printed:
            for ident, copies in take.items:
                estimate = self.estimates.get(ident, {}).get(take.machine)
                if estimate is not None and estimate.mass_g is not None:
                    need[self.parts[ident].material] += take.share * copies * estimate.mass_g
        have: defaultdict[str, float] = defaultdict(float)
        for spool in self.shop.spools:
            have[spool.material] += spool.mass_g
        for material, grams in need.items():
            yield FilamentStock(material=material, need_g=grams, have_g=have[material])

    def of_what_there_was(self, cut: Sequence[_Take]) -> Iterator[_Take]:
        """Runs that cut, what is to come first.

        An offcut that was entered since is taken by what is to come; what was cut before, and would
        lie on it today, lay on another sheet.
        """
        used: Counter[str] = Counter()
        for take in cut:
            found, (ident, *_) = take, self._kind(take)
            sheet, like = self._stocked(ident), self._any_like(self.part(take))
            if take.over and sheet and used[ident] >= sheet.count and like and like.id != ident:
                found = replace(take, layout=None)
            used[self._kind(found)[0]] += 1
            yield found

    def sheets(self, cut: Sequence[_Take]) -> Iterator[SheetStock]:
        """Sheets of each kind, in the order they are met."""
        for kind, used in Counter(map(self._kind, cut)).items():
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

    def _kind(self, take: _Take) -> Kind:
        layout, part = take.layout, self.part(take)
        known = self._stocked(layout.stock) if layout else None
        if known is None and not (layout and layout.placements):
            known = self._any_like(part)
        if known is None:
            return "", part.material, part.thickness_mm, layout.size_mm if layout else (0.0, 0.0)
        return known.id, known.material, known.thickness_mm, known.size_mm

    def _any_like(self, part: Part) -> Sheet | None:
        """A kind of sheet for a part whose shape is not known."""
        kind = (part.material, part.thickness_mm)
        return next((s for s in self.shop.sheets if (s.material, s.thickness_mm) == kind), None)

    def remnants(self, cut: Sequence[_Take]) -> Iterator[Remnant]:
        """What is worth keeping of each sheet."""
        for take in cut:
            layout = take.layout
            if layout is None or not layout.placements:
                continue
            _, material, thickness_mm, size_mm = self._kind(take)
            room = Bin(size_mm=size_mm, outline=layout.outline)
            rings = self._gone(layout, take.share)
            x, y, wide, high = largest_free(room, rings)
            if min(wide, high) >= WORTH_MM:
                yield Remnant(
                    run=take.run,
                    failed=take.failed,
                    material=material,
                    thickness_mm=thickness_mm,
                    at_mm=(x, y),
                    size_mm=(wide, high),
                )

    def _gone(self, layout: RunLayout, share: float) -> list[list[Points2]]:
        """Borders of what has been begun of a sheet, by a share of the cut."""
        known = {p.id: self.estimates[p.id][layout.machine] for p in layout.placements}
        lying = lying_on(known, layout.placements)
        touched = begun(lying, share) if share < 1.0 else range(len(lying))
        return [
            [layout.placements[number].outline_mm(outline_of(lying[number].estimate))]
            for number in sorted(touched)
        ]
