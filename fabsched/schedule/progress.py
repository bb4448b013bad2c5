"""What is left of something that has been going on for a while.

That it is not done yet tells: of how long it may take only that still counts which is longer than it
has taken, and the distribution is cut off there.
"""

from math import exp, log

from scipy.special import betainc, log_ndtr, ndtri_exp

from fabsched.model.spread import Spread
from fabsched.odds.draws import Z90
from fabsched.odds.pert import pert_shape

NIGH = 0.1
"""What has taken longer than its high figure is taken to need another tenth of that time, since
nobody knows (our own assumption)."""

LEAST_S = 60.0
"""Work that goes on takes at least that much longer (our own choice)."""


def left_of_work(seconds: Spread, spent_s: float) -> Spread:
    """What handwork still takes after some time at it.

    The beta distribution through the three figures, cut off below the time spent. The three figures
    returned are those of the one that ends where it does and has its mean.

    Args:
        seconds: low, likely and high figure at its start.
        spent_s: open time since.

    >>> left_of_work(Spread(1000, 2000, 5000), 800)
    Spread(low=200, likely=1200, high=4200)
    >>> [round(left_of_work(Spread(1000, 2000, 5000), s).mean) for s in (1500, 2000, 3500)]
    [982, 760, 331]
    """
    if spent_s >= seconds.high:
        rest_s = max(LEAST_S, NIGH * spent_s)
        return Spread(LEAST_S, rest_s, 3 * rest_s)
    if spent_s <= seconds.low:
        return _some(seconds.low - spent_s, seconds.likely - spent_s, seconds.high - spent_s)
    high_s = seconds.high - spent_s
    likely_s = (6 * _mean_rest_s(seconds, spent_s) - high_s) / 4
    return _some(0.0, min(max(likely_s, 0.0), high_s), high_s)


def _some(low_s: float, likely_s: float, high_s: float) -> Spread:
    return Spread(max(LEAST_S, low_s), max(LEAST_S, likely_s), max(LEAST_S, high_s))


def _mean_rest_s(seconds: Spread, spent_s: float) -> float:
    """Mean of what is left by the beta distribution that is cut off.

    Of the distance from the high figure, in shares of the span, below d: the mean is b / (a + b)
    I_d(b + 1, a) / I_d(b, a), I being the regularised incomplete beta function (from the density).
    """
    a, b = pert_shape(seconds)
    span_s = seconds.high - seconds.low
    apart = (seconds.high - spent_s) / span_s
    mean = b / (a + b) * betainc(b + 1, a, apart) / betainc(b, a, apart)
    return float(apart - mean) * span_s


def left_of_run(seconds: Spread, spent_s: float) -> Spread:
    """What a machine that runs alone still takes.

    The log-normal through the three figures, see `odds.draws.log_normal`, cut off below the time
    spent. It stops by itself, so that the further it is past its high figure the surer it has.

    Args:
        seconds: P10, P50 and P90 at its start.
        spent_s: time since.

    >>> left_of_run(Spread(900, 1000, 1200), 100)
    Spread(low=800, likely=900, high=1100)
    >>> [round(left_of_run(Spread(900, 1000, 1200), s).likely) for s in (950, 1200, 2000)]
    [100, 64, 39]
    """
    still = _log_still(seconds, spent_s)
    if seconds.low == seconds.high or still > -NOTHING:
        return Spread(*(max(0.0, s - spent_s) for s in (seconds.low, seconds.likely, seconds.high)))
    low, likely, high = (
        max(0.0, _beyond_s(seconds, still + log(share)) - spent_s) for share in (0.9, 0.5, 0.1)
    )
    return Spread(low, max(low, likely), max(low, likely, high))


NOTHING = 1e-9
"""A chance as small as this of being done already is none."""


def _log_still(seconds: Spread, spent_s: float) -> float:
    """Logarithm of the chance that it is not done yet."""
    if min(spent_s, seconds.low) <= 0:
        return 0.0
    off = log(spent_s / seconds.likely)
    return float(log_ndtr(-off / _sigma(seconds, below=off < 0))) if off else log(0.5)


def _beyond_s(seconds: Spread, log_chance: float) -> float:
    """The time that is exceeded with a chance, by the logarithm of that."""
    deviate = -float(ndtri_exp(log_chance))
    return seconds.likely * exp(deviate * _sigma(seconds, below=deviate < 0))


def _sigma(seconds: Spread, *, below: bool) -> float:
    """Sigma of the logarithm below or above the median; hardly any where both figures are the same."""
    ratio = seconds.likely / seconds.low if below else seconds.high / seconds.likely
    return max(NOTHING, log(ratio) / Z90)
