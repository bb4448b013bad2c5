"""How much of a weekend stays where it is when something happens to a part of it.

An activity is unaffected by an event if it is not the subject of it, does not wait for that, directly
or through others, and is neither done on the machine nor by the person that the event frees or takes,
as the plan in hand would go on; who only starts and clears a machine does not do what it does. Its place is its turn in the order of urgency, which is all there is to
a plan: it has kept it if it is not among the fewest activities whose moving turns one order into the
other. What moving it gains is measured by putting it back, on weekends that nothing was chosen on.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from itertools import chain
from typing import Any

from fabsched.model.log import Event
from fabsched.model.plan import Kind, Plan
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.warm import warm_kernel
from fabsched.schedule.answers import checked_course
from fabsched.schedule.loyalty import with_back
from fabsched.schedule.orders import moved
from fabsched.schedule.race import Judge
from fabsched.schedule.replan import replan
from tests.benchmarks.replan_cases import Case, delays_of, early_ends_of, failures_of

WEEKENDS = 6

FRESH = 8000
"""Weekends nothing was chosen on."""

LITTLE = 0.005
"""What moving something has to gain to be worth it: half a point."""

NEAR_S = 15 * 60
"""A start within this of what it would be has not moved by the clock."""

Counts = Counter[str]


def test_what_has_nothing_to_do_with_it_stays(benchmark: Any) -> None:
    """At least four in five keep their place where moving them gains less than half a point."""
    warm_kernel()
    events: dict[Event, Callable[[int], Iterator[Case]]] = {
        Event.FAILED: failures_of,
        Event.DELAYED: delays_of,
        Event.FINISHED: early_ends_of,
    }
    counts: dict[str, Counts] = benchmark.pedantic(
        lambda: {str(kind): _all(make) for kind, make in events.items()}, rounds=1
    )
    total: Counts = sum(counts.values(), Counter())
    benchmark.extra_info.update({name: dict(each) for name, each in counts.items()})
    benchmark.extra_info["all"] = dict(total)
    for each in (*counts.values(), total):
        assert each["unaffected"] >= 50
        assert each["unaffected kept"] >= 0.8 * each["unaffected"]
        assert each["other kept"] >= 0.8 * each["other"]
        assert each["near"] >= 0.8 * each["by clock"]


def _all(make: Callable[[int], Iterator[Case]]) -> Counts:
    cases = chain.from_iterable(make(seed) for seed in range(WEEKENDS))
    return sum((_counted(case) for case in cases), Counter())


def _counted(case: Case) -> Counts:
    """How many could have moved, and how many have."""
    weekend = case.left.weekend
    found = replan(weekend, case.plan, seed=1, going=case.left.by_hand)
    kept, new = found.kept, found.answer.plan
    judge = Judge(draw(compile_weekend(weekend), FRESH, 77))
    gone = frozenset(moved(new.order, kept.order))
    apart = _unaffected(case, kept)
    counts: Counts = Counter(events=1, changed=int(new != kept))
    for ident in frozenset(new.order) & frozenset(kept.order):
        if ident not in gone or _gains(judge, new, kept, ident) < LITTLE:
            sort = "unaffected" if ident in apart else "other"
            counts[sort] += 1
            counts[f"{sort} kept"] += ident not in gone
    if judge.score(new).on_time - judge.score(kept).on_time < LITTLE:
        counts += _by_clock(weekend, kept, new, apart)
    return counts


def _gains(judge: Judge, new: Plan, kept: Plan, ident: str) -> float:
    """What moving one activity has brought."""
    back = with_back(new, ident, kept)
    return judge.score(new).on_time - judge.score(back).on_time


def _by_clock(weekend: Weekend, kept: Plan, new: Plan, apart: frozenset[str]) -> Counts:
    """Where the whole plan gains less than half a point: how many starts are where they would be."""
    was, now = (_starts(weekend, plan) for plan in (kept, new))
    both = was.keys() & now.keys() & apart
    near = sum(abs(was[ident] - now[ident]) < NEAR_S for ident in both)
    return Counter({"by clock": len(both), "near": near})


def _starts(weekend: Weekend, plan: Plan) -> dict[str, int]:
    """When each activity begins in the nominal course."""
    starts: dict[str, int] = {}
    for block in checked_course(weekend, plan).blocks:
        if block.kind is not Kind.TRAVEL:
            starts.setdefault(block.activity, block.start_s)
    return starts


def _unaffected(case: Case, kept: Plan) -> frozenset[str]:
    """Ids of the activities that have nothing to do with what happened."""
    weekend = case.left.weekend
    course = checked_course(weekend, kept)
    attended = {block.activity for block in course.blocks if block.attended}
    touched = {
        block.activity
        for block in course.blocks
        if block.resource in case.taken
        and (block.kind is not Kind.TEND or block.activity in attended)
    }
    return frozenset(kept.order) - touched - _downstream(weekend, case.subject)


def _downstream(weekend: Weekend, subject: str) -> frozenset[str]:
    """A subject and all that waits for it."""
    found, grown = frozenset({subject}), True
    while grown:
        more = {a.id for a in weekend.activities if found & {*a.after}} - found
        found, grown = found | more, bool(more)
    return found
