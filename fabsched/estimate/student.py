"""Quantiles of Student's t distribution, for whole degrees of freedom."""

import math
from functools import cache
from statistics import NormalDist

LIKE_NORMAL = 2000
"""Degrees of freedom from which the first term of an expansion around the normal is enough."""
HALVINGS = 200
"""Steps of bisection: more than floating point can tell apart."""


def share_within(reach: float, dof: int) -> float:
    """Share of a t distribution between -reach and reach.

    The finite sums of Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4
    (from memory; held against scipy in the tests).

    Args:
        reach: not below zero.
        dof: degrees of freedom, at least 1.
    """
    angle = math.atan2(reach, math.sqrt(dof))
    cosine = math.cos(angle)
    odd = dof % 2
    term = cosine if odd else 1.0
    total = term if dof > 1 else 0.0
    for k in range(3 if odd else 2, dof - 1, 2):
        term *= cosine**2 * (k - 1) / k
        total += term
    total *= math.sin(angle)
    return 2.0 / math.pi * (angle + total) if odd else total


@cache
def t90(dof: int) -> float:
    """The quantile at 0.9 of a t distribution.

    >>> round(t90(1), 3), round(t90(10), 3)
    (3.078, 1.372)

    Args:
        dof: degrees of freedom, at least 1.
    """
    normal = NormalDist().inv_cdf(0.9)
    if dof >= LIKE_NORMAL:
        return normal + (normal**3 + normal) / (4.0 * dof)  # A&S 26.7.5
    low, high = normal, 4.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if share_within(middle, dof) < 0.8:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
