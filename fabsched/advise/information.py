"""What it is worth to know something before deciding, in whatever the payoffs are counted in.

Rows of payoffs are what one could do, columns are what may be true.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]


def expected(priors: Sequence[float], payoffs: Sequence[Sequence[float]]) -> float:
    """Expected payoff of the best that can be done with no more known than the priors.

    Args:
        priors: chance of each truth; they add up to 1.
        payoffs: (deeds, truths).
    """
    chances, table = _tables(priors, payoffs)
    return float((table * chances).sum(axis=1).max())


def perfect(priors: Sequence[float], payoffs: Sequence[Sequence[float]]) -> float:
    """Expected value of knowing the truth before deciding; never below zero.

    After Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961 (from memory).

    >>> perfect([0.5, 0.5], [[10, 0], [4, 4]])
    2.0
    """
    chances, table = _tables(priors, payoffs)
    return float((table.max(axis=0) * chances).sum()) - expected(priors, payoffs)


def sampled(
    priors: Sequence[float],
    payoffs: Sequence[Sequence[float]],
    tells: Sequence[Sequence[float]],
) -> float:
    """Expected value of a look that may mislead, its cost left out; between 0 and `perfect`.

    Args:
        priors: chance of each truth.
        payoffs: (deeds, truths).
        tells: (outcomes, truths) chance of each outcome of the look if that is the truth.
    """
    chances, table = _tables(priors, payoffs)
    joint = np.asarray(tells, dtype=np.float64) * chances
    best = (table[:, np.newaxis, :] * joint).sum(axis=2).max(axis=0)
    return float(best.sum()) - expected(priors, payoffs)


def least_chance_to_look(cost: float, saved: float) -> float:
    """From which chance of a fault on a look pays that costs so much and saves so much if it finds it.

    Deming's all-or-none rule, for a look that misses nothing (Papadakis, Journal of Quality
    Technology 17(3), 1985, 121-127, as quoted by later texts).

    >>> round(least_chance_to_look(5, 120), 4)
    0.0417
    """
    return cost / saved


def _tables(priors: Sequence[float], payoffs: Sequence[Sequence[float]]) -> tuple[Reals, Reals]:
    return np.asarray(priors, dtype=np.float64), np.asarray(payoffs, dtype=np.float64)
