"""How long things take against what was computed or expected, learnt from those that are done.

The logarithm of the actual over the expected time is taken to be

    what the machine (or the person) does to all its jobs
    + what it does to those of one material (or kind)
    + what differs from job to job,

each normal, the first two around zero and as many times as variable as the third as `Prior` says;
how variable the third is, is not known either: its variance is inverse gamma. That is Bayesian
linear regression with a normal-inverse-gamma prior, whose answer is a closed form: a Student t
distribution for the next job (Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 14; Murphy,
Machine Learning, 2012, section 7.6.3; both from memory). Unknown variance was chosen over a known
one, since machines differ in how steadily they run, and since a machine that is far from what was
believed should widen the range before it narrows it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from fabsched.estimate.student import t90
from fabsched.model.experience import NOTHING, Lesson

REACH = 2.0
"""A job counts no further from what all others make expect than so many scales of that forecast (own
choice; one in twenty lies further out by chance alone)."""

Matrix = NDArray[np.float64]

PRINT_PRIOR = 1.10
"""P90 over P50, and P50 over P10, of the machine time before any print has been logged.

Own assumption, log-normal: accelerations 25 % off alone move the time by 1 to 7 %, speeds 20 % off
by 5 to 17 %. Logged prints replace it.
"""
COMMON, ALIKE, DOF = 3.0, 1.0, 6
"""Of machines: see `Prior` (own assumptions)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """What is believed before anything is logged.

    Attributes:
        scale2: square of the scale of what differs from job to job, in the logarithm.
        middle: logarithm of the actual over the expected time that is thought as likely too low as
            too high.
        common: variance of what all jobs share, over the variance from job to job.
        alike: variance of what jobs alike share beyond that, likewise.
        dof: jobs' worth of belief in the variance itself.
    """

    scale2: float
    middle: float = 0.0
    common: float = COMMON
    alike: float = ALIKE
    dof: int = DOF

    @classmethod
    def reaching(cls, high: float) -> Self:
        """The belief that the first job's P90 is so many times its P50.

        Of the variance, three fifths are thought to be the machine's, one fifth the material's, and
        one fifth to come anew with each job (own assumption).
        """
        scale = math.log(high) / t90(DOF)
        return cls(scale2=scale**2 / (1.0 + COMMON + ALIKE))


@dataclass(frozen=True, slots=True)
class Ratio:
    """A job that is done.

    Attributes:
        alike: what tells jobs alike: the material, or the kind of work.
        log: natural logarithm of its actual over its expected time.
    """

    alike: str
    log: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """The next job: a Student t distribution of its logarithm.

    Attributes:
        middle: its location.
        scale: scale of what differs from job to job.
        dof: its degrees of freedom.
        lean: variance of what jobs share, as far as it is not known, over that from job to job.
    """

    middle: float
    scale: float
    dof: int
    lean: float

    @property
    def reach(self) -> float:
        """From its median to its P90."""
        return self.scale * math.sqrt(1.0 + self.lean) * t90(self.dof)

    @property
    def doubt(self) -> float:
        """Standard deviation of what jobs share: of a t distribution, scale^2 dof / (dof - 2)."""
        return self.scale * math.sqrt(self.lean * self.dof / (self.dof - 2))


def next_job(prior: Prior, done: Sequence[Ratio], alike: str | None) -> Posterior:
    """What is known of the next job.

    Args:
        prior: what was believed before.
        done: jobs that are done, in any order; the answer does not depend on it.
        alike: what the next job is like; None asks for what all jobs share alone.
    """
    return next_jobs(prior, done, {} if alike is None else {alike: 1.0})


