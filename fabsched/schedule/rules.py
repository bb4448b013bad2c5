"""Plans by rule of thumb: instant, and a start for everything cleverer.

All but first-come put the sheets first that hands have to stay with, since they ask for a way and
for hours not their own, and what nobody asked for last. Longest-first and the critical tail (the
longest chain of work that still follows) are classical priority rules for projects; the latter is
the latest-finish-time rule (Kolisch, European Journal of Operational Research 90(2), 1996).
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from fabsched.model.plan import Plan
from fabsched.model.weekend import Activity, Run, Task, Weekend
from fabsched.schedule.carried import carried_out
from fabsched.schedule.expected import fault_s, mean_s
from fabsched.schedule.needs import asked_for, tails_s
from fabsched.schedule.taking import plan_of, whole_kinds


class Method(StrEnum):
    """Where a plan comes from: a rule, an objective of the solver, or the search after them."""

    FIRST_COME = "first-come"
    LONGEST_FIRST = "longest-first"
    CRITICAL_TAIL = "critical-tail"
    EXPECTED_TAIL = "expected-tail"
    NOMINAL = "nominal"
    EXPECTED = "expected"
    RISK = "risk"
    SEARCH = "search"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A plan and where it comes from."""

    method: Method
    plan: Plan


def proposals(weekend: Weekend) -> tuple[Proposal, ...]:
    """One plan by each rule for each structure: kinds of swaps taken as a whole, or not at all."""
    return tuple(
        proposal for taken in whole_kinds(weekend) for proposal in ruled(weekend, taken.live)
    )


def ruled(weekend: Weekend, live: frozenset[str]) -> Iterator[Proposal]:
    """One plan by each rule, when it is decided what is carried out."""
    left = carried_out(weekend, plan_of(weekend, live, live))
    for method, rule in _RULES.items():
        yield Proposal(method, plan_of(weekend, rule(left), live))


def first_come(weekend: Weekend) -> tuple[str, ...]:
    """As the project lists it."""
    return tuple(activity.id for activity in weekend.activities)


def longest_first(weekend: Weekend) -> tuple[str, ...]:
    """Sheets, then other runs, the longest first, then work as listed."""
    return _sorted(weekend, lambda a: likely_s(a) if isinstance(a, Run) else 0.0)


def critical_tail(weekend: Weekend) -> tuple[str, ...]:
    """What the longest chain of likely times hangs on goes first."""
    tails = tails_s(weekend, likely_s)
    return _sorted(weekend, lambda a: tails[a.id])


def expected_tail(weekend: Weekend) -> tuple[str, ...]:
    """What the longest chain of mean times hangs on goes first, setbacks included."""

    def expected_s(activity: Activity) -> float:
        again_s = fault_s(weekend, activity) if isinstance(activity, Task) else 0.0
        return _tended_s(activity) + mean_s(activity) + again_s

    tails = tails_s(weekend, expected_s)
    return _sorted(weekend, lambda a: tails[a.id])


_RULES: Mapping[Method, Callable[[Weekend], tuple[str, ...]]] = {
    Method.FIRST_COME: first_come,
    Method.LONGEST_FIRST: longest_first,
    Method.CRITICAL_TAIL: critical_tail,
    Method.EXPECTED_TAIL: expected_tail,
}


def likely_s(activity: Activity) -> float:
    """Likely time of an activity on its preferred machine, hands for tending included."""
    if isinstance(activity, Task):
        return activity.seconds.likely
    return _tended_s(activity) + activity.choices[0].seconds.likely


def _tended_s(activity: Activity) -> float:
    if not isinstance(activity, Run):
        return 0.0
    mine = activity.at(activity.choices[0])
    return float(mine.tend_s)


def _sorted(weekend: Weekend, urgency: Callable[[Activity], float]) -> tuple[str, ...]:
    """Sheets, then the rest, then what nobody asked for; each the most urgent first, else as listed."""
    asked = asked_for(weekend)

    def key(activity: Activity) -> tuple[bool, bool, float]:
        sheet = isinstance(activity, Run) and activity.attended
        return activity.id not in asked, not sheet, -urgency(activity)

    return tuple(activity.id for activity in sorted(weekend.activities, key=key))
