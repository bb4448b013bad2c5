"""How much more often than others a print fails, for what can be seen of the part itself.

Checks of the shape alone (warp, toppling, small features) find what becomes scrap (Budinoff &
McMains 2021, doi 10.1007/s12008-021-00786-w, abstract): which is why these count, and no others. By
how much is nowhere published that we know of; the factors are our own assumption, bounded, and
what the log tells of a machine is learnt beside them. They multiply the rates of a machine, which
hold for prints that lie flat, stand firm and are thicker than a bead.
"""

from enum import StrEnum
from math import log1p, sqrt

from fabsched.model.estimates import Estimate, WarpLevel
from fabsched.model.findings import Remark

CURLING = {WarpLevel.LOW: 1.0, WarpLevel.MEDIUM: 1.5, WarpLevel.HIGH: 2.5}
"""By how likely the part is to curl off the bed (own assumption)."""
FIRM = 4.0
"""A print no higher than so many sides of a square as large as what it rests on stands firm; from
there on it fails the more often the higher it stands (own assumption)."""
MOST_TOPPLING = 2.5
"""It raises the rate by no more than that (own assumption)."""
FRAIL = 1.5
"""Where walls are thinner than a bead (own assumption)."""
MOST = 4.0
"""All of it together raises the rate by no more than that (own assumption): with the usual rates,
seven hours then fail as often as in an open studio, about four in ten (Song & Telenko, Procedia CIRP 80,
2019)."""


class Raising(StrEnum):
    """What of a part raises how often it fails. The wording table has a phrase `raising-...` for each."""

    WARP = "warp"
    CONTACT = "contact"
    THIN = "thin"


def raising(estimate: Estimate | None) -> dict[Raising, float]:
    """By what each feature of a part multiplies how often its print fails; those at work alone.

    Args:
        estimate: of the part on the machine; nothing is known of one without, or of a prepared run.
    """
    if estimate is None or estimate.warp is None:
        return {}
    found = {
        Raising.WARP: CURLING[estimate.warp.level],
        Raising.CONTACT: _toppling(estimate),
        Raising.THIN: FRAIL if _is_thin(estimate) else 1.0,
    }
    return {cause: times for cause, times in found.items() if times > 1.0}


def times_failing(estimate: Estimate | None) -> float:
    """By what the rate at which a print fails is multiplied, 1 to `MOST`.

    >>> times_failing(None)
    1.0
    """
    times = 1.0
    for each in raising(estimate).values():
        times *= each
    return min(MOST, times)


def raised(chance: float, times: float) -> float:
    """A chance whose rate is multiplied.

    >>> round(raised(0.1, 2.0), 3)
    0.19
    """
    return chance if times == 1.0 else 1.0 - (1.0 - chance) ** times


def times_between(usual: float, chance: float) -> float:
    """By what the rate of one chance is multiplied in another: `raised` turned round.

    >>> round(times_between(0.1, 0.19), 3)
    2.0

    Args:
        usual: more than 0, less than 1.
        chance: at least 0, less than 1.
    """
    return log1p(-chance) / log1p(-usual)


def _toppling(estimate: Estimate) -> float:
    """From how high it stands over what it rests on (`Pose.lever`)."""
    side_mm = sqrt(max(estimate.contact_mm2 or 0.0, 1.0))
    lever = (estimate.height_mm or 0.0) / side_mm
    return min(MOST_TOPPLING, max(1.0, lever / FIRM))


def _is_thin(estimate: Estimate) -> bool:
    return any(finding.code is Remark.THIN_WALLS for finding in estimate.findings)
