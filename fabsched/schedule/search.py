"""Improving plans by trying small changes under the same luck, from several starts at once.

One start may stick. So several searches begin side by side, each with changes of its own; most of the
effort goes on with the best of them. What is decided may stick as well: another way to make something
often pays only once the order suits it. So half-way the best plan gets rivals that decide one thing
otherwise, and only after some search it turns out who was right.

At first plans differ by much, which few scenarios tell; in the end by one weekend in a thousand, so
that there have to be thousands, lest luck decides. Searches share nothing, and the effort is counted
in entries carried out, so that neither the number of threads nor the speed of the machine changes
what is found.
"""

from collections.abc import Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat
from math import floor, log

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.schedule.effort import THREADS
from fabsched.schedule.live import UNHEARD, Live, Sofar
from fabsched.schedule.moves import Changer, draft_of
from fabsched.schedule.race import Judge, merit
from fabsched.schedule.rules import Method
from fabsched.schedule.trial import Bench, mean_of
from fabsched.schedule.walk import Walk

EACH = 750
"""Scenarios carried out for a try, on the high side; turns a bound on work into a number of tries. A
search that expects few remembers little, which on synthetic weekends serves short ones best."""

STAGES = ((16, 0.15, 0), (8, 0.3, 0), (4, 0.4, 0), (2, 0.5, 0), (2, 0.65, 10), (2, 1.0, 0))
"""How many searches go on side by side until which share of the work is done, and how many rivals of
the best plan at most: those that are best before any search."""

RIVAL_TRIES = 1000
"""With fewer tries in all there is no time for rivals."""

ENOUGH = {16: 500_000_000, 8: 50_000_000, 4: 8_000_000, 2: 0}
"""With less work than this on a weekend of `FORTY` activities there is no time for so many starts. Smaller
ones are done with a start the sooner: by the cube, since tries take less and there are fewer to make."""

FORTY = 40
"""Activities for which `ENOUGH` is told."""

BEGINNINGS = 8
"""Searches begin with no more choices of what is carried out."""

FEWEST, FEWEST_SHARE = 300, 0.25
"""Searches begin with so many scenarios, or that share of the judge's where these are few."""

ALL_FROM = 0.8
"""All of the judge's scenarios are used from that share of the work on; until then their number grows
in steps, to the same factor in the same time."""

STEP = 1.5
"""Factor of one step."""

PULSE = 1_600_000
"""Entries all searches carry out before somebody looks in: a tenth of a second, about."""


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
    found = [] if idle else _Searches(judge, work, watch, live, starts[0]).run(starts, seed)
    return max((*starts, *found), key=lambda plan: merit(judge, plan))


def beginnings(plans: Sequence[Plan]) -> list[Plan]:
    """The first plan of every choice of what is carried out, some of them, in their order."""
    first: dict[frozenset[str], Plan] = {}
    for plan in plans:
        first.setdefault(plan.dropped, plan)
    return list(first.values())[:BEGINNINGS]


def _walk(judge: Judge, start: Plan, seed: Sequence[int], scenarios: int) -> Walk:
    changer = Changer(judge.weekend, np.random.default_rng(seed))
    return Walk(Bench(judge, scenarios), changer, draft_of(judge.weekend, start))


def _scenarios(most: int, share: float) -> int:
    """On how many scenarios plans are tried when a share of the work is done.

    >>> [_scenarios(4000, share) for share in (0.0, 0.2, 0.4, 0.6, 0.8)]
    [300, 450, 1012, 1518, 4000]
    """
    least = min(FEWEST, FEWEST_SHARE * most)
    if share >= ALL_FROM:
        return most
    steps = floor(log(most / least) / log(STEP) * share / ALL_FROM)
    return int(least * STEP**steps)


@dataclass(slots=True)
class _Searches:
    """Searches side by side.

    Attributes:
        judge: scores plans.
        work: entries to carry out in all.
        watch, live: see `searched`.
        spent: entries carried out so far, by given up searches too.
        best: the best plan on all of the judge's scenarios, as far as was looked.
    """

    judge: Judge
    work: int
    watch: Watch
    live: Live
    best: Plan
    spent: int = 0

    def run(self, starts: Sequence[Plan], seed: int) -> list[Plan]:
        """The best plans of all that were not given up."""
        least = min(1.0, len(starts[0].order) / FORTY) ** 3
        stages = [stage for stage in STAGES if self.work >= least * ENOUGH[stage[0]]]
        places = range(stages[0][0])
        few = _scenarios(self.judge.draws.scenarios, 0.0)
        walks = [_walk(self.judge, starts[n % len(starts)], [seed, n], few) for n in places]
        self.spent = sum(walk.bench.spent for walk in walks)
        with ThreadPoolExecutor(THREADS) as pool:
            for kept, share, rivals in stages:
                walks = sorted(walks, key=lambda walk: -walk.best_value)[:kept]
                walks += self._rivals(walks[0], rivals, seed)
                self._go_on(pool, walks, round(share * self.work))
        return [self.best, *(walk.best_plan for walk in walks)]

    def _rivals(self, walk: Walk, most: int, seed: int) -> list[Walk]:
        """Searches from the best plan with one thing decided otherwise, if there is time for them."""
        if not most or self.work < RIVAL_TRIES * EACH * len(walk.best.order):
            return []
        bench, before = walk.bench, walk.bench.spent
        plans = [draft.plan(self.judge.weekend) for draft in walk.changer.neighbours(walk.best)]
        values = [mean_of(bench.values(plan)) for plan in plans]
        places = sorted(range(len(plans)), key=lambda place: -values[place])[:most]
        seeds = ([seed, STAGES[0][0] + place] for place in places)
        rivals = [
            _walk(self.judge, plans[place], own, bench.scenarios)
            for place, own in zip(places, seeds, strict=True)
        ]
        self.spent += bench.spent - before + sum(rival.bench.spent for rival in rivals)
        return rivals

    def _go_on(self, pool: Executor, walks: Sequence[Walk], until: int) -> None:
        """Let all of them search until so much is spent in all."""
        for walk in walks:
            walk.expect(
                (until - self.spent) // len(walks) // (EACH * max(1, len(walk.draft.order)))
            )
        while self.spent < until and not self.live.enough():
            self.watch.report(min(1.0, self.spent / self.work), "search")
            check(self.watch)
            scenarios = _scenarios(self.judge.draws.scenarios, self.spent / self.work)
            pulse = min(PULSE, until - self.spent) // len(walks) + 1
            self.spent += sum(pool.map(_pulse, walks, repeat(scenarios), repeat(pulse)))
            self._tell(max(walks, key=lambda walk: walk.best_value).best_plan)

    def _tell(self, plan: Plan) -> None:
        """Say so if it is the best so far on all of the judge's scenarios."""
        if plan not in self.judge.known:
            self.spent += len(plan.order) * self.judge.draws.scenarios
        score, old = self.judge.score(plan), self.judge.score(self.best)
        if (score.on_time, score.value) > (old.on_time, old.value):
            self.best = plan
            self.live.better(Sofar(plan=plan, on_time=score.on_time, method=Method.SEARCH))


def _pulse(walk: Walk, scenarios: int, work: int) -> int:
    """Let a search go on, on so many scenarios, for so much work; how much exactly."""
    before = walk.bench.spent
    walk.widen(scenarios)
    walk.go_on(work)
    return walk.bench.spent - before
