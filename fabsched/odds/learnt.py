"""How often runs fail, learnt from those that have ended.

Whether a run fails at its start is a beta-binomial matter; how often it fails while it runs, a
gamma-Poisson one, to which every run adds the hours it ran (Gelman et al., Bayesian Data Analysis,
3rd ed., sections 2.4 and 2.6; from memory). Starts and hours count as many times as the parts of the
run raise the rate, so that what risky parts suffer is not laid at the machine's door. Hours do so
exactly: it is the exposure of the gamma model. A start that went well is so many starts that did;
one that failed is a first failure among so many, t (see `_tries`).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fabsched.model.experience import Failing, RunSeen
from fabsched.model.units import HOUR_S

START_S = 900.0
"""A run that fails within its first quarter of an hour has failed at its start: the first layers
did not hold, the sheet was laid askew (own assumption); but for as many as would have failed in any
other quarter of an hour."""
WORTH = 1.0
"""Failures the belief before any logged run is worth (own assumption): published shares of failed
prints lie between one and four tenths, far apart from each other (Wittbrodt et al., Mechatronics 23,
2013, from memory; Song & Telenko, Procedia CIRP 80, 2019)."""
NEVER = 1e-6
"""A chance or rate below that is never."""
NEVER_WORTH = 30.0
"""Starts, and hours, the belief is worth where it says that none fails (own assumption)."""
OTHERS = 0.5
"""What a run of another material counts, against one of the same (a power prior: Ibrahim & Chen,
Statistical Science 15(1), 2000, from memory; the share is our own assumption)."""


@dataclass(frozen=True, slots=True)
class _Tally:
    """What runs come to."""

    started_badly: float = 0.0
    started: float = 0.0
    broke_down: float = 0.0
    hours: float = 0.0
    early_hours: float = 0.0

    def plus(self, other: "_Tally", share: float) -> "_Tally":
        return _Tally(
            self.started_badly + share * other.started_badly,
            self.started + share * other.started,
            self.broke_down + share * other.broke_down,
            self.hours + share * other.hours,
            self.early_hours + share * other.early_hours,
        )

    def broke_early(self, before: Failing) -> float:
        """How many that failed in their first quarter of an hour are likely to have started well.

        As many as fail in so many hours at the rate seen in all later ones.
        """
        late = before.hours + self.hours - self.early_hours
        rate = (before.hour_failed + self.broke_down) / late if late > 0.0 else 0.0
        return min(self.started_badly, rate * self.early_hours)


def believed(fail_start: float, fail_hour: float) -> Failing:
    """What is believed of a machine before any run: the figures of the shop file.

    Args:
        fail_start: chance of failing at the start, 0 to 1.
        fail_hour: rate per hour of running.
    """
    starts = WORTH / fail_start if fail_start > NEVER else NEVER_WORTH
    hours = WORTH / fail_hour if fail_hour > NEVER else NEVER_WORTH
    return Failing(
        start_failed=fail_start * starts,
        start_went=(1.0 - fail_start) * starts,
        hour_failed=fail_hour * hours,
        hours=hours,
    )


def failing(before: Failing, runs: Iterable[RunSeen], material: str) -> Failing:
    """What is known of a machine's failures with a material.

    Args:
        before: what was believed before.
        runs: ended runs of the machine, of any material, in any order.
        material: the material; empty counts all runs alike.
    """
    runs = tuple(runs)
    mine = [run for run in runs if material in {"", run.material}]
    rest = [run for run in runs if material not in {"", run.material}]
    seen = _tally(mine).plus(_tally(rest), OTHERS)
    broke = seen.broke_early(before)
    badly = seen.started_badly - broke
    return Failing(
        start_failed=before.start_failed + badly,
        start_went=before.start_went + seen.started - badly,
        hour_failed=before.hour_failed + seen.broke_down + broke,
        hours=before.hours + seen.hours,
        known=len(runs),
        failures=sum(run.failed for run in runs),
    )


def _tally(runs: Iterable[RunSeen]) -> _Tally:
    """Starts and hours of runs, and how many of each went wrong; the sums are rounded once."""
    runs = sorted(runs, key=lambda run: (run.ran_s, run.raised))
    early = sum(_badly(run) for run in runs)
    return _Tally(
        float(early),
        float(sum(_tries(run) for run in runs)),
        float(sum(run.failed for run in runs) - early),
        sum(run.raised * max(0.0, run.ran_s) for run in runs) / HOUR_S,
        sum(run.raised * min(max(0.0, run.ran_s), START_S) for run in runs) / HOUR_S,
    )


def _badly(run: RunSeen) -> bool:
    return run.failed and run.ran_s < START_S


def _tries(run: RunSeen) -> float:
    """Starts of plain parts that the start of a run is worth.

    For one that failed, ln(1 - (1 - p)^t) = ln t + ln p - (t - 1) p / 2 + O(p^2): the likelihood of one
    failure and (t - 1) / 2 good starts, so that the posterior stays a beta (our own expansion).
    """
    return (run.raised + 1.0) / 2.0 if _badly(run) else run.raised


def doubt(failures: float) -> float:
    """Standard deviation of the logarithm of a rate that rests on so many failures.

    The root of trigamma, the variance of the logarithm of a gamma variable of that shape; by its
    recurrence and asymptotic series (Abramowitz & Stegun 6.4.6 and 6.4.12; from memory, held
    against scipy in the tests).

    >>> round(doubt(1.0), 4)
    1.2825

    Args:
        failures: above zero.
    """
    variance, x = 0.0, failures
    while x < 8.0:
        variance += 1.0 / x**2
        x += 1.0
    series = 1 / x + 1 / (2 * x**2) + 1 / (6 * x**3) - 1 / (30 * x**5) + 1 / (42 * x**7)
    return math.sqrt(variance + series)
