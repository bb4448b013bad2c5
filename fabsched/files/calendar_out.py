"""What hands do, as a calendar (RFC 5545) that other programs show and update in place.

Moments are in UTC, which no change of clocks makes ambiguous; whoever shows them uses a zone of their
own. Every event keeps its UID from one export to the next; its SEQUENCE grows whenever it moves or
changes, and what is no longer planned stays once more as cancelled, so that it goes away elsewhere
(RFC 5545, 3.8.7.4 and 3.8.1.11). What lies behind by then stays as it was: a plan only tells the rest.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, uuid5

from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.names import printable

if TYPE_CHECKING:  # the library takes a quarter of a second, which only an export pays
    from icalendar import Event as Entry

PRODUCER = "-//fabsched//fabsched 0//EN"
CANCELLED = "CANCELLED"
BROKEN = (ValueError, LookupError, TypeError, AttributeError, ArithmeticError)
"""What the library raises on broken input."""
MOST_BYTES = 20_000_000
"""A larger calendar is none of ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One stretch of somebody's time.

    Attributes:
        key: what tells it from the others of a project, the same in every plan of it.
        start_s, end_s: moments in seconds since the epoch.
        summary: what is done.
        location: where.
        description: why then, and what to take care of; may hold several lines.
        category: what kind of thing it is.
    """

    key: str
    start_s: int
    end_s: int
    summary: str
    location: str = ""
    description: str = ""
    category: str = ""


def write_calendar(
    path: Path, events: Iterable[Event], *, name: str, project: str, now_s: int
) -> None:
    """Write a calendar in one step, carrying on from the one that is there.

    Args:
        path: the file. If it holds an earlier calendar of the project, sequence numbers go on from
            there; what else it may be is replaced.
        events: what is planned.
        name: name of the calendar.
        project: what tells the project from others, the same in every export.
        now_s: the present moment.

    Raises:
        InputError: the file cannot be read or written.
    """
    before = path_bytes(path)
    data = calendar_bytes(events, before, name=name, project=project, now_s=now_s)
    write_bytes_atomic(path, data)


def path_bytes(path: Path) -> bytes:
    """What a file holds; nothing if there is none.

    Raises:
        InputError: it is there, and cannot be read.
    """
    with told(str(path)):
        return path.read_bytes() if path.exists() and path.stat().st_size <= MOST_BYTES else b""


def calendar_bytes(
    events: Iterable[Event], before: bytes = b"", *, name: str, project: str, now_s: int
) -> bytes:
    """A calendar as bytes.

    Args:
        events: what is planned.
        before: the calendar exported last; what cannot be read counts as none.
        name: name of the calendar.
        project: what tells the project from others.
        now_s: the present moment.
    """
    from icalendar import Calendar  # noqa: PLC0415 - see above

    known = _known(before)
    calendar = Calendar()
    calendar.add("PRODID", PRODUCER)
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("METHOD", "PUBLISH")
    calendar.add("NAME", printable(name))
    entries = {uid_of(project, event.key): _entry(event) for event in events}
    for uid, entry in entries.items():
        entry.add("UID", uid)
        _numbered(entry, known.get(uid), now_s)
        calendar.add_component(entry)
    for uid, old in known.items():
        if uid not in entries:
            calendar.add_component(_gone(old, now_s))
    return bytes(calendar.to_ical())


def uid_of(project: str, key: str) -> str:
    """The UID of an event: a name-based UUID (RFC 4122, 4.3), as RFC 7986 recommends.

    >>> uid_of("station", "lid.start") == uid_of("station", "lid.start")
    True
    """
    return str(uuid5(NAMESPACE_URL, f"fabsched:{project}:{key}"))


def _entry(event: Event) -> "Entry":
    from icalendar import Event as Entry  # noqa: PLC0415 - see above

    entry = Entry()
    entry.add("DTSTART", datetime.fromtimestamp(event.start_s, UTC))
    entry.add("DTEND", datetime.fromtimestamp(event.end_s, UTC))
    entry.add("SUMMARY", printable(event.summary))
    for name, text in (("LOCATION", event.location), ("DESCRIPTION", event.description)):
        if text:
            entry.add(name, printable(text))
    if event.category:
        entry.add("CATEGORIES", [event.category])
    entry.add("STATUS", "CONFIRMED")
    return entry


def _numbered(entry: "Entry", old: "Entry | None", now_s: int) -> None:
    """Give an event its sequence number; one that is as it was keeps number and stamp."""
    if old is not None and _looks(old) == _looks(entry):
        entry.add("SEQUENCE", _sequence(old))
        entry["DTSTAMP"] = old["DTSTAMP"]
        return
    entry.add("SEQUENCE", 0 if old is None else _sequence(old) + 1)
    entry.add("DTSTAMP", datetime.fromtimestamp(now_s, UTC))


def _gone(old: "Entry", now_s: int) -> "Entry":
    """An event that is no longer planned, marked as cancelled once and for all unless it is over."""
    over = old.decoded("DTEND") <= datetime.fromtimestamp(now_s, UTC)
    if str(old.get("STATUS")) != CANCELLED and not over:
        sequence = _sequence(old) + 1
        for name in ("STATUS", "SEQUENCE", "DTSTAMP"):
            old.pop(name, None)
        old.add("STATUS", CANCELLED)
        old.add("SEQUENCE", sequence)
        old.add("DTSTAMP", datetime.fromtimestamp(now_s, UTC))
    return old


def _looks(entry: "Entry") -> bytes:
    """All of an event but its number and stamp."""
    bare = entry.copy(recursive=True)
    for name in ("SEQUENCE", "DTSTAMP", "UID"):
        bare.pop(name, None)
    return bytes(bare.to_ical())


def _sequence(entry: "Entry") -> int:
    return int(entry.decoded("SEQUENCE", 0))


def _known(before: bytes) -> Mapping[str, "Entry"]:
    """The events of an earlier calendar of ours, by UID; damaged ones are left out."""
    from icalendar import Calendar  # noqa: PLC0415 - see above

    calendar = _read(before)
    if not isinstance(calendar, Calendar) or str(calendar.get("PRODID")) != PRODUCER:
        return {}
    return {str(entry["UID"]): entry for entry in calendar.events if _is_sound(entry)}


def _is_sound(entry: "Entry") -> bool:
    """Whether an event can be carried on: it has moments and a number, and can be written again."""
    try:
        moments = [entry.decoded(name) for name in ("DTSTART", "DTEND", "DTSTAMP")]
        whole = all(isinstance(moment, datetime) and moment.tzinfo for moment in moments)
        named = bool(str(entry["UID"]) and str(entry["SUMMARY"]))
        return whole and named and _sequence(entry) >= 0 and bool(_looks(entry))
    except BROKEN:
        return False


def _read(before: bytes) -> object:
    from icalendar import Calendar  # noqa: PLC0415 - see above

    try:
        return Calendar.from_ical(before) if before else None
    except BROKEN:
        return None
