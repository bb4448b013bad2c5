"""Busy times in an iCalendar file (RFC 5545): read once, each event as what counts about it.

Events that are transparent or cancelled take no time, but may stand for one day of a series that
would (RFC 5545, 3.8.2.7, 3.8.1.11 and 3.8.4.4). Published busy times (`VFREEBUSY`) count as well.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fabsched.files.recurring import check_rule
from fabsched.files.source import read_source
from fabsched.files.toml_read import shown
from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import Calendar

if TYPE_CHECKING:  # the library takes a quarter of a second, which only a calendar pays
    from icalendar import Component

MOST_MB = 8
"""Larger calendars are refused: decades of somebody's meetings (our own choice)."""
LAST_LINE = "END:VCALENDAR"
KINDS = ("VEVENT", "VFREEBUSY")
TIMES = ("DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "RECURRENCE-ID", "FREEBUSY")
ZONES = ("TZID", "TZOFFSETFROM", "TZOFFSETTO", "TZNAME")
WORDS = ("BEGIN", "END", "UID", "SUMMARY", "STATUS", "TRANSP")
NEEDED = re.compile(rf"({'|'.join((*TIMES, *ZONES, *WORDS))})[;:]", re.IGNORECASE)
"""Lines that say when something is; all others may be left unread, which saves most of the time."""
FOLD = re.compile(r"\r?\n[ \t]")
"""Where a long line goes on (RFC 5545, 3.1)."""

Moment = datetime | date
"""A moment, or a whole day; without a zone of its own it is meant wherever one is (3.3.5)."""
Length = timedelta | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """One event, or one stretch of published busy time.

    Attributes:
        name: what it is called.
        uid: what it shares with changed days of its series.
        start: when it begins first.
        end: when that ends; None if `lasts` says it, or nobody does.
        lasts: how long it lasts; days are days of the calendar, the rest is exact (3.8.2.5).
        rules: how it repeats (3.3.10).
        extra: further beginnings, those given with an end with that.
        gone: beginnings that are left out.
        replaces: which beginning of the series this stands for.
        takes_time: whether it keeps anybody busy.
    """

    name: str
    uid: str
    start: Moment
    end: Moment | None = None
    lasts: Length = None
    rules: tuple[str, ...] = ()
    extra: tuple[tuple[Moment, Moment | Length], ...] = ()
    gone: tuple[Moment, ...] = ()
    replaces: Moment | None = None
    takes_time: bool = True


MOST_KEPT = 16
"""So many calendars are kept."""
_KEPT: dict[str, tuple[Booking, ...] | InputError] = {}
"""What stands in calendars that were read, or why they cannot be, by their text, the oldest first."""


def read_calendar(folder: Path, file: str, where: str) -> Calendar:
    """A calendar file with what stands in it.

    Args:
        folder: where its path begins.
        file: its path.
        where: the field that names it, for errors.

    Raises:
        InputError: it cannot be read, or an event in it cannot.
    """
    try:
        text = read_source(folder / file, MOST_MB).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(Fault.FILE_NOT_OF_KIND, place(where, file), kind="UTF-8 text") from error
    except InputError as error:
        raise InputError(error.code, place(where, file), **error.facts) from error
    calendar = Calendar(file=file, text=text)
    bookings_of(calendar, where)
    return calendar


def place(where: str, file: str) -> str:
    """Where an error in a calendar is."""
    return f"{where}: {file}"


def bookings_of(calendar: Calendar, where: str) -> tuple[Booking, ...]:
    """All events of a calendar.

    Raises:
        InputError: it is none, or an event in it cannot be read.
    """
    kept = _KEPT.get(calendar.text)
    if isinstance(kept, InputError):
        raise InputError(kept.code, place(where, calendar.file), **kept.facts)
    if kept is not None:
        return kept
    try:
        found = _bookings(calendar.text)
    except InputError as error:
        raise InputError(error.code, place(where, calendar.file), **error.facts) from error
    keep(calendar.text, found)
    return found


def keep(text: str, bookings: tuple[Booking, ...] | InputError) -> None:
    """Keep what stands in a calendar: shop files are read again whenever the window is looked at.

    Args:
        text: the calendar.
        bookings: what `bookings_of` gave for it or raised, perhaps in another process.
    """
    while len(_KEPT) >= MOST_KEPT:
        _KEPT.pop(next(iter(_KEPT)))
    _KEPT[text] = bookings


def is_kept(text: str) -> bool:
    """Whether it is known already what stands in a calendar."""
    return text in _KEPT


def _bookings(text: str) -> tuple[Booking, ...]:
    from icalendar import Calendar as Document  # noqa: PLC0415 - see above

    try:
        documents = Document.from_ical(_needed(text), multiple=True)
    except (ValueError, LookupError, TypeError, AttributeError) as error:
        raise InputError(Fault.FILE_NOT_OF_KIND, "", kind="iCalendar") from error
    calendars = [document for document in documents if document.name == "VCALENDAR"]
    if not text.upper().rstrip().endswith(LAST_LINE):
        code = Fault.FILE_NO_END if "BEGIN:VCALENDAR" in text.upper() else Fault.FILE_NOT_OF_KIND
        raise InputError(code, "", mark=LAST_LINE, kind="iCalendar")
    return tuple(
        booking
        for document in calendars
        for kind in KINDS
        for entry in document.walk(kind)
        for booking in _of_entry(kind, entry)
    )


def _needed(text: str) -> str:
    """The lines that say when something is, each in one piece."""
    lines = FOLD.sub("", text).splitlines()
    return "\r\n".join([line for line in lines if NEEDED.match(line)]) + "\r\n"


def _of_entry(kind: str, entry: "Component") -> Iterator[Booking]:
    name = shown(entry.get("SUMMARY", "")) or shown(entry.get("UID", "")) or kind
    for broken, why in entry.errors:
        if broken in TIMES:
            raise malformed(name, f"{broken}: {why}")
    yield from _stretches(entry, name) if kind == "VFREEBUSY" else [_event(entry, name)]


def malformed(name: str, why: str) -> InputError:
    """The error for an event that cannot be read."""
    named = why[:2].isupper()  # a property's name stays as the standard writes it
    why = shown(why if named else why[:1].lower() + why[1:])
    return InputError(Fault.CALENDAR_MALFORMED, "", event=name, why=why)


def _stretches(entry: "Component", name: str) -> Iterator[Booking]:
    """Busy times somebody published (RFC 5545, 3.6.4)."""
    for periods in _all(entry, "FREEBUSY"):
        if str(periods.params.get("FBTYPE", "BUSY")).upper() != "FREE":
            start, end = periods.dt if hasattr(periods, "dt") else (periods.start, periods.end)
            yield Booking(name=name, uid="", **_until(start, end))


def _until(start: datetime, end: datetime | timedelta) -> dict[str, Any]:
    return {"start": start, ("lasts" if isinstance(end, timedelta) else "end"): end}


def _event(entry: "Component", name: str) -> Booking:
    start = _moment(entry, "DTSTART", name)
    if start is None:
        raise malformed(name, "it has no DTSTART")
    booking = Booking(
        name=name,
        uid=str(entry.get("UID", "")),
        start=start,
        end=_moment(entry, "DTEND", name),
        lasts=_length(entry),
        rules=tuple(rule.to_ical().decode() for rule in _all(entry, "RRULE")),
        extra=tuple(_split(dt) for dt in _list(entry, "RDATE", name)),
        gone=tuple(dt for dt in _list(entry, "EXDATE", name)),
        replaces=_moment(entry, "RECURRENCE-ID", name),
        takes_time=_takes_time(entry),
    )
    _check(booking, entry)
    return booking


def _length(entry: "Component") -> Length:
    line: Any = entry.get("DURATION")
    length: Length = None if line is None else line.dt
    return length


def _takes_time(entry: "Component") -> bool:
    said = str(entry.get("TRANSP", "")).upper(), str(entry.get("STATUS", "")).upper()
    return said[0] != "TRANSPARENT" and said[1] != "CANCELLED"


def _check(booking: Booking, entry: "Component") -> None:
    """Refuse what would give wrong times in silence."""
    name, start, end = booking.name, booking.start, booking.end
    if "RECURRENCE-ID" in entry and entry["RECURRENCE-ID"].params.get("RANGE"):
        what = "RANGE=THISANDFUTURE"
        raise InputError(Fault.CALENDAR_UNREAD, "", event=name, what=what)
    if end is not None and isinstance(start, datetime) != isinstance(end, datetime):
        raise malformed(name, "one of DTSTART and DTEND is a day, the other a moment")
    if (booking.lasts is not None and booking.lasts < timedelta(0)) or _is_before(end, start):
        raise malformed(name, "it ends before it starts")
    for rule in booking.rules:
        check_rule(rule, name)


def _is_before(end: Moment | None, start: Moment) -> bool:
    """Whether an end is too early, as far as can be told where one floats and the other does not."""
    if isinstance(end, datetime) and isinstance(start, datetime):
        same = (end.tzinfo is None) == (start.tzinfo is None)
        return same and end < start
    return end is not None and end < start


def _all(entry: "Component", name: str) -> list[Any]:
    value = entry.get(name, [])
    return value if isinstance(value, list) else [value]


def _moment(entry: "Component", name: str, event: str) -> Moment | None:
    if name not in entry:
        return None
    line: Any = entry[name]
    if isinstance(line, list):
        raise malformed(event, f"{name} is there twice")
    moment: Moment = _zoned(line.dt, line, event)
    return moment


def _list(entry: "Component", name: str, event: str) -> Iterator[Any]:
    for line in _all(entry, name):
        for value in line.dts:
            yield _zoned(value.dt, line, event)


def _zoned(value: Any, line: Any, event: str) -> Any:
    """The value, unless it is meant in a zone nobody knows: then it would be hours off."""
    first = value[0] if isinstance(value, tuple) else value
    zone = line.params.get("TZID")
    if not isinstance(first, date):
        raise malformed(event, f"'{shown(first)}' is no moment")
    if zone and isinstance(first, datetime) and first.tzinfo is None:
        raise malformed(event, f"the time zone '{zone}' is not known")
    return value


def _split(value: Any) -> tuple[Moment, Moment | Length]:
    return value if isinstance(value, tuple) else (value, None)
