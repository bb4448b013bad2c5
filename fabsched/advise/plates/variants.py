"""The ways to make a part, each with all that speaks for and against it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil

from fabsched.advise.plates.bending import Give
from fabsched.advise.plates.exposure import Exposure, exposure_of
from fabsched.advise.plates.making import Made
from fabsched.advise.plates.splitting import Split
from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate, Route, WarpLevel
from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.project import Part, Project
from fabsched.model.weekend import Activity, Run, Weekend

MOST = 8
"""Variants compared at most (own choice)."""

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
        pick: numbers of the plates that are cut; none prints the part whole.
        tally: what it takes; None if it cannot be made.
        exposure: what its failures cost; None as well.
        on_time: chance that the whole project is done in time.
        standard_error: of that chance.
        finish_p50_s: moment by which half of the simulated weekends are done; None if never.
        gives: how far its plates give.
        split: the part taken apart; None if it is printed whole.
        made: what takes the part's place; None if it is printed whole.
        hindered: why it cannot be made.
    """

    pick: tuple[int, ...]
    tally: Tally | None = None
    exposure: Exposure | None = None
    on_time: float = 0.0
    standard_error: float = 0.0
    finish_p50_s: int | None = None
    gives: tuple[Give, ...] = ()
    split: Split | None = None
    made: Made | None = None
    hindered: InputError | None = None


def picks(count: int, most: int = MOST) -> tuple[tuple[int, ...], ...]:
    """Which plates to cut: none, all, each alone, then all but some, as far as there is room.

    >>> picks(2)
    ((), (0, 1), (0,), (1,))
    >>> picks(0)
    ((),)
    """
    every = tuple(range(count))
    sizes = [0, count, 1, *range(count - 1, 1, -1)]
    found = [pick for size in sizes for pick in combinations(every, size)]
    return tuple(dict.fromkeys(found))[:most]


def tally_of(
    parts: Sequence[Part], works: frozenset[str], estimates: Estimates, planned: Planned
) -> Tally:
    """What some parts and works take.

    Args:
        parts: that make the part.
        works: ids of the works that belong to them.
        estimates: of the parts.
        planned: the project they are in.
    """
    answer, weekend = planned
    first = {part: next(iter(estimates[part.id].values())) for part in parts}
    prints = [(p, e) for p, e in first.items() if p.route is Route.PRINT]
    cuts = [(p, e) for p, e in first.items() if p.route is Route.CUT]
    costs = [(p.copies, e.cost) for p, e in first.items()]
    warps = [e.warp.level for _, e in prints if e.warp]
    names = frozenset(part.id for part in parts)
    return Tally(
        printing_s=sum(p.copies * e.seconds.likely for p, e in prints),
        cutting_s=sum(p.copies * e.seconds.likely for p, e in cuts),
        hands_s=_hands_s(answer.course.blocks, weekend, names, works),
        mass_g=sum(p.copies * (e.mass_g or 0.0) for p, e in prints),
        sheet_mm2=sum(p.copies * e.footprint_mm[0] * e.footprint_mm[1] for p, e in cuts),
        cost=_cost(costs),
        trips=ceil(sum(block.kind is Kind.TRAVEL for block in answer.course.blocks) / 2),
        warp=max(warps, key=SEVERITY.index) if warps else None,
    )


def _cost(costs: Sequence[tuple[int, float | None]]) -> float | None:
    """The sum; None if any price is unknown."""
    known = [copies * cost for copies, cost in costs if cost is not None]
    return sum(known) if len(known) == len(costs) else None


def _hands_s(
    blocks: Sequence[Block], weekend: Weekend, parts: frozenset[str], works: frozenset[str]
) -> int:
    """Hands that go into parts and works, by copies where runs are shared."""
    machines = {station.id for station in weekend.stations}
    total = 0.0
    for block in blocks:
        by_hand = block.resource not in machines and block.kind is not Kind.TRAVEL
        if by_hand and block.activity:
            share = _share(weekend.activity(block.activity), parts, works)
            total += share * (block.end_s - block.start_s)
    return round(total)


def _share(activity: Activity, parts: frozenset[str], works: frozenset[str]) -> float:
    """Which share of an activity is due to parts and works."""
    if not isinstance(activity, Run):
        return float(activity.of in works or activity.id in works)
    copies = sum(count for _, count in activity.cargo)
    return sum(count for ident, count in activity.cargo if ident in parts) / max(1, copies)


def exposed(weekend: Weekend, answer: Answer, parts: frozenset[str]) -> Exposure:
    """What failures of the runs of some parts cost."""
    runs = [a for a in weekend.activities if isinstance(a, Run) and a.id not in answer.plan.dropped]
    shared = ((run, _share(run, parts, frozenset())) for run in runs)
    return exposure_of([(run, share) for run, share in shared if share])
