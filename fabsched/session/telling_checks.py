"""What a log should not be told: twice the same, in an order that cannot be, in another year.

Whoever tells something at two in the morning slips; each slip gets one line that says what to do.
What is unusual and can still be true is let through: something finished that was never told to have
begun counts as done and teaches no time, and something that is done and turns out to be bad has failed.
"""

from collections.abc import Iterable
from datetime import datetime, tzinfo

from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.log import Entry, Event, holding
from fabsched.model.state import State, Stint
from fabsched.model.units import DAY_S

LONG_AGO_S = 30 * DAY_S
"""Nobody tells of what happened longer ago than this before the first entry (our own choice)."""

FAR_AHEAD_S = 60 * DAY_S
"""Nor of a moment to come later than this after the deadline (our own choice)."""

SOONEST = 0.5
"""Nothing ends before this share of its low figure (our own choice, far from every estimate's range)."""

ENDED = frozenset({Event.FINISHED, Event.CLEARED})
FROM_START_TO_END = ENDED | {Event.STARTED, Event.FAILED, Event.FOUND, Event.CANCELLED}
"""What has to stay in its order when one of them is put right."""


def check_past(at_s: int, now_s: int, zone: tzinfo | None) -> None:
    """Refuse what is told as if it had been, but is still to come.

    Raises:
        InputError: it is.
    """
    if at_s > now_s:
        facts = {"at": _iso(at_s, zone), "now": _iso(now_s, zone)}
        raise InputError(Fault.MOMENT_TO_COME, "--at", **facts)


def check_near(at_s: int, now_s: int, first_s: int | None, zone: tzinfo | None) -> None:
    """Refuse a moment long before anything was told: most likely another year was meant.

    Args:
        at_s: the moment.
        now_s: the present one.
        first_s: that of the first entry; None if there is none.
        zone: where moments are shown.

    Raises:
        InputError: it is too long ago.
    """
    since_s = min(now_s, now_s if first_s is None else first_s)
    if at_s < since_s - LONG_AGO_S:
        raise InputError(Fault.MOMENT_FAR, "--at", **_far(at_s, since_s, zone))


def check_until(until_s: int, at_s: int, last_s: int, zone: tzinfo | None, *, after: bool) -> None:
    """Refuse a moment to come that lies long after everything, or not after what it belongs to.

    Args:
        until_s: the moment.
        at_s: when it begins.
        last_s: the deadline, or the present moment if that is later.
        zone: where moments are shown.
        after: whether it has to lie after the beginning.

    Raises:
        InputError: it does not, or lies too far away.
    """
    if after and until_s <= at_s:
        facts = {"until": _iso(until_s, zone), "at": _iso(at_s, zone)}
        raise InputError(Fault.UNTIL_BEFORE, "--until", **facts)
    if abs(until_s - last_s) > FAR_AHEAD_S:
        raise InputError(Fault.MOMENT_FAR, "--until", **_far(until_s, last_s, zone))


def check_share(share: float | None) -> None:
    """Refuse a share of less than nothing or more than all.

    Raises:
        InputError: it is.
    """
    if share is not None and not 0 <= share <= 1:
        facts = {"value": share, "low": 0, "high": 1}
        raise InputError(Fault.FIELD_OUT_OF_RANGE, "--share", **facts)


def check_once(kind: Event, subject: str, name: str, state: State, zone: tzinfo | None) -> None:
    """Refuse what was told already and can only be once: it would count twice.

    Raises:
        InputError: it goes on already, is done already, or has failed already.
    """
    going, done = state.going.get(subject), state.done.get(subject)
    if kind is Event.STARTED and going is not None:
        raise InputError(Fault.GOES_ALREADY, "log", what=name, start=_start(going, zone))
    if kind in ENDED and going is None and done is not None and not _lies(subject, state):
        raise InputError(Fault.DONE_ALREADY, "log", what=name)
    last = next((stint for stint in reversed(state.past) if stint.subject == subject), None)
    failed = last is not None and last.outcome is Event.FAILED
    if kind is Event.FAILED and going is None and done is None and failed and last is not None:
        facts = {"what": name, "at": _iso(last.end_s or 0, zone)}
        raise InputError(Fault.FAILED_ALREADY, "log", **facts)


def check_free(entry: Entry, state: State, zone: tzinfo | None) -> None:
    """Refuse a start on a machine that must still be running: most likely another one was meant.

    What has run for half of its short time and longer is taken to have ended and been taken off.

    Raises:
        InputError: something else has only just begun there.
    """
    for stint in state.going.values():
        start_s, seconds = stint.start_s, stint.meant.seconds
        there = stint.meant.machine == entry.meant.machine != "" and stint.subject != entry.subject
        if not there or start_s is None or seconds is None:
            continue
        if 0 <= entry.moment_s - start_s < SOONEST * seconds.low:
            facts = {"other": stint.meant.name, "start": _start(stint, zone)}
            raise InputError(Fault.MACHINE_BUSY, entry.meant.name, **facts)


def check_corrected(old: Entry, new: Entry, entries: Iterable[Entry], zone: tzinfo | None) -> None:
    """Refuse a correction that turns round what happened to one thing, or on one machine.

    Args:
        old: the entry that was wrong.
        new: what stands for it.
        entries: all there are.
        zone: where moments are shown.

    Raises:
        InputError: it would then stand on the other side of another entry.
    """
    held = [e for e in holding(entries) if e.kind in FROM_START_TO_END and _touches(e, old)]
    if old.kind not in FROM_START_TO_END or old.id not in {entry.id for entry in held}:
        return
    place = [entry.id for entry in held].index(old.id)
    over = [e for e in held[:place] if e.moment_s > new.moment_s]
    over += [e for e in held[place + 1 :] if e.moment_s <= new.moment_s]
    if over:
        facts: dict[str, Fact] = {
            "what": old.meant.name,
            "at": _iso(new.moment_s, zone),
            "other": over[0].id,
        }
        raise InputError(Fault.OUT_OF_ORDER, "--at", moment=_iso(over[0].moment_s, zone), **facts)


def _touches(entry: Entry, other: Entry) -> bool:
    """Whether two entries are about one thing or one machine."""
    machine = other.meant.machine
    return entry.subject == other.subject or bool(machine and entry.meant.machine == machine)


def _lies(subject: str, state: State) -> bool:
    return any(stint.subject == subject for stint in state.uncleared.values())


def _start(stint: Stint, zone: tzinfo | None) -> str:
    return "?" if stint.start_s is None else _iso(stint.start_s, zone)


def _far(moment_s: int, from_s: int, zone: tzinfo | None) -> dict[str, Fact]:
    return {"at": _iso(moment_s, zone), "days": round(abs(moment_s - from_s) / DAY_S)}


def _iso(moment_s: int, zone: tzinfo | None) -> str:
    return datetime.fromtimestamp(moment_s, zone).isoformat()
