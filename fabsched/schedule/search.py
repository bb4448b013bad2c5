"""Improving plans by trying small changes under the same luck, from several starts at once.

One start may stick. So some searches begin side by side, each with changes of its own; most of the
effort goes on with the best of them. They share nothing, and the effort is counted in entries carried
out, so that neither the number of threads nor the speed of the machine changes what is found.
"""

from collections.abc import Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.schedule.effort import THREADS
from fabsched.schedule.live import UNHEARD, Live, Sofar
from fabsched.schedule.moves import Changer, draft_of
from fabsched.schedule.race import Judge, merit
from fabsched.schedule.rules import Method
from fabsched.schedule.trial import Bench
from fabsched.schedule.walk import Walk

EACH = 750
"""Scenarios carried out for a try, on the high side; turns a bound on work into a number of tries. A
search that expects few remembers little, which on synthetic weekends serves short ones best."""

STAGES = ((4, 0.3), (2, 1.0))
"""How many searches go on side by side until which share of the work is done."""

BEGINNINGS = 4
"""Searches begin with no more choices of what is carried out."""

FEW = 8_000_000
"""With less work than this there is no time for more than two starts."""

PULSE = 400_000
"""Entries each search carries out before somebody looks in: a twentieth of a second, about."""


def improved(judge: Judge, start: Plan, *, tries: int, seed: int, watch: Watch = UNWATCHED) -> Plan:
    """The best plan found by a single search; the start itself if none is better.

    Args:
        judge: scores plans.
        start: where to begin.
        tries: how many changes to look at; bounds the effort whatever the machine.
        seed: of the choice of changes, not below zero.
        watch: told of the progress, asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    walk = _walk(judge, start, [seed])
    walk.expect(tries)
    for turn in range(tries):
        check(watch)
        watch.report(turn / tries, "search")
        walk.step()
    return max((start, walk.best_plan), key=lambda plan: merit(judge, plan))


def searched(
    judge: Judge,
    starts: Sequence[Plan],
    *,
    work: int,
    seed: int,
    watch: Watch = UNWATCHED,
    live: Live = UNHEARD,
) -> Plan:
    """The best plan found from some starts; the best of these if none is better.

    Args:
        judge: scores plans.
        starts: where to begin, the best first.
        work: entries to carry out, over all plans and scenarios.
        seed: of the choice of changes, not below zero.
        watch: told of the progress, asked whether to stop.
        live: hears of better plans; ends the search when it has enough.

    Raises:
        Cancelled: the watch said stop.
        ValueError: there are no starts.
    """
    idle = not work or not (judge.weekend.swaps or len(starts[0].order) > 1)
    found = [] if idle else _Searches(judge, work, watch, live).run(starts, seed)
    return max((*starts, *found), key=lambda plan: merit(judge, plan))


def beginnings(plans: Sequence[Plan]) -> list[Plan]:
    """The first plan of every choice of what is carried out, some of them, in their order."""
    first: dict[frozenset[str], Plan] = {}
    for plan in plans:
        first.setdefault(plan.dropped, plan)
    return list(first.values())[:BEGINNINGS]


def _walk(judge: Judge, start: Plan, seed: Sequence[int]) -> Walk:
    changer = Changer(judge.weekend, np.random.default_rng(seed))
    return Walk(Bench(judge), changer, draft_of(judge.weekend, start))


@dataclass(slots=True)
class _Searches:
    """Searches side by side.

    Attributes:
        judge: scores plans.
        work: entries to carry out in all.
        watch, live: see `searched`.
        spent: entries carried out so far, by given up searches too.
        told: value of the best plan that was told of.
    """

    judge: Judge
    work: int
    watch: Watch
    live: Live
    spent: int = 0
    told: float = -np.inf

    def run(self, starts: Sequence[Plan], seed: int) -> list[Plan]:
        """The best plans of all that were not given up."""
        stages = STAGES if self.work >= FEW else STAGES[1:]
        places = range(stages[0][0])
        walks = [_walk(self.judge, starts[n % len(starts)], [seed, n]) for n in places]
        self.spent = sum(walk.bench.spent for walk in walks)
        with ThreadPoolExecutor(THREADS) as pool:
            for kept, share in stages:
                walks = sorted(walks, key=lambda walk: -walk.best_value)[:kept]
                self._go_on(pool, walks, round(share * self.work))
        return [walk.best_plan for walk in walks]

    def _go_on(self, pool: Executor, walks: Sequence[Walk], until: int) -> None:
        """Let all of them search until so much is spent in all."""
        for walk in walks:
            walk.expect(
                (until - self.spent) // len(walks) // (EACH * max(1, len(walk.draft.order)))
            )
        while self.spent < until and not self.live.enough():
            self.watch.report(min(1.0, self.spent / self.work), "search")
            check(self.watch)
            pulse = min(PULSE, (until - self.spent) // len(walks) + 1)
            self.spent += sum(pool.map(Walk.go_on, walks, repeat(pulse)))
            self._tell(max(walks, key=lambda walk: walk.best_value))

    def _tell(self, walk: Walk) -> None:
        """Say so if a better plan was found."""
        if walk.best_value > self.told:
            self.told = walk.best_value
            on_time = self.judge.score(walk.best_plan).on_time
            self.live.better(Sofar(plan=walk.best_plan, on_time=on_time, method=Method.SEARCH))
