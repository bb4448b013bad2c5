"""The ways to make a part, each with all that speaks for and against it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, islice
from math import ceil
from typing import TYPE_CHECKING

from fabsched.advise.plates.exposure import Exposure
from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate, Route, WarpLevel
from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.project import Part, Project
from fabsched.model.weekend import Activity, Run, Weekend

if TYPE_CHECKING:  # heavy
    from fabsched.advise.plates.adopting import Change
    from fabsched.advise.plates.bending import Give
    from fabsched.advise.plates.holding import Untold
    from fabsched.advise.plates.making import Made
    from fabsched.advise.plates.seams import Seam
    from fabsched.advise.plates.splitting import Split

MOST = 32
"""Choices among plates compared at most: all of five plates, the most telling of more (own choice)."""
MOST_ADOPTED = 16
"""What can be adopted is compared for so many of them, the largest (own choice)."""

Estimates = Mapping[str, Mapping[str, Estimate]]
Planned = tuple[Answer, Weekend]
Plan = Callable[[Project, Estimates], Planned]
"""Plans a project with known estimates; the same project gives the same answer."""

SEVERITY = (WarpLevel.LOW, WarpLevel.MEDIUM, WarpLevel.HIGH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """What one way to make a part takes; all copies together.

    Attributes:
        printing_s: machine time of the prints.
        cutting_s: machine time of the cuts.
        hands_s: hands for machines, cleaning and fitting, if all goes as expected.
        mass_g: plastic printed.
        sheet_mm2: sheet cut, by the boxes around the plates.
        cost: material and machines, in the shop's currency; None if prices are unknown.
        trips: there and back in the whole plan.
        warp: of the print most likely to warp; None if nothing is printed.
    """

    printing_s: float
    cutting_s: float
    hands_s: int
    mass_g: float
    sheet_mm2: float
    cost: float | None
    trips: int
    warp: WarpLevel | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Variant:
    """One way to make a part.

    Attributes:
        pick: numbers of the plates that are cut, the largest first; none prints the part whole.
        tally: what it takes; None if it cannot be made.
        exposure: what its failures cost; None as well.
        on_time: chance that the whole project is done in time.
        standard_error: of that chance.
        finish_p50_s: moment by which half of the simulated weekends are done; None if never.
        gives: how far its plates give.
        untold: plates of which that cannot be told.
        seams: the glue that holds plates.
        split: the part taken apart; None if it is printed whole.
        made: what takes the part's place; None if it is printed whole.
        changes: what the part is changed for, each with the number of its plate.
        hindered: why it cannot be made.
    """

    pick: tuple[int, ...]
    tally: Tally | None = None
    exposure: Exposure | None = None
    on_time: float = 0.0
    standard_error: float = 0.0
    finish_p50_s: int | None = None
    gives: tuple["Give", ...] = ()
    untold: tuple["Untold", ...] = ()
    seams: tuple["Seam", ...] = ()
    split: "Split | None" = None
    made: "Made | None" = None
    changes: "tuple[tuple[int, Change], ...]" = ()
    hindered: InputError | None = None


def picks(count: int, most: int = MOST) -> tuple[tuple[int, ...], ...]:
    """Which plates to cut: none, all, each alone, then all but some, as far as there is room.

    >>> picks(2)
    ((), (0, 1), (0,), (1,))
    >>> picks(0)
    ((),)
    """
    sizes = dict.fromkeys([0, count, 1, *range(count - 1, 1, -1)])
    found = (pick for size in sizes for pick in combinations(range(count), size))
    return tuple(islice(found, most))


def picks_with(
    count: int, adoptable: int, together: Sequence[int] = ()
) -> tuple[tuple[int, ...], ...]:
    """The same with what can be adopted: alone, with all plates, and all of it together.

    Args:
        count: how many plates there are.
        adoptable: how many can be adopted; numbered on from the plates.
        together: numbers of those that can be adopted at once.

    >>> picks_with(1, 2, (1, 2))
    ((), (0,), (0, 1, 2), (0, 1), (0, 2), (1,), (2,))
    >>> picks_with(0, 1, (0,))
    ((), (0,))
    >>> picks_with(0, 0)
    ((),)
    """
    every = tuple(range(count))
    plain = picks(count)
    singles = [(count + number,) for number in range(min(adoptable, MOST_ADOPTED))]
    more = [(*every, *single) for single in singles]
    return tuple(dict.fromkeys([*plain[:2], (*every, *together), *more, *singles, *plain[2:]]))


@dataclass(frozen=True, slots=True, eq=False)
class Mine:
    """The parts and works that make a part, in a planned project.

    Attributes:
        parts: that make it.
        works: ids of the works that belong to them.
        estimates: of all parts of the project.
        planned: the project's plan.
    """

    parts: tuple[Part, ...]
    works: frozenset[str]
    estimates: Estimates
    planned: Planned

    def share(self, activity: Activity) -> float:
        """Which share of an activity is due to them: of a run, by the time its cargo takes."""
        if not isinstance(activity, Run):
            return float(activity.of in self.works or activity.id in self.works)
        names = {part.id for part in self.parts}
        times = [(ident, count * self._seconds(ident)) for ident, count in activity.cargo]
        total = sum(seconds for _, seconds in times)
        mine = sum(seconds for ident, seconds in times if ident in names)
        return mine / total if total else 0.0

    def runs(self) -> list[tuple[Run, float]]:
        """The runs that are carried out for them, with the share of each."""
        answer, weekend = self.planned
        runs = [a for a in weekend.activities if isinstance(a, Run)]
        kept = [(run, self.share(run)) for run in runs if run.id not in answer.plan.dropped]
        return [(run, share) for run, share in kept if share]

    def _seconds(self, ident: str) -> float:
        """Likely seconds of one copy of a part on its first machine; 1 where none is known."""
        known = self.estimates.get(ident, {})
        return next((e.seconds.likely for e in known.values()), 1.0)


def tally_of(mine: Mine) -> Tally:
    """What some parts and works take."""
    answer, _ = mine.planned
    first = [(part, next(iter(mine.estimates[part.id].values()))) for part in mine.parts]
    prints = [(p, e) for p, e in first if p.route is Route.PRINT]
    cuts = [(p, e) for p, e in first if p.route is Route.CUT]
    warps = [e.warp.level for _, e in prints if e.warp]
    running = [(run.attended, share * run.choices[0].seconds.likely) for run, share in mine.runs()]
    return Tally(
        printing_s=sum(seconds for attended, seconds in running if not attended),
        cutting_s=sum(seconds for attended, seconds in running if attended),
        hands_s=_hands_s(answer.course.blocks, mine),
        mass_g=sum(p.copies * (e.mass_g or 0.0) for p, e in prints),
        sheet_mm2=sum(p.copies * e.footprint_mm[0] * e.footprint_mm[1] for p, e in cuts),
        cost=_cost([(p.copies, e.cost) for p, e in first]),
        trips=ceil(sum(block.kind is Kind.TRAVEL for block in answer.course.blocks) / 2),
        warp=max(warps, key=SEVERITY.index) if warps else None,
    )


def _cost(costs: Sequence[tuple[int, float | None]]) -> float | None:
    """The sum; None if any price is unknown."""
    known = [copies * cost for copies, cost in costs if cost is not None]
    return sum(known) if len(known) == len(costs) else None


def _hands_s(blocks: Sequence[Block], mine: Mine) -> int:
    """Hands that go into parts and works, in the nominal course."""
    _, weekend = mine.planned
    machines = {station.id for station in weekend.stations}
    total = 0.0
    for block in blocks:
        by_hand = block.resource not in machines and block.kind is not Kind.TRAVEL
        if by_hand and block.activity:
            share = mine.share(weekend.activity(block.activity))
            total += share * (block.end_s - block.start_s)
    return round(total)