def next_jobs(prior: Prior, done: Sequence[Ratio], shares: Mapping[str, float]) -> Posterior:
    """What is known of many jobs to come, of several kinds.

    Args:
        prior: what was believed before.
        done: jobs that are done, in any order.
        shares: how much of them is like what; what is shared by none of it counts in no way.
    """
    groups = sorted({*shares, *(job.alike for job in done)})
    counts, sums, squares = _sums(prior, done, groups)
    precision = np.diag([1.0 / prior.common, *[1.0 / prior.alike] * len(groups)])
    precision += _products(counts)
    pull = np.array([math.fsum(sums), *sums])
    means = np.linalg.solve(precision, pull)
    asked = np.array([1.0, *(shares.get(group, 0.0) for group in groups)])
    left = max(0.0, squares - float(means @ pull))
    dof = prior.dof + len(done)
    return Posterior(
        middle=prior.middle + float(asked @ means),
        scale=math.sqrt((prior.dof * prior.scale2 + left) / dof),
        dof=dof,
        lean=float(asked @ np.linalg.solve(precision, asked)),
    )


def lesson(prior: Prior, done: Sequence[Ratio], alike: str) -> Lesson:
    """What is known of the next job, as what it does to a spread."""
    if not done:
        return NOTHING
    posterior = next_job(prior, done, alike)
    return Lesson(
        factor=math.exp(posterior.middle - prior.middle),
        width=posterior.reach / next_job(prior, (), alike).reach,
        known=len(done),
        alike=sum(job.alike == alike for job in done),
    )


def drawn_in(prior: Prior, done: Sequence[Ratio]) -> tuple[Ratio, ...]:
    """The same jobs, each no further than `REACH` from what all others and the prior make expect.

    One job that went wrong, or whose end was told late, must not be taken for the way of the machine or
    the maker; jobs that all say the same support each other and count as they are (Winsorising; Huber,
    Robust Statistics, 1981, from memory).

    The forecast from all others follows from that of all: the residual over one minus its leverage,
    and the scale without that residual (the externally studentised residual; Cook and Weisberg,
    Residuals and Influence in Regression, 1982, from memory; held against leaving each out in turn
    in the tests).

    Args:
        prior: what was believed before.
        done: jobs that are done.
    """
    known = {kind: next_job(prior, done, kind) for kind in {ratio.alike for ratio in done}}
    return tuple(_drawn_in(known[ratio.alike], ratio) for ratio in done)


def _drawn_in(known: Posterior, ratio: Ratio) -> Ratio:
    """One of them.

    Args:
        known: the forecast of its kind from all of them.
        ratio: the job.
    """
    free = 1.0 - known.lean
    residual = (ratio.log - known.middle) / free
    left = known.scale**2 * known.dof - residual**2 * free
    scale = math.sqrt(max(0.0, left) / (known.dof - 1) / free)
    most = REACH * scale
    return Ratio(ratio.alike, ratio.log - residual + min(max(residual, -most), most))


def _sums(
    prior: Prior, done: Sequence[Ratio], groups: Sequence[str]
) -> tuple[list[int], list[float], float]:
    """Number of jobs and sum of logarithms by group, and the sum of all squares, rounded once.

    Logarithms are counted from what was believed before.
    """
    logs = [[j.log - prior.middle for j in done if j.alike == group] for group in groups]
    squares = math.fsum((job.log - prior.middle) ** 2 for job in done)
    return [len(mine) for mine in logs], [math.fsum(mine) for mine in logs], squares


def _products(counts: Sequence[int]) -> Matrix:
    """X'X where every job counts for all, and for its group."""
    products = np.diag([float(sum(counts)), *(float(count) for count in counts)])
    products[0, 1:] = products[1:, 0] = counts
    return products


def left_out(prior: Prior, done: Sequence[Ratio]) -> tuple[float, ...]:
    """For each job in order, its logarithm less what all others make expect.

    Residuals over one minus their leverage (Allen, "The relationship between variable selection
    and data augmentation and a method for prediction", Technometrics 16(1), 1974; from memory).
    """
    groups = sorted({job.alike for job in done})
    known = {group: next_job(prior, done, group) for group in groups}
    return tuple(
        (job.log - known[job.alike].middle) / (1.0 - known[job.alike].lean) for job in done
    )
