"""Improving an order by trying small changes under the same luck."""

from dataclasses import dataclass, replace

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.schedule.effort import Effort
from fabsched.schedule.race import Judge, merit

GLANCE = 250
"""Scenarios on which a change is looked at first."""

CLEARLY = 0.015
"""A change that looks worse by more than this on a glance is not looked at again."""

MEMORY = 20
"""A change is kept if the plan is no worse than this many tries ago (late acceptance: Burke and
Bykov, European Journal of Operational Research 258(1), 2017)."""

EACH = 750
"""Scenarios carried out for a try, on average; turns a bound on work into a number of tries."""

TWICE = 0.35
"""How often two changes are made at once."""


@dataclass(slots=True)
class _Walk:
    """Where a search is.

    Attributes:
        plan: the present one.
        glance: its value on a few scenarios.
        value: its value on all.
        past: values of the last tries.
    """

    plan: Plan
    glance: float
    value: float
    past: list[float]


def tries_for(judge: Judge, effort: Effort) -> int:
    """How many changes a search may try; fewer where each costs more."""
    entries = max(1, len(judge.draws.frame.entries))
    return min(effort.most_tries, effort.search // (entries * EACH))


def improved(judge: Judge, start: Plan, *, tries: int, seed: int, watch: Watch = UNWATCHED) -> Plan:
    """The best plan found by moving and swapping activities; the start itself if none is better.

    Args:
        judge: scores plans.
        start: where to begin.
        tries: how many changes to look at; bounds the effort whatever the machine.
        seed: of the choice of changes, not below zero.
        watch: told of the progress, asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    if len(start.order) < 2:
        return start
    rng = np.random.default_rng(seed)
    glances = Judge(judge.draws.head(GLANCE), threads=1)
    value = judge.score(start).value
    walk = _Walk(start, glances.score(start).value, value, [value] * MEMORY)
    best = start
    for turn in range(tries):
        check(watch)
        watch.report(turn / tries, "search")
        _step(walk, judge, glances, changed(walk.plan, rng), turn)
        if judge.score(walk.plan).value > judge.score(best).value:
            best = walk.plan
    return max((start, best), key=lambda plan: merit(judge, plan))


def _step(walk: _Walk, judge: Judge, glances: Judge, plan: Plan, turn: int) -> None:
    """Look at a change, and make it if it does no harm."""
    glance = glances.score(plan).value
    if glance >= walk.glance - CLEARLY:
        value = judge.score(plan).value
        if value >= min(walk.value, walk.past[turn % MEMORY]):
            walk.plan, walk.glance, walk.value = plan, glance, value
    walk.past[turn % MEMORY] = walk.value


def changed(plan: Plan, rng: np.random.Generator) -> Plan:
    """The plan with one activity moved or two swapped, sometimes with two such changes."""
    order = list(plan.order)
    for _ in range(1 + (rng.random() < TWICE)):
        a, b = (int(i) for i in rng.choice(len(order), 2, replace=False))
        if rng.random() < 0.5:
            order[a], order[b] = order[b], order[a]
        else:
            order.insert(b, order.pop(a))
    return replace(plan, order=tuple(order))
