"""How late deliveries come against what was said, learnt from those that have come.

The same regression as for handwork (`odds.learnt_work`), with no kinds: a project does not say who
delivers what. Of each delivery counts by how many times it was later than the middle of the three
points that were written down; one that came at its promised moment, or before, counts as a small share
of that, since a logarithm knows no zero. One delivery that went astray is drawn in
(`estimate.learning.drawn_in`), so that it is not taken for the way of all.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fabsched.estimate.learning import Prior, Ratio, drawn_in, next_job
from fabsched.estimate.student import t90
from fabsched.model.experience import LateSeen
from fabsched.odds.learnt_work import DOF, Z90, middle, own_variance
from fabsched.odds.truths import PUBLISHED, Factor

PUNCTUAL = 0.125
"""A delivery in time counts as late by that share of what was expected (own choice)."""
NO_KINDS = 1e-9
"""Deliveries are not told apart: what is alike about some of them varies hardly at all."""
ASTRAY = 16.0
"""One that was so many times as late as expected tells more about the log (own choice)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Deliveries:
    """What is known of deliveries.

    Attributes:
        prior: what was believed before.
        ratios: lateness over what was expected, none further out than it may count.
        own: variance that the three points themselves account for, mean over the deliveries.
        seen: the deliveries it rests on.
    """

    prior: Prior
    ratios: tuple[Ratio, ...] = ()
    own: float = 0.0
    seen: tuple[LateSeen, ...] = ()

    @property
    def factor(self) -> float:
        """By what deliveries are later than the middle of what is told; 1 if nothing is known."""
        if not self.ratios:
            return PUBLISHED.late.median
        return math.exp(next_job(self.prior, self.ratios, None).middle)

    @property
    def late(self) -> Factor:
        """What is not known of that, for `Truths.late`; as published where nothing was logged.

        The middle is taken into account by `factor` already. Where deliveries differ more than their
        three points say, the rest of that is part of it.
        """
        if not self.ratios:
            return PUBLISHED.late
        known = next_job(self.prior, self.ratios, None)
        each = (known.scale * t90(known.dof) / Z90) ** 2
        return Factor(1.0, math.sqrt(each * known.lean + max(0.0, each - self.own)))


def deliveries_of(seen: Iterable[LateSeen]) -> Deliveries:
    """What deliveries that have come say."""
    told = sorted((one for one in seen if not _tells_nothing(one)), key=lambda d: (d.at_s, d.key))
    own = math.fsum(own_variance(d.expected) for d in told) / len(told) if told else 1.0
    prior = Prior(
        scale2=own * (Z90 / t90(DOF)) ** 2,
        middle=math.log(PUBLISHED.late.median),
        common=PUBLISHED.late.sigma**2 / own,
        alike=NO_KINDS,
        dof=DOF,
    )
    ratios = tuple(Ratio("", math.log(_times(delivery))) for delivery in told)
    return Deliveries(prior=prior, ratios=drawn_in(prior, ratios), own=own, seen=tuple(told))


def _times(delivery: LateSeen) -> float:
    """By how many times a delivery was later than expected."""
    return max(PUNCTUAL, delivery.late_s / middle(delivery.expected))


def _tells_nothing(delivery: LateSeen) -> bool:
    """Whether a delivery says nothing of what is told: nothing was, for sure, or it is beyond belief."""
    sure = middle(delivery.expected) <= 0.0 or own_variance(delivery.expected) <= 0.0
    return sure or delivery.late_s > ASTRAY * middle(delivery.expected)
