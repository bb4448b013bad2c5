"""Decision hours: until when a run should be done, and what to do if it is not.

A run that is not done by some moment tells that things have gone badly. The chance of being on time
given that falls with the moment. The decision hour is the first moment at which it falls below what
is wanted, or below the chance of doing it another way, or of leaving something out, from then on.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Activity, Run, Swap, Weekend
from fabsched.odds.compile import Frame, compile_plan, compile_weekend
from fabsched.odds.draws import Draws
from fabsched.odds.leaving import Leaving, leavings
from fabsched.odds.sample import Sample
from fabsched.odds.simulate import carry_out, done_by
from fabsched.odds.tables import Program
from fabsched.odds.told import Decision

STEP_S = 1800
"""Decision hours are told in half hours (our own choice)."""

STEP = 0.02
"""Other ways are simulated anew when the chance of carrying on has fallen by so much: they only get
worse with time, so that nothing is missed but a difference that small."""

WORTH = 0.05
"""Another way has to win this much chance to be worth going over to it (our own choice)."""

LEAST = 50
"""Moments by which all but so few simulated weekends have the run done are not judged: the chance
would be uncertain by more than 7 points (standard error of a share of one half)."""


def decisions(
    weekend: Weekend, plan: Plan, sample: Sample, *, watch: Watch = UNWATCHED
) -> tuple[Decision, ...]:
    """Decision hours of the runs of a plan, the earliest first.

    Runs that make no such difference, even when they are late, have none.

    Args:
        weekend: what is planned; its swaps are the other ways and what may be left out, and its wanted
            odds what is wanted.
        plan: what was decided.
        sample: weekends to simulate; a few thousand, since those in which a run is late are few.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    frame = compile_weekend(weekend)
    draws = sample.draws(frame)
    carried = [ident for ident in plan.order if ident not in plan.dropped]
    runs = [ident for ident in carried if isinstance(weekend.activity(ident), Run)]
    done, finishes = done_by(draws, plan, runs, threads=sample.threads)
    left_out = [Leaving.of(draws, plan, s, sample.threads) for s in leavings(weekend, plan) if runs]
    found: list[Decision] = []
    for number, ident in enumerate(runs):
        check(watch)
        watch.report(number / len(runs), "decisions")
        case = _Case(weekend, plan, sample, ident, done[number], finishes <= weekend.deadline_s)
        found += case.decision(left_out)
    return tuple(sorted(found, key=lambda decision: (decision.by_s, decision.id)))


