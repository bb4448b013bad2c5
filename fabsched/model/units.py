"""Units and the one rounding between float and whole seconds."""

import math

MM_PER_UNIT = {
    "micron": 1e-3,
    "millimeter": 1.0,
    "centimeter": 10.0,
    "meter": 1000.0,
    "inch": 25.4,
    "foot": 304.8,
}
"""Millimetres in one of each length unit (inch and foot exact since the 1959 agreement)."""

MINUTE_S = 60
HOUR_S = 3600
DAY_S = 86400


def whole_s(seconds: float) -> int:
    """Seconds as planning counts them: rounded to the nearest, halves up, never below zero.

    Rounding to nearest rather than up keeps a chain of many jobs unbiased.

    >>> whole_s(59.5), whole_s(0.4), whole_s(-0.2)
    (60, 0, 0)
    """
    return max(0, math.floor(seconds + 0.5))


def minutes_s(minutes: float) -> int:
    """Whole seconds in a number of minutes.

    >>> minutes_s(1.5)
    90
    """
    return whole_s(minutes * MINUTE_S)
