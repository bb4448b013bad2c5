"""What a failure costs: machine hours lost when a run of a part fails.

A run that fails does so after a share of its machine time that is even between none and all, as in the
simulation of the odds; what was spent until then is lost.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.units import HOUR_S
from fabsched.model.weekend import NOTICE_S, Run
from fabsched.odds.draws import chance_of_failing

STEPS = 4000
"""Points at which the distribution of the loss is looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """What failures cost.

    Attributes:
        chance: that at least one run fails at its first attempt.
        mean_s: machine time lost by a failure, on average.
        p90_s: nine failures in ten lose less.
        expected_s: machine time lost to failures of first attempts, whether there are any or not.
    """

    chance: float
    mean_s: float
    p90_s: float
    expected_s: float


def exposure_of(runs: Sequence[tuple[Run, float]]) -> Exposure:
    """What failures of some runs cost.

    Args:
        runs: each with the share of it that counts, by copies.
    """
    lost = [(run.choices[0].seconds.likely, _chance(run), share) for run, share in runs]
    weights = np.array([chance * share for _, chance, share in lost])
    if not weights.sum():
        return Exposure(chance=0.0, mean_s=0.0, p90_s=0.0, expected_s=0.0)
    longest = np.array([seconds for seconds, _, _ in lost])
    unattended = np.array([0.0 if run.attended else NOTICE_S for run, _ in runs])
    mean = 0.5 * longest + unattended
    return Exposure(
        chance=1.0 - float(np.prod([1.0 - chance * share for _, chance, share in lost])),
        mean_s=float(weights @ mean / weights.sum()),
        p90_s=_point(longest, unattended, weights / weights.sum(), 0.9),
        expected_s=float(weights @ mean),
    )


def _chance(run: Run) -> float:
    """Chance that one attempt fails."""
    return float(chance_of_failing(run, np.array(run.choices[0].seconds.likely / HOUR_S)))


def _point(
    longest: NDArray[np.float64],
    later: NDArray[np.float64],
    weights: NDArray[np.float64],
    share: float,
) -> float:
    """The loss that a share of the failures stays below: a mixture of even distributions."""
    losses = np.linspace(0.0, float((longest + later).max()), STEPS)
    below = np.clip((losses[:, None] - later) / np.maximum(longest, 1.0), 0.0, 1.0) @ weights
    return float(losses[np.searchsorted(below, share)])
