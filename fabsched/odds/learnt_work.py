"""How long handwork takes against what was said, learnt from work that is done.

The same regression as for machines (`estimate.learning`): what the maker does to all work, what to
one kind of it, and what differs from work to work, over the middle of the three points that were
written down. What is known of one kind is drawn towards what is known of all work, the less it rests
on the more. Before anything is logged it says what `odds.truths.PUBLISHED` says.

One work that went wrong must not be taken for the way the maker works: one that lies far from what all
the others make expect is drawn in (`estimate.learning.drawn_in`).
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

from fabsched.estimate.learning import (
    Posterior,
    Prior,
    Ratio,
    drawn_in,
    next_job,
    next_jobs,
)
from fabsched.estimate.student import t90
from fabsched.model.experience import WorkSeen
from fabsched.model.spread import Spread
from fabsched.odds.truths import PUBLISHED, Factor

Z90 = NormalDist().inv_cdf(0.9)
"""Of a normal distribution, from its median to its P90."""

DOF = 6
"""Works' worth of belief in how much one differs from the other (own assumption)."""
KINDS = 0.2
"""Standard deviation, in the logarithm, of what one maker does to one kind of work beside what they do
to all work (own assumption)."""
AT_ONCE = 3
"""So many kinds of work a project has, whose differences partly cancel in it (own assumption).

The published factor is one of whole projects: without a third of the variance from kind to kind, it
is the maker's; the rest of that comes anew with each work and is part of the published overrun. So
both stay what they are published to be. The belief in the published middle then weighs as much as
two works that are done, that in all kinds being alike as much as three of one kind.
"""
KEPT = 0.9205
"""Of the variance of a standard normal, what is left once its values are drawn in to `REACH`:
E[min(z^2, 4)], by which Huber's second proposal makes up for it (Ann. Math. Statist. 35, 1964; from
memory)."""
LEAST_SIGMA = 0.05
"""No work is steadier than that (own assumption)."""
DOUBTFUL = 8.0
"""Work that took so many times what was said, or as much less, tells more about the log (own
choice)."""


def middle(spread: Spread) -> float:
    """Median of a beta-PERT distribution, (low + 6 likely + high) / 8.

    From median = (alpha - 1/3) / (alpha + beta - 2/3) of a beta distribution (Kerman, arXiv
    1111.0433, 2011; from memory), which is off by less than a hundredth of the range here.
    """
    return (spread.low + 6.0 * spread.likely + spread.high) / 8.0


