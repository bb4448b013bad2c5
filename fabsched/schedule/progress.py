"""What is left of something that has been going on for a while."""

from fabsched.model.spread import Spread

NIGH = 0.1
"""What has taken longer than its high figure is taken to need another tenth of that time, since
nobody knows (our own assumption)."""

LEAST_S = 60.0
"""Work that goes on takes at least that much longer (our own choice)."""


def left_of_work(seconds: Spread, spent_s: float) -> Spread:
    """What handwork still takes after some time at it.

    What goes well is done by its likely figure, and the longer it has not been done the less it can
    have gone well: from the low figure on, the likely rest grows towards a third of the way from the
    likely to the high figure, the mean of a triangle that falls to zero there.

    Args:
        seconds: low, likely and high figure at its start.
        spent_s: open time since.

    >>> left_of_work(Spread(1000, 2000, 5000), 800)
    Spread(low=200, likely=1200.0, high=4200)
    >>> [left_of_work(Spread(1000, 2000, 5000), s).likely for s in (1500, 2000, 3500)]
    [1000.0, 1000.0, 500.0]
    """
    if spent_s >= seconds.high:
        rest_s = max(LEAST_S, NIGH * spent_s)
        return Spread(LEAST_S, rest_s, 3 * rest_s)
    high_s = max(seconds.high - spent_s, LEAST_S)
    late = _share(spent_s - seconds.low, seconds.likely - seconds.low)
    worse_s = (seconds.high - max(spent_s, seconds.likely)) / 3
    likely_s = max(0.0, seconds.likely - spent_s) + late * worse_s
    likely_s = min(high_s, max(likely_s, LEAST_S))
    return Spread(min(likely_s, max(seconds.low - spent_s, LEAST_S)), likely_s, high_s)


def _share(part_s: float, whole_s: float) -> float:
    """A share from 0 to 1; all of nothing is 0 before and 1 from then on."""
    if whole_s <= 0:
        return float(part_s >= 0)
    return min(1.0, max(0.0, part_s / whole_s))


def left_of_run(seconds: Spread, spent_s: float) -> Spread:
    """What a machine that runs alone still takes.

    It stops by itself, so that one that is past its high figure is taken to have stopped.

    Args:
        seconds: P10, P50 and P90 at its start.
        spent_s: time since.

    >>> left_of_run(Spread(900, 1000, 1200), 1100)
    Spread(low=0.0, likely=0.0, high=100)
    """
    return Spread(*(max(0.0, s - spent_s) for s in (seconds.low, seconds.likely, seconds.high)))
