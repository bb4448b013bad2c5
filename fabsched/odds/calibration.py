"""What was foretold against what happened."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from fabsched.model.experience import ChanceTold, TimeTold
from fabsched.model.spread import Spread

_NORMAL = NormalDist()

ODD = 0.05
"""What comes about less often than that by chance alone is no chance any more (common practice)."""


@dataclass(frozen=True, slots=True)
class Bin:
    """Chances that were told about alike.

    Attributes:
        told: their mean.
        came_true: share of them that came true.
        count: how many there are.
    """

    told: float
    came_true: float
    count: int


def brier(told: Sequence[ChanceTold]) -> float | None:
    """Mean squared distance of the chances told from 1 or 0; None if none was.

    0 is perfect, 0.25 is what always saying one half comes to (Brier, Monthly Weather Review 78(1),
    1950; from memory; his own score counts both outcomes and is twice as large).
    """
    if not told:
        return None
    return math.fsum((t.chance - t.came_true) ** 2 for t in told) / len(told)


def expected_brier(told: Sequence[ChanceTold]) -> float | None:
    """What the score comes to on average if the chances told are right; None if none was.

    The mean of p (1 - p).
    """
    if not told:
        return None
    return math.fsum(t.chance * (1.0 - t.chance) for t in told) / len(told)


def reference_brier(told: Sequence[ChanceTold]) -> float | None:
    """The score of always telling how often it came true; None if none was told.

    It knows only afterwards what it tells: f (1 - f) with the share f that came true, the uncertainty
    term of the score (Murphy, J. Appl. Meteor. 12, 1973; from memory).
    """
    if not told:
        return None
    share = sum(t.came_true for t in told) / len(told)
    return share * (1.0 - share)


def bins(told: Sequence[ChanceTold], count: int = 10) -> tuple[Bin, ...]:
    """Chances told, in equal steps from 0 to 1, against how often they came true.

    Args:
        told: what was foretold and became of it.
        count: how many steps; those without a chance are left out.
    """
    rows: dict[int, list[ChanceTold]] = {}
    for one in told:
        rows.setdefault(min(count - 1, int(one.chance * count)), []).append(one)
    return tuple(
        Bin(
            math.fsum(t.chance for t in mine) / len(mine),
            sum(t.came_true for t in mine) / len(mine),
            len(mine),
        )
        for _, mine in sorted(rows.items())
    )


def place_in(spread: Spread, actual: float) -> float:
    """At which share of a told spread the actual figure lies: its probability integral transform.

    The spread is log-normal on either side of its median, through P10 and P90, as drawn by the
    simulation.

    >>> [round(place_in(Spread(50.0, 100.0, 400.0), figure), 3) for figure in (50.0, 100.0, 400.0)]
    [0.1, 0.5, 0.9]
    """
    edge = spread.low if actual < spread.likely else spread.high
    if actual <= 0.0 or spread.likely <= 0.0 or edge in {0.0, spread.likely}:
        return 0.5 + 0.5 * ((actual > spread.likely) - (actual < spread.likely))
    ratio = math.log(actual / spread.likely) / abs(math.log(edge / spread.likely))
    return _NORMAL.cdf(ratio * _NORMAL.inv_cdf(0.9))


def probability_plot(told: Sequence[TimeTold]) -> tuple[tuple[float, float], ...]:
    """Points (told share, seen share), ascending, for times foretold as P10, P50 and P90.

    If what was told is right, they lie along the diagonal; seen shares are (i - 0.5) / n (Hazen's
    plotting positions, 1914; from memory).
    """
    places = sorted(place_in(one.told, one.actual_s) for one in told)
    return tuple((place, (i + 0.5) / len(places)) for i, place in enumerate(places))


def is_by_chance(hits: int, trials: int, share: float) -> bool:
    """Whether so many hits may well come about where each has that share.

    Twice the binomial probability of as many or as few is at least one in twenty.

    >>> is_by_chance(8, 10, 0.8), is_by_chance(2, 10, 0.8)
    (True, False)
    """
    each = [
        math.comb(trials, k) * share**k * (1.0 - share) ** (trials - k) for k in range(trials + 1)
    ]
    return 2.0 * min(math.fsum(each[: hits + 1]), math.fsum(each[hits:])) >= ODD


def within(told: Sequence[TimeTold]) -> float | None:
    """Share of times that came to lie between P10 and P90, which should be 0.8; None if none did."""
    if not told:
        return None
    return sum(t.told.low <= t.actual_s <= t.told.high for t in told) / len(told)