def own_variance(spread: Spread) -> float:
    """About how variable the logarithm of a beta-PERT value is: its variance over its mean squared.

    The variance is (mean - low) (high - mean) / 7 (Vose, Risk Analysis, 2008; from memory).
    """
    mean = spread.mean
    return (mean - spread.low) * (spread.high - mean) / 7.0 / mean**2 if mean else 0.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Works:
    """What is known of the maker's work.

    Attributes:
        prior: what was believed before.
        ratios: actual over expected times, none further out than it may count.
        own: variance that the three points themselves account for, mean over the works.
    """

    prior: Prior
    ratios: tuple[Ratio, ...] = ()
    own: float = 0.0

    @property
    def work(self) -> Factor:
        """What the maker does to all work of the weekend, for `Truths.work`.

        Once any work is logged its middle is taken into account by `kind` already. What is not known
        of it is told for work of the kinds logged, each as often as it was, and for one work's worth
        of kinds never seen (as the rule of succession has it; Laplace, 1774, from memory).
        """
        if not self.ratios:
            return PUBLISHED.work
        return Factor(1.0, _sigma(next_jobs(self.prior, self.ratios, self._mixture)))

    @property
    def _mixture(self) -> Mapping[str, float]:
        """Of which kinds the work of a weekend may be, as shares of one."""
        total = len(self.ratios) + 1
        unseen = {f"{_UNSEEN}{i}": 1.0 / AT_ONCE / total for i in range(AT_ONCE)}
        return unseen | {kind: self.count(kind) / total for kind in self.kinds}

    @property
    def overrun(self) -> Factor:
        """What differs from work to work beside its three points, for `Truths.overrun`.

        What is not known of its kind is part of it, as far as it is not shared by the weekend.
        """
        if not self.ratios:
            return PUBLISHED.overrun
        each = _steadiness(next_job(self.prior, self.ratios, None)) ** 2 - self.own
        kinds = math.fsum(
            share * _sigma(next_job(self.prior, self.ratios, kind)) ** 2
            for kind, share in self._mixture.items()
        )
        variance = each + kinds - self.work.sigma**2
        return Factor(1.0, max(LEAST_SIGMA, math.sqrt(max(0.0, variance))))

    def kind(self, kind: str) -> float:
        """By what work of a kind takes longer than the middle of its three points; 1 if unknown."""
        if not self.ratios:
            return 1.0
        return math.exp(next_job(self.prior, self.ratios, kind).middle)

    @property
    def all_work(self) -> float:
        """By what work of a kind never seen takes longer than the middle of its three points."""
        return self.kind(_UNSEEN) if self.ratios else PUBLISHED.work.median

    def count(self, kind: str | None = None) -> int:
        """How many works it rests on, of one kind or of all."""
        return sum(kind in {None, ratio.alike} for ratio in self.ratios)

    @property
    def kinds(self) -> tuple[str, ...]:
        """Kinds it rests on, in the order of their names."""
        return tuple(sorted({ratio.alike for ratio in self.ratios}))

    def foretold(self, planned: Spread) -> Spread:
        """P10, P50 and P90 of a work as the odds take it.

        Its three points and what is known of the maker together, taken for log-normal.

        Args:
            planned: its low, likely and high figure as planned with: with `kind` put to them.
        """
        sigma2 = own_variance(planned) + self.work.sigma**2 + self.overrun.sigma**2
        likely = middle(planned) * self.work.median * self.overrun.median
        apart = math.exp(Z90 * math.sqrt(sigma2))
        return Spread(likely / apart, likely, likely * apart)


_UNSEEN = "\0"
"""A kind no work is of."""


def _steadiness(known: Posterior) -> float:
    """Standard deviation of the normal with the P90 of what differs from work to work.

    What drawing works in has taken from the variance is made up for, as far as it rests on works.
    """
    drawn_in = (known.dof - DOF) / known.dof
    return known.scale * math.sqrt(1.0 + drawn_in * (1.0 / KEPT - 1.0)) * t90(known.dof) / Z90


def _sigma(known: Posterior) -> float:
    """The same of what is not known of the maker, and of the kinds that were asked for."""
    return _steadiness(known) * math.sqrt(known.lean)


def works_of(seen: Iterable[WorkSeen]) -> Works:
    """What works that are done say."""
    works = sorted((work for work in seen if not doubtful(work)), key=lambda w: (w.at_s, w.key))
    own = _mean([own_variance(work.expected) for work in works])
    kinds, shared = KINDS**2, PUBLISHED.work.sigma**2
    each = PUBLISHED.overrun.sigma**2 - kinds * (1.0 - 1.0 / AT_ONCE) + own
    prior = Prior(
        scale2=each * (Z90 / t90(DOF)) ** 2,
        middle=math.log(PUBLISHED.work.median),
        common=(shared - kinds / AT_ONCE) / each,
        alike=kinds / each,
        dof=DOF,
    )
    ratios = tuple(Ratio(w.kind, math.log(w.took_s / middle(w.expected))) for w in works)
    return Works(prior=prior, ratios=drawn_in(prior, ratios), own=own)


def doubtful(work: WorkSeen) -> bool:
    """Whether the time of a work cannot be believed."""
    expected = middle(work.expected)
    if expected <= 0.0 or work.took_s <= 0.0:
        return True
    return abs(math.log(work.took_s / expected)) > math.log(DOUBTFUL)


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values) if values else 0.0
