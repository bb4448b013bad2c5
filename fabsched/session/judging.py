"""How right what was foretold has been, from all the user's own log has taught."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from fabsched.model.estimates import Route
from fabsched.model.experience import (
    ChanceTold,
    RunSeen,
    Seen,
    TimeTold,
    WorkSeen,
    foretold_key,
)
from fabsched.model.shop import Laser, Machine, Shop
from fabsched.odds.calibration import (
    bins,
    brier,
    expected_brier,
    is_by_chance,
    place_in,
    probability_plot,
    reference_brier,
    within,
)
from fabsched.session.judged_records import (
    Chances,
    Failures,
    Faults,
    Judged,
    Lateness,
    Learnt,
    Pace,
    Timed,
    Times,
    Timing,
    Verdict,
)

if TYPE_CHECKING:
    from fabsched.session.knowledge import Knowledge  # brings in arrays

FEW = 6
"""Fewer times are not judged: even if all of five lay on one side, chance would have it so in one of
sixteen cases, which is no rarer than `is_by_chance` asks for."""
FEW_PROJECTS = 10
"""Chances of fewer projects are not judged: how often they come true is not known to 16 points
(standard error of a share of one half; own choice)."""
INSIDE, LONGER = 0.8, 0.5
"""Shares that should lie between P10 and P90, and above P50."""


def judged(seen: Iterable[Seen]) -> Judged:
    """What was foretold against what happened.

    Args:
        seen: all that counts; a time whose run or work the maker has taken out counts no longer.
    """
    seen = tuple(seen)
    by_sort = _times(seen)
    chances = [one for one in seen if isinstance(one, ChanceTold)]
    return Judged(
        times=tuple(_judged_times(sort, by_sort[sort]) for sort in Timed if by_sort[sort]),
        chances=_judged_chances(chances) if chances else None,
        cuts_left_out=sum(_is_untimed_cut(one) for one in seen),
    )


def _is_untimed_cut(one: Seen) -> bool:
    if not isinstance(one, RunSeen) or one.route is not Route.CUT:
        return False
    return not one.failed and not one.timed


def _times(seen: Sequence[Seen]) -> dict[Timed, list[TimeTold]]:
    """Times that were foretold, by whose they are: that is told by what was learnt beside them."""
    sorts = dict(_sorts(seen))
    found: dict[Timed, list[TimeTold]] = {sort: [] for sort in Timed}
    for one in seen:
        if isinstance(one, TimeTold) and one.key in sorts:
            found[sorts[one.key]].append(one)
    return found


def _sorts(seen: Iterable[Seen]) -> Iterable[tuple[str, Timed]]:
    """Keys of the times of runs and works, and which sort they are of."""
    for one in seen:
        if isinstance(one, RunSeen):
            sort = Timed.CUT if one.route is Route.CUT else Timed.PRINT
            yield foretold_key(one.key), sort
        elif isinstance(one, WorkSeen):
            yield foretold_key(one.key), Timed.WORK


def _judged_times(sort: Timed, told: Sequence[TimeTold]) -> Times:
    inside = round((within(told) or 0.0) * len(told))
    longer = sum(place_in(one.told, one.actual_s) > LONGER for one in told)
    return Times(
        sort=sort,
        points=probability_plot(told),
        inside=inside,
        longer=longer,
        verdict=_verdict(len(told), inside, longer),
    )


def _verdict(count: int, inside: int, longer: int) -> Verdict:
    """What is clearly wrong first: the middle, then the width."""
    if count < FEW:
        return Verdict.FEW
    if not is_by_chance(longer, count, LONGER):
        return Verdict.SLOW if longer > LONGER * count else Verdict.QUICK
    if not is_by_chance(inside, count, INSIDE):
        return Verdict.NARROW if inside < INSIDE * count else Verdict.WIDE
    return Verdict.RIGHT


def _judged_chances(told: Sequence[ChanceTold]) -> Chances:
    return Chances(
        told=sum(one.chance for one in told) / len(told),
        came_true=sum(one.came_true for one in told),
        count=len(told),
        brier=brier(told) or 0.0,
        expected=expected_brier(told) or 0.0,
        reference=reference_brier(told) or 0.0,
        rows=tuple((row.told, row.came_true, row.count) for row in bins(told)),
        few=len(told) < FEW_PROJECTS,
    )


def learnt(known: "Knowledge", shop: Shop) -> Learnt:
    """What the log has taught of work, checks and deliveries, and of the machines of a shop."""
    works = known.works
    paces = [Pace(kind="", factor=works.all_work, count=works.count())]
    paces += [Pace(kind=k, factor=works.kind(k), count=works.count(k)) for k in works.kinds]
    machines = shop.machines.values()
    return Learnt(
        works=tuple(paces) if works.count() else (),
        timings=tuple(timing for machine in machines for timing in _timings(known, machine)),
        machines=tuple(each for machine in machines for each in _failures(known, machine)),
        faults=_faults(known) if known.looks else None,
        deliveries=_deliveries(known) if known.deliveries.seen else None,
    )


def _timings(known: "Knowledge", machine: Machine) -> Iterator[Timing]:
    """How long a machine takes, by material."""
    route = Route.CUT if isinstance(machine, Laser) else Route.PRINT
    mine = known.machines.known(machine.id, route)
    for material in sorted({ratio.alike for ratio in mine.ratios}):
        says = mine.of(material)
        yield Timing(machine=machine.id, material=material, factor=says.factor, count=says.alike)


def _failures(known: "Knowledge", machine: Machine) -> Iterator[Failures]:
    """How often the runs of a machine fail: of all, and of each material if there are several."""
    runs = known.runs.get(machine.id, ())
    materials = sorted({run.material for run in runs} - {""})
    for material in ("", *(materials if len(materials) > 1 else ())) if runs else ():
        says = known.failing(machine, material)
        mine = [run for run in runs if material in {"", run.material}]
        yield Failures(
            machine=machine.id,
            material=material,
            runs=len(mine),
            failures=sum(run.failed for run in mine),
            start=says.start,
            hour=says.hour,
        )


def _deliveries(known: "Knowledge") -> Lateness:
    seen = known.deliveries.seen
    return Lateness(
        count=len(seen),
        late=sum(one.late_s > 0 for one in seen),
        factor=known.deliveries.factor,
    )


def _faults(known: "Knowledge") -> Faults:
    return Faults(
        looks=len(known.looks),
        found=sum(look.found for look in known.looks),
        expected=sum(look.chance for look in known.looks),
        factor=known.faults.median,
    )
