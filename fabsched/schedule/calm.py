"""How calm a plan is: how long people stand by, and how many ways they go."""

from dataclasses import dataclass
from itertools import pairwise

from fabsched.model.plan import Block, Course, Kind
from fabsched.model.weekend import Hands, Weekend


@dataclass(frozen=True, slots=True, order=True)
class Unrest:
    """What one would rather have less of; the time counts first.

    Attributes:
        standing_s: seconds people stay beside a machine, or wait away from where they are based.
        ways: how often they go from one place to another.
    """

    standing_s: int
    ways: int


def unrest_of(weekend: Weekend, course: Course) -> Unrest:
    """That of a course.

    Args:
        weekend: for its people.
        course: what happens.
    """
    staying = {block.activity for block in course.blocks if block.attended}
    standing_s = ways = 0
    for hands in weekend.hands:
        lane = [block for block in course.blocks if block.resource == hands.id]
        ways += sum(block.kind is Kind.TRAVEL for block in lane)
        standing_s += _beside_s(lane, staying) + _waiting_s(hands, lane)
    return Unrest(standing_s, ways)


def _beside_s(lane: list[Block], staying: set[str]) -> int:
    beside = (b for b in lane if b.kind is Kind.TEND and b.activity in staying)
    return sum(block.end_s - block.start_s for block in beside)


def _waiting_s(hands: Hands, lane: list[Block]) -> int:
    """Between two things done, the place where the first was done is not theirs."""
    return sum(b.start_s - a.end_s for a, b in pairwise(lane) if a.place != hands.base)