@dataclass(frozen=True, slots=True, eq=False)
class _Case:
    """One run.

    Attributes:
        done: (scenarios,) when it is done.
        on_time: (scenarios,) whether the plan is.
    """

    weekend: Weekend
    plan: Plan
    sample: Sample
    run: str
    done: NDArray[np.int64]
    on_time: NDArray[np.bool_]

    def decision(self, left_out: Iterable[Leaving]) -> Iterator[Decision]:
        """At most one: at the first moment at which the chance of carrying on is clearly too low.

        Args:
            left_out: what may be left out.
        """
        instead = (_Other.of(self, swap) for swap in self._swaps())
        others: list[Leaving | _Other] = [*left_out, *instead]
        wanted = (
            self.weekend.wanted_odds if self.on_time.mean() >= self.weekend.wanted_odds else 0.0
        )
        looked_at, best = 2.0, 0.0
        taken: Swap | None = None
        for moment_s in self._moments():
            late = self.done > moment_s
            if late.sum() < LEAST:
                return
            chance = float(self.on_time[late].mean())
            if chance < min(wanted, looked_at) or chance <= looked_at - STEP:
                looked_at, (best, taken) = chance, _best(others, moment_s, late)
            better = chance == looked_at and best > chance + WORTH
            error = sqrt(chance * (1 - chance) / late.sum())
            if better or chance + error < wanted:
                yield self._told(moment_s, late, taken if better else None, best)
                return

    def _told(
        self, moment_s: int, late: NDArray[np.bool_], taken: Swap | None, instead: float
    ) -> Decision:
        """The decision at a moment, with what to do then, if anything."""
        return Decision(
            id=self.run,
            by_s=moment_s,
            not_done=float(late.mean()),
            on_time=float(self.on_time[late].mean()),
            swap=taken.id if taken else "",
            instead=instead if taken else None,
            turn=taken.kind if taken else None,
            other=taken.name if taken else "",
        )

    def _swaps(self) -> Iterator[Swap]:
        """Swaps that can be taken and do something else instead of the run."""
        for swap in self.weekend.swaps:
            open_ = swap.out.isdisjoint(self.plan.dropped) and swap.into <= self.plan.dropped
            if open_ and self.run in swap.out and swap.into:
                yield swap

    def _moments(self) -> Iterator[int]:
        """Half hours from when it may be done until all but a few have it done."""
        last_s = min(self.weekend.deadline_s, int(np.sort(self.done)[-LEAST:][0]))
        first_s = -(-int(self.done.min()) // STEP_S) * STEP_S
        return iter(range(first_s, last_s + 1, STEP_S))


@dataclass(frozen=True, slots=True, eq=False)
class _Other:
    """Another way, taken at some moment while the run has not succeeded.

    The run goes on to hold its machine and its hands; what waited for it waits for the other way.
    """

    swap: Swap
    draws: Draws
    program: Program
    rows: NDArray[np.int64]
    threads: int

    @classmethod
    def of(cls, case: _Case, swap: Swap) -> "_Other":
        """The weekend in which nobody waits for the run, and the plan that has both."""
        let_go = frozenset({case.run})
        activities = tuple(_not_waiting(each, let_go) for each in case.weekend.activities)
        weekend = replace(case.weekend, activities=activities)
        draws = case.sample.draws(frame := compile_weekend(weekend))
        program = compile_plan(frame, _with(case.plan, swap, let_go))
        return cls(swap, draws, program, _rows(frame, swap), case.sample.threads)

    def chance(self, moment_s: int, late: NDArray[np.bool_]) -> float:
        """Share on time, of the scenarios in which the run is late, if it is taken at a moment."""
        earliest, leaves = self.program.earliest.copy(), self.program.leaves.copy()
        for moments in (earliest, leaves):
            moments[self.rows] = np.maximum(moments[self.rows], moment_s)
        deadline_s = self.draws.frame.weekend.deadline_s
        program = self.program._replace(earliest=earliest, leaves=leaves, until=deadline_s)
        finishes = carry_out(self.draws, program, threads=self.threads)
        return float((finishes[late] <= deadline_s).mean())


def _best(
    others: Iterable[Leaving | _Other], moment_s: int, late: NDArray[np.bool_]
) -> tuple[float, Swap | None]:
    """The best chance from a moment on, and what has to be done for it."""
    ways = [(other.chance(moment_s, late), other.swap) for other in others]
    return max(ways, key=lambda way: (way[0], way[1].id), default=(0.0, None))


def _rows(frame: Frame, swap: Swap) -> NDArray[np.int64]:
    return np.array([frame.rows[ident] for ident in sorted(swap.into)], np.int64)


def _not_waiting(activity: Activity, let_go: frozenset[str]) -> Activity:
    """The same, not waiting for what is let go; that itself is no longer needed."""
    after = tuple(ident for ident in activity.after if ident not in let_go)
    return replace(activity, after=after, needed=activity.needed and activity.id not in let_go)


def _with(plan: Plan, swap: Swap, kept: frozenset[str]) -> Plan:
    """A swap taken, what comes in as urgent as the first it stands for; what is kept goes on."""
    order: list[str] = []
    fresh = sorted(swap.into)
    for ident in plan.order:
        if ident in swap.out and fresh:
            order += fresh
            fresh = []
        if ident not in swap.out or ident in kept:
            order.append(ident)
    return Plan(order=tuple(order), dropped=(plan.dropped - swap.into) | (swap.out - kept))
