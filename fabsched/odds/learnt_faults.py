"""How often checks find a fault against what the project says, learnt from those that were made.

The factor on the rate of faults is log-normal before any check, as published (`odds.truths`); a check
with a chance p finds one in 1 - (1 - p)^factor, as the simulation has it. There is no closed form for
that: the belief is weighed at narrow steps of the factor, and taken for log-normal again.
"""

import math
from collections.abc import Iterable

import numpy as np

from fabsched.model.experience import LookSeen
from fabsched.odds.truths import PUBLISHED, Factor

REACH, STEPS = 5.0, 401
"""The belief is weighed so many standard deviations either way, at so many steps."""
SUREST = 0.99
"""A chance that is told as sure is taken for this, since nothing is."""


def faults_of(looks: Iterable[LookSeen]) -> Factor:
    """The factor on the rate of faults, for `Truths.faults`; as published where nothing was checked.

    Args:
        looks: checks that were made; those without a chance of finding anything tell nothing.
    """
    told = sorted((look.chance, look.found) for look in looks if look.chance > 0.0)
    if not told:
        return PUBLISHED.faults
    before = PUBLISHED.faults
    deviates = np.linspace(-REACH, REACH, STEPS)
    factors, logs = before.at(deviates), -0.5 * deviates**2
    for chance, found in told:
        passed = factors * math.log1p(-min(chance, SUREST))
        logs += np.log(-np.expm1(passed)) if found else passed
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    middle = float(weights @ deviates)
    spread = math.sqrt(float(weights @ (deviates - middle) ** 2))
    return Factor(before.median * math.exp(before.sigma * middle), before.sigma * spread)
