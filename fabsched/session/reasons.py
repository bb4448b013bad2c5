"""The reasons of a plan: what decides its finish, what it has decided, and what would move it.

Heavy: imported when that is asked for.
"""

from dataclasses import dataclass

from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend
from fabsched.schedule.chains import Gain, chain, gains
from fabsched.schedule.isolation import Isolated, isolated
from fabsched.schedule.settled import Settled, settled


@dataclass(frozen=True, slots=True, kw_only=True)
class Reasons:
    """The reasons of a plan.

    Attributes:
        chain: ids of the blocks of the chain that decides the finish, the latest first.
        isolated: what is made on its own although it could share a bed.
        settled: what was decided.
        gains: what would move the finish most.
    """

    chain: tuple[str, ...]
    isolated: tuple[Isolated, ...]
    settled: tuple[Settled, ...]
    gains: tuple[Gain, ...]


def reasons_of(weekend: Weekend, answer: Answer) -> Reasons:
    """The reasons of a plan.

    Args:
        weekend: what was planned.
        answer: the plan.
    """
    return Reasons(
        chain=chain(weekend, answer.course),
        isolated=isolated(weekend, answer.plan),
        settled=settled(weekend, answer.plan),
        gains=gains(weekend, answer.plan, answer.course),
    )
