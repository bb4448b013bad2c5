"""What a maker can say of a weekend, and what that is read against."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from fabsched.model.log import Entry, Event, Meant, holding
from fabsched.model.project import Component
from fabsched.model.shop import Shop
from fabsched.model.state import State


class Verb(StrEnum):
    """What can be said of something."""

    START = "start"
    FINISH = "finish"
    CLEAR = "clear"
    FAIL = "fail"
    FOUND = "found"
    CANCEL = "cancel"
    ACCEPT = "accept"
    DELAY = "delay"
    ARRIVE = "arrive"
    LOSE = "lose"
    DROP = "drop"
    DEADLINE = "deadline"


EVENTS: Mapping[Verb, Event] = {
    Verb.START: Event.STARTED,
    Verb.FINISH: Event.FINISHED,
    Verb.CLEAR: Event.CLEARED,
    Verb.FAIL: Event.FAILED,
    Verb.FOUND: Event.FOUND,
    Verb.CANCEL: Event.CANCELLED,
    Verb.ACCEPT: Event.ACCEPTED,
    Verb.DELAY: Event.DELAYED,
    Verb.ARRIVE: Event.ARRIVED,
    Verb.LOSE: Event.LOST,
    Verb.DROP: Event.DROPPED,
    Verb.DEADLINE: Event.DEADLINE,
}

ENDS = frozenset({Verb.FINISH, Verb.CLEAR, Verb.FAIL, Verb.CANCEL})
"""What is said of something that goes on, or lies on its machine."""

BY_ITEM = frozenset({Verb.DELAY, Verb.ARRIVE, Verb.DROP})
"""What can be said of all there is of a part or work at once."""

FROM_OUTSIDE = frozenset({Verb.DELAY, Verb.ARRIVE})
"""What can be said of components as well."""

WITH_UNTIL = frozenset({Verb.DELAY, Verb.LOSE, Verb.DEADLINE})
"""What says a moment to come."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """What a maker says.

    Attributes:
        verb: what happened.
        block: the block, activity, part or work, or machine, person or place; empty for `DEADLINE`.
        at_s: when it happened.
        now_s: the present moment.
        until_s: for what says a moment to come.
        share: how far a failed run got, 0 to 1; None to take it from its estimate.
        machine, person: where and who, where that is not as planned.
        helpers: who did it with them; none if nobody did, None if that is as planned.
        why: what the maker says of it.
        replaces: id of an entry this one stands for; 0 for none.
        sure: whether a moment is meant although it lies far from everything else.
    """

    verb: Verb
    block: str = ""
    at_s: int
    now_s: int
    until_s: int | None = None
    share: float | None = None
    machine: str = ""
    person: str = ""
    helpers: tuple[str, ...] | None = None
    why: str = ""
    replaces: int = 0
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What sayings are read against.

    Attributes:
        meant: what each activity means, by id, the most urgent first.
        state: where the weekend stands.
        shop: its machines, people and places.
        deadline: of the project.
        left_out: ids of activities that the plan in hand does otherwise or not at all; they are only
            meant if nothing else can be.
        components: what has to come from outside.
        items: ids of all parts, work and gates of the project.
        entries: the log.
    """

    meant: Mapping[str, Meant]
    state: State
    shop: Shop
    deadline: datetime
    left_out: frozenset[str] = frozenset()
    components: tuple[Component, ...] = ()
    items: tuple[str, ...] = ()
    entries: tuple[Entry, ...] = ()

    @property
    def first_s(self) -> int | None:
        """Moment of the first thing that was told and holds; None if nothing does."""
        told = (e.moment_s for e in holding(self.entries) if e.kind is not Event.PLANNED)
        return min(told, default=None)
