"""What is told of the odds: records alone, so that whoever shows them need not have the compiler."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from fabsched.model.weekend import Turn


class Mishap(StrEnum):
    """What goes wrong. The wording table's `[setback]` has a template for each."""

    FAILS = "fails"
    OVERRUNS = "overruns"
    FAULT = "fault"
    LATE = "late"


@dataclass(frozen=True, slots=True, kw_only=True)
class Setback:
    """What it costs that something may go wrong.

    Attributes:
        kind: what goes wrong.
        id: id of the run, work or gate; of a delivery, of the first activity that waits for it.
        cost: by how much the chance of being done in time would rise if it could not happen; now
            and then a little below zero, since a delay may happen to help.
        chance: in which share of the weekends it happens.
    """

    kind: Mishap
    id: str
    cost: float
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """What it costs that something may go wrong with one run, work or gate.

    Attributes:
        id: of the run, work or gate.
        cost: by how much the chance of being done in time would rise if it were sure to succeed
            and to take no longer than likely.
        wrong: in which share of the weekends it goes badly wrong: it fails, finds a fault, or takes
            longer than its high figure.
        wrong_if_late: the same share among the weekends that are late; as much above `wrong` as it
            has to do with being late. None if none is late.
    """

    id: str
    cost: float
    wrong: float
    wrong_if_late: float | None


def most_dangerous(found: Iterable[Danger]) -> Danger | None:
    """The one that costs most; None if none costs anything."""
    worst = max(found, key=lambda danger: danger.cost, default=None)
    return worst if worst and worst.cost > 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What to do about a run that is not done.

    Attributes:
        id: of the run.
        by_s: the moment.
        not_done: in which share of the weekends it is not done by then.
        on_time: chance of being on time if it is not done by then and one carries on.
        swap: id of the swap to take then; empty if no way left is clearly better.
        instead: chance of being on time with that swap taken then, in the same weekends; None if
            there is none.
        turn, other: what that swap decides, and what it is about as shown; None and empty if there
            is none.
    """

    id: str
    by_s: int
    not_done: float
    on_time: float
    swap: str = ""
    instead: float | None = None
    turn: Turn | None = None
    other: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """How it stands at a moment, if everything has gone as planned until then.

    Attributes:
        moment_s: when.
        left_s: seconds until the deadline; below zero after it.
        p10_s, p50_s, p90_s: seconds still needed, setbacks included, in so many of ten weekends;
            None if it is not done within the horizon.
        on_time: chance of being done in time from there.
    """

    moment_s: int
    left_s: int
    p10_s: int | None
    p50_s: int | None
    p90_s: int | None
    on_time: float
