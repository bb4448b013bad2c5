"""Comparing plans under the same luck."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Run, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.draws import Draws
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.effort import THREADS
from fabsched.schedule.rules import Proposal

SOFT_S = 150 * MINUTE_S
"""Width of the soft deadline in `Score.value`; with `SOFT`, tried on synthetic weekends."""

SOFT = 0.15
"""Weight of the soft deadline beside the share on time."""

SURE = 0.9
"""Of plans that are on time equally often, the one wins that is done earlier at this share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How a plan does.

    Attributes:
        on_time: share of scenarios done by the deadline.
        late_s: moment by which nine in ten are done; `windows.NEVER` if they are not.
        half_s: moment by which half of them are done; `windows.NEVER` if they are not.
        value: `on_time`, smoothed so that a search also sees progress where that stands still.
    """

    on_time: float
    late_s: int
    half_s: int
    value: float


def score_of(finishes: NDArray[np.int64], deadline_s: int) -> Score:
    """Judge the finishes of one plan.

    Args:
        finishes: (scenarios,) moments.
        deadline_s: the wall.

    >>> score_of(np.array([10, 20, 30, 40]), 30).on_time
    0.75
    """
    on_time = float((finishes <= deadline_s).mean())
    spare = np.clip((deadline_s - finishes) / SOFT_S, -30.0, 30.0)
    soft = float((1 / (1 + np.exp(-spare))).mean())
    return Score(
        on_time=on_time,
        late_s=_done_s(finishes, SURE),
        half_s=_done_s(finishes, 0.5),
        value=on_time + SOFT * soft,
    )


def _done_s(finishes: NDArray[np.int64], share: float) -> int:
    """Moment by which that share is done."""
    place = int(np.ceil(share * len(finishes))) - 1
    return min(int(np.partition(finishes, place)[place]), NEVER)


@dataclass(slots=True)
class Judge:
    """Scores plans by luck drawn once; what has been scored is remembered.

    Attributes:
        draws: the weekend and its luck.
        threads: how many share the scenarios; changes no score.
        known: scores so far, by order of urgency.
    """

    draws: Draws
    threads: int = THREADS
    known: dict[Plan, Score] = field(default_factory=dict)

    @property
    def weekend(self) -> Weekend:
        """What the plans are for."""
        return self.draws.frame.weekend

    def score(self, plan: Plan) -> Score:
        """How a plan does."""
        if plan not in self.known:
            finishes = finishes_of(self.draws, plan, threads=self.threads)
            self.known[plan] = score_of(finishes, self.weekend.deadline_s)
        return self.known[plan]


def best(judge: Judge, proposals: Iterable[Proposal], *, watch: Watch = UNWATCHED) -> Proposal:
    """The proposal that is on time most often; see `merit` for ties.

    Raises:
        Cancelled: the watch said stop.
        ValueError: there are no proposals.
    """
    ranked = []
    for proposal in proposals:
        check(watch)
        ranked.append((merit(judge, proposal.plan), proposal))
    return max(ranked, key=lambda pair: pair[0])[1]


Merit = tuple[float, int, int, tuple[float, ...]]
"""Sorts plans, the best last."""


def merit(judge: Judge, plan: Plan) -> Merit:
    """The more often on time the better, then the earlier nine in ten are done, then half of them.

    Where that does not decide either, the plan that starts its longer runs first.
    """
    score = judge.score(plan)
    runs = {run.id: run for run in judge.weekend.activities if isinstance(run, Run)}
    lengths = tuple(runs[ident].choices[0].seconds.likely for ident in plan.order if ident in runs)
    return score.on_time, -score.late_s, -score.half_s, lengths
