"""Leaving something out from some moment on: what has begun by then is finished, the rest is not begun.

What has begun differs from weekend to weekend. So the weekends are parted by it, and in each part the
plan is carried out without what had not begun. Nobody knows before the moment that it will be left
out; until then nothing that has not begun keeps anything else from going as it did.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.model.weekend import Run, Swap, Turn, Weekend
from fabsched.odds.draws import Draws
from fabsched.odds.simulate import done_by, finishes_of


@dataclass(frozen=True, slots=True, eq=False)
class Leaving:
    """Leaving out what a swap leaves out.

    Attributes:
        swap: the swap.
        plan: what was decided.
        draws: the weekend and its luck.
        idents: what would be left out.
        starts: (idents, scenarios) when each begins under the plan.
        threads: how many share the scenarios.
    """

    swap: Swap
    plan: Plan
    draws: Draws
    idents: tuple[str, ...]
    starts: NDArray[np.int64]
    threads: int

    @classmethod
    def of(cls, draws: Draws, plan: Plan, swap: Swap, threads: int) -> "Leaving":
        """Find out when everything begins that would be left out."""
        idents = tuple(sorted(swap.out))
        starts = np.array([starts_of(draws, plan, ident, threads) for ident in idents], np.int64)
        return cls(swap, plan, draws, idents, starts, threads)

    def chance(self, moment_s: int, late: NDArray[np.bool_]) -> float:
        """Share on time, of some scenarios, if it is left out from a moment on.

        Args:
            moment_s: the moment.
            late: (scenarios,) which scenarios.
        """
        rows = np.flatnonzero(late)
        begun = self.starts[:, rows] < moment_s
        parts, part = np.unique(begun, axis=1, return_inverse=True)
        in_time = 0
        for number, has_begun in enumerate(parts.T):
            mine = self.draws.sorted(rows[part.reshape(-1) == number])
            out = {i for i, yes in zip(self.idents, has_begun, strict=True) if not yes}
            finishes = finishes_of(mine, _without(self.plan, out), threads=self.threads)
            in_time += int((finishes <= self.draws.frame.weekend.deadline_s).sum())
        return in_time / len(rows)


def leavings(weekend: Weekend, plan: Plan) -> Iterator[Swap]:
    """Swaps that leave out something a plan carries out, and put nothing in its place."""
    for swap in weekend.swaps:
        if swap.kind is Turn.DROP and not swap.into and swap.out <= frozenset(plan.order):
            yield swap


def starts_of(draws: Draws, plan: Plan, ident: str, threads: int = 1) -> NDArray[np.int64]:
    """When an activity of a plan begins, (scenarios,) moments.

    That does not depend on how long it takes itself: so it is made to take a second, and to go well,
    and begins a second before it is done then, or the time for which hands watch it begin. A run counts
    as begun when hands have set it up, if they can clear it at once.
    """
    frame = draws.frame
    table = frame.shop.entries[frame.rows[ident]]
    seconds, failed = draws.luck.seconds.copy(), draws.luck.failed.copy()
    seconds[table["first_spot"] : table["end_spot"]] = 1
    failed[[row for row, (name, _) in enumerate(frame.runs) if name == ident]] = 0
    short = replace(draws, luck=draws.luck._replace(seconds=seconds, failed=failed))
    (done,), _ = done_by(short, plan, [ident], threads=threads)
    activity = frame.weekend.activity(ident)
    hands_s = activity.start_s + activity.clear_s if isinstance(activity, Run) else 0
    stays_s = activity.watched_s if isinstance(activity, Run) else 0
    starts: NDArray[np.int64] = done - hands_s - max(1, stays_s)
    return starts


def _without(plan: Plan, out: set[str]) -> Plan:
    order = tuple(ident for ident in plan.order if ident not in out)
    return Plan(order=order, dropped=plan.dropped | out)
