"""How much longer blocks may take than their likely time. No Qt here."""

from collections.abc import Iterable, Mapping
from statistics import NormalDist

from fabsched.model.plan import Block, Kind
from fabsched.model.spread import Spread
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Run, Weekend

Z90 = NormalDist().inv_cdf(0.9)
"""Nine of ten draws of a normal distribution lie below so many standard deviations."""

WORK = (Kind.WORK, Kind.GATE)
"""Kinds of blocks that last as long as a task does."""


def tails_of(weekend: Weekend, blocks: Iterable[Block]) -> Mapping[str, int]:
    """Until when blocks last in nine of ten cases, by id, where that is later than planned.

    Of work that pauses cut into pieces, the last piece takes the delay.

    Args:
        weekend: what was planned.
        blocks: its nominal course.
    """
    activities = {activity.id: activity for activity in weekend.activities}
    last: dict[str, tuple[Block, int]] = {}
    for block in sorted(blocks, key=lambda block: block.start_s):
        activity = activities.get(block.activity)
        if activity is not None and (over_s := _over_s(activity, block)) > 0:
            last[f"{block.activity} {block.kind}"] = block, over_s
    return {block.id: block.end_s + over_s for block, over_s in last.values()}


def _over_s(activity: Activity, block: Block) -> int:
    """Seconds from the likely end of a block to the one that holds in nine of ten cases."""
    if isinstance(activity, Run):
        spreads = [c.seconds for c in activity.choices if c.machine == block.resource]
        return whole_s(spreads[0].high - spreads[0].likely) if spreads else 0
    return whole_s(over_s(activity.seconds)) if block.kind in WORK else 0


def over_s(seconds: Spread) -> float:
    """From the likely time of work to the one it keeps within in nine of ten cases, at least zero.

    The PERT mean with a sixth of the range as standard deviation, taken as normal (Malcolm et al.,
    Operations Research 7(5), 1959), but never past the high figure.

    >>> over_s(Spread.exactly(60))
    0.0
    """
    deviation = (seconds.high - seconds.low) / 6
    point = min(seconds.mean + Z90 * deviation, seconds.high)
    return max(0.0, point - seconds.likely)
