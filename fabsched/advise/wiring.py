"""Whether wires fit a channel: the area of the bundle against that of the channel."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

LIMITS = {1: 0.53, 2: 0.31}
"""Largest share of the area one cable may take, or two together."""
LIMIT = 0.40
"""Largest share for more than two. All three are the fill of conduits after NFPA 70, National
Electrical Code (USA), chapter 9, table 1 (from memory): taken here as a measure of how full wires can
be pulled in without harm. It is no rule for wiring inside a case, and no licence for mains."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WiringRoom:
    """Cables in a channel.

    Attributes:
        cables: how many.
        bundle_mm2: area of all of them.
        channel_mm2: area of the channel.
        limit: largest share they may take.
    """

    cables: int
    bundle_mm2: float
    channel_mm2: float
    limit: float

    @property
    def fill(self) -> float:
        """The share they take."""
        return self.bundle_mm2 / self.channel_mm2

    @property
    def fits(self) -> bool:
        """Whether there is room."""
        return self.fill <= self.limit

    @property
    def least_mm2(self) -> float:
        """Area of a channel that would just do."""
        return self.bundle_mm2 / self.limit


def wiring_room(cables_mm: Sequence[float], channel_mm: Sequence[float]) -> WiringRoom:
    """Room for cables in a channel.

    >>> room = wiring_room([2.0] * 6, [10.0, 5.0])
    >>> round(room.fill, 3), room.limit, room.fits
    (0.377, 0.4, True)

    Args:
        cables_mm: outer diameter of each, at least one, all above zero.
        channel_mm: width and height of a channel, or the diameter of a round one.
    """
    area = channel_mm[0] * channel_mm[1] if len(channel_mm) == 2 else round_mm2(channel_mm[0])
    return WiringRoom(
        cables=len(cables_mm),
        bundle_mm2=sum(round_mm2(diameter) for diameter in cables_mm),
        channel_mm2=area,
        limit=LIMITS.get(len(cables_mm), LIMIT),
    )


def round_mm2(diameter_mm: float) -> float:
    """Area of a circle."""
    return pi * diameter_mm**2 / 4.0
