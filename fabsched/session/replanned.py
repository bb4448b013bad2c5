"""What comes back when the rest of a weekend has been planned."""

from collections.abc import Mapping
from dataclasses import dataclass

from fabsched.model.log import InHand, Meant
from fabsched.model.plan import Answer
from fabsched.model.state import Stint
from fabsched.model.weekend import Weekend
from fabsched.schedule.changes import Change

Meanings = tuple[tuple[str, Meant], ...]
"""What each activity means, by id."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """What went wrong last, with nothing decided about it yet.

    Attributes:
        subject: id of the activity.
        machine: id of the machine it failed on; empty if none or not known.
    """

    subject: str
    machine: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """The rest of a weekend, planned.

    Attributes:
        weekend: what is left.
        answer: its plan.
        in_hand: the same as the log keeps it.
        changes: what it does otherwise than the plan in hand before.
        kept_on_time: chance of being in time with the plan in hand before; None without one.
        on_time: that of the plan now, on the same luck.
        done, going: what is done and what goes on, by id of the activity.
        by_hand: ids of what hands are busy with.
        trouble: what went wrong last, if nothing was decided about it; choices are about this.
    """

    weekend: Weekend
    answer: Answer
    in_hand: InHand
    changes: tuple[Change, ...]
    kept_on_time: float | None
    on_time: float
    done: Mapping[str, Stint]
    going: Mapping[str, Stint]
    by_hand: tuple[str, ...]
    trouble: Trouble | None
