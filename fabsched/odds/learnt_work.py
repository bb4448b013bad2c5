"""How long handwork takes against what was said, learnt from work that is done.

The same regression as for machines (`estimate.learning`): what the maker does to all work, what to
one kind of it, and what differs from work to work, over the middle of the three points that were
written down. Before anything is logged it says what `odds.truths.PUBLISHED` says.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fabsched.estimate.learning import Prior, Ratio, next_job
from fabsched.model.experience import WorkSeen
from fabsched.model.spread import Spread
from fabsched.odds.truths import PUBLISHED, Factor

DOF = 6
"""Works' worth of belief in how much one differs from the other (own assumption)."""
KINDS = 1.0
"""Variance from kind to kind, over that from maker to maker (own assumption)."""
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
        ratios: actual over expected times.
        own: variance that the three points themselves account for, mean over the works.
    """

    prior: Prior
    ratios: tuple[Ratio, ...] = ()
    own: float = 0.0

    @property
    def work(self) -> Factor:
        """What the maker does to all work, for `Truths.work`.

        Once any work is logged its middle is taken into account by `kind` already.
        """
        if not self.ratios:
            return PUBLISHED.work
        return Factor(1.0, next_job(self.prior, self.ratios, None).doubt)

    @property
    def overrun(self) -> Factor:
        """What differs from work to work beside its three points, for `Truths.overrun`."""
        if not self.ratios:
            return PUBLISHED.overrun
        known = next_job(self.prior, self.ratios, None)
        variance = known.scale**2 * known.dof / (known.dof - 2) - self.own
        return Factor(1.0, max(LEAST_SIGMA, math.sqrt(max(0.0, variance))))

    def kind(self, kind: str) -> float:
        """By what work of a kind takes longer than the middle of its three points; 1 if unknown."""
        if not self.ratios:
            return 1.0
        return math.exp(next_job(self.prior, self.ratios, kind).middle)

    def count(self, kind: str | None = None) -> int:
        """How many works it rests on, of one kind or of all."""
        return sum(kind in {None, ratio.alike} for ratio in self.ratios)


def works_of(seen: Iterable[WorkSeen]) -> Works:
    """What works that are done say."""
    works = sorted((work for work in seen if not doubtful(work)), key=lambda w: (w.at_s, w.key))
    own = _mean([own_variance(work.expected) for work in works])
    each = PUBLISHED.overrun.sigma**2 + own
    prior = Prior(
        scale2=each * (DOF - 2) / DOF,
        middle=math.log(PUBLISHED.work.median),
        common=PUBLISHED.work.sigma**2 / each,
        alike=KINDS * PUBLISHED.work.sigma**2 / each,
        dof=DOF,
    )
    ratios = tuple(Ratio(w.kind, math.log(w.took_s / middle(w.expected))) for w in works)
    return Works(prior=prior, ratios=ratios, own=own)


def doubtful(work: WorkSeen) -> bool:
    """Whether the time of a work cannot be believed."""
    expected = middle(work.expected)
    if expected <= 0.0 or work.took_s <= 0.0:
        return True
    return abs(math.log(work.took_s / expected)) > math.log(DOUBTFUL)


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values) if values else 0.0
