"""Comparing plans under the same luck."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import total_ordering

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Run, Turn, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.draws import Draws
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.calm import unrest_of
from fabsched.schedule.effort import THREADS
from fabsched.schedule.rules import Proposal

SOFT_S = 150 * MINUTE_S
"""Width of the soft deadline in `Score.value`; with `SOFT`, tried on synthetic weekends."""

SOFT = 0.15
"""Weight of the soft deadline beside the share on time."""

DROPPED = 0.01
"""Leaving out something optional has to raise the chance of being on time by this much (our own
choice)."""

FINAL = 12
"""No more proposals than this are looked at closely at once; of more, the others are forgotten."""

GLANCES = ((8_000, FINAL), (32_000, 4))
"""Many proposals are carried out in so few entries each; so many of the best go on."""

ALIKE_S = 15 * MINUTE_S
"""Plans done within the same quarter of an hour are done alike (our own choice)."""

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
    return Score(
        on_time=float((finishes <= deadline_s).mean()),
        late_s=_done_s(finishes, SURE),
        half_s=_done_s(finishes, 0.5),
        value=float(values_of(finishes, deadline_s).mean()),
    )


def values_of(finishes: NDArray[np.int64], deadline_s: int) -> NDArray[np.float64]:
    """What each scenario adds to `Score.value`, (scenarios,).

    Args:
        finishes: (scenarios,) moments.
        deadline_s: the wall.
    """
    spare = np.clip((deadline_s - finishes) / SOFT_S, -30.0, 30.0)
    values: NDArray[np.float64] = (finishes <= deadline_s) + SOFT / (1 + np.exp(-spare))
    return values


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

    def dislike(self, plan: Plan) -> float:
        """What counts against a plan whatever its odds, in chance of being on time: what it drops."""
        drops = (swap for swap in self.weekend.swaps if swap.kind is Turn.DROP)
        return DROPPED * len({swap.name for swap in drops if swap.out <= plan.dropped})

    def score(self, plan: Plan) -> Score:
        """How a plan does, less what counts against it."""
        if plan not in self.known:
            finishes = finishes_of(self.draws, plan, threads=self.threads)
            fair, less = score_of(finishes, self.weekend.deadline_s), self.dislike(plan)
            self.known[plan] = replace(fair, on_time=fair.on_time - less, value=fair.value - less)
        return self.known[plan]


def best(
    judge: Judge,
    proposals: Iterable[Proposal],
    *,
    watch: Watch = UNWATCHED,
) -> Proposal:
    """The proposal that is on time most often; see `merit` for ties.

    Raises:
        Cancelled: the watch said stop.
        ValueError: there are no proposals.
    """
    return ranked(judge, proposals, watch=watch)[0]


def ranked(
    judge: Judge, proposals: Iterable[Proposal], *, watch: Watch = UNWATCHED
) -> list[Proposal]:
    """Proposals that are on time often, the best first; see `merit` for ties.

    Many are looked at in a few scenarios first, the best of these in some more, and so on (successive
    halving: Karnin, Koren and Somekh, ICML 2013, from memory).

    Raises:
        Cancelled: the watch said stop.
    """
    plans = {proposal.plan: proposal for proposal in reversed(list(proposals))}
    found = list(reversed(plans.values()))
    if sum(proposal.plan not in judge.known for proposal in found) <= FINAL:
        return _sorted(judge, found, watch)
    behind: list[Proposal] = []
    for entries, kept in GLANCES:
        found = _glanced(judge, found, entries, watch)[:FINAL]
        found, behind = found[:kept], [*found[kept:], *behind]
    return [*_sorted(judge, found, watch), *behind]


def _glanced(judge: Judge, proposals: list[Proposal], entries: int, watch: Watch) -> list[Proposal]:
    """The best first as far as a few scenarios tell."""
    scenarios = min(judge.draws.scenarios, 1 + entries // len(judge.weekend.standing))
    if scenarios == judge.draws.scenarios:
        return _sorted(judge, proposals, watch)
    glances = replace(judge, draws=judge.draws.head(scenarios), known={})
    values = []
    for proposal in proposals:
        check(watch)
        values.append(glances.score(proposal.plan).value)
    order = sorted(range(len(proposals)), key=lambda place: -values[place])
    return [proposals[place] for place in order]


def _sorted(judge: Judge, proposals: Iterable[Proposal], watch: Watch) -> list[Proposal]:
    """The best first."""
    pairs = []
    for proposal in proposals:
        check(watch)
        pairs.append((merit(judge, proposal.plan), proposal))
    return [proposal for _, proposal in sorted(pairs, key=lambda pair: pair[0], reverse=True)]


@total_ordering
@dataclass(frozen=True, slots=True, eq=False)
class Calm:
    """Tells plans apart that are done alike; looked into only where that is asked for.

    Attributes:
        judge, plan: whose.
    """

    judge: Judge
    plan: Plan

    def __eq__(self, other: object) -> bool:
        """Whether nothing tells them apart."""
        return isinstance(other, Calm) and (
            self.plan == other.plan or self._figures() == other._figures()
        )

    def __lt__(self, other: "Calm") -> bool:
        """Whether the other one is the better."""
        return self.plan != other.plan and self._figures() < other._figures()

    def __hash__(self) -> int:
        """Of the figures, since equal ones are equal."""
        return hash(self._figures())

    def _figures(self) -> tuple[int, int, int, int, tuple[float, ...]]:
        weekend, score = self.judge.weekend, self.judge.score(self.plan)
        unrest = unrest_of(weekend, replay(weekend, self.plan, nominal(weekend)))
        runs = {run.id: run for run in weekend.activities if isinstance(run, Run)}
        lengths = (
            runs[ident].choices[0].seconds.likely for ident in self.plan.order if ident in runs
        )
        return -unrest.standing_s, -unrest.ways, -score.late_s, -score.half_s, tuple(lengths)


Merit = tuple[float, int, int, Calm]
"""Sorts plans, the best last."""


def merit(judge: Judge, plan: Plan) -> Merit:
    """The more often on time the better, then the earlier nine in ten are done, then half of them.

    Quarters of an hour count. Among plans that are alike in these, the one with less standing by,
    then with fewer ways, then the earlier one to the second, then the one that starts its longer
    runs first.
    """
    score = judge.score(plan)
    return score.on_time, -(score.late_s // ALIKE_S), -(score.half_s // ALIKE_S), Calm(judge, plan)
