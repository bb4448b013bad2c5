"""What was foretold against what happened."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from fabsched.model.experience import ChanceTold, TimeTold
from fabsched.model.spread import Spread

_NORMAL = NormalDist()


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


def within(told: Sequence[TimeTold]) -> float | None:
    """Share of times that came to lie between P10 and P90, which should be 0.8; None if none did."""
    if not told:
        return None
    return sum(t.told.low <= t.actual_s <= t.told.high for t in told) / len(told)
