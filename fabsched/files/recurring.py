"""Recurrence rules of iCalendar (RFC 5545, 3.3.10), within bounds no calendar of a person meets."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import MAXYEAR, UTC, date, datetime, time, tzinfo

from fabsched.model.errors import Fault, InputError

MOST_STEPS = 200_000
"""Beginnings that are gone through for one calendar: five centuries of days (our own choice)."""
ODD_STEPS = 20_000
"""What a rule counts for that may search for a day in vain, which takes as long."""
COARSE = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY")
FINE = ("HOURLY", "MINUTELY")
BY_DAY = ("BYMONTH", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYDAY", "BYSETPOS")
LONGEST = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
"""Days of the months in a leap year."""


CYCLE = 400
"""Years after which the calendar, weekdays included, is the same again. Rules are gone through that
many years ahead, as often as it goes: the library searches up to the last year it knows, and what is
searched for in vain is then given up after a few centuries instead of eighty."""
TRIAL = datetime(2000, 1, 1)  # noqa: DTZ001 - series go by the clock
"""Any clock time: rules are tried out on it."""


@dataclass(slots=True)
class Effort:
    """How much may still be gone through."""

    left: int = MOST_STEPS

    def spend(self, steps: int, name: str) -> None:
        """Count some steps.

        Raises:
            InputError: there are none left.
        """
        self.left -= steps
        if self.left < 0:
            raise InputError(Fault.CALENDAR_TOO_LONG, "", limit=MOST_STEPS, event=name)


def check_rule(rule: str, name: str) -> None:
    """Refuse a rule that is none, that RFC 5545 forbids, or that could take for ever.

    Args:
        rule: its text.
        name: of the event, for errors.

    Raises:
        InputError: `CALENDAR_MALFORMED` or `CALENDAR_UNREAD`; its place is left to the caller.
    """
    parts = _parts(rule)
    if (what := _unread(parts)) is not None:
        raise InputError(Fault.CALENDAR_UNREAD, "", event=name, what=what)
    if {"COUNT", "UNTIL"} <= set(parts):
        why = "RRULE: COUNT and UNTIL cannot stand together"
        raise InputError(Fault.CALENDAR_MALFORMED, "", event=name, why=why)
    try:
        _until(parts, UTC)
        next(_series(parts, TRIAL, TRIAL), None)
    except (ValueError, KeyError, TypeError) as error:
        why = str(error) or type(error).__name__
        raise InputError(Fault.CALENDAR_MALFORMED, "", event=name, why=f"RRULE: {why}") from error


def _parts(rule: str) -> dict[str, str]:
    pairs = (part.partition("=") for part in rule.upper().split(";"))
    return {name.strip(): value.strip() for name, _, value in pairs}


def _unread(parts: Mapping[str, str]) -> str | None:
    """The part of a rule that is not read: what the RFC forbids, and what may never find a day."""
    freq, days = parts.get("FREQ", ""), [name for name in BY_DAY if name in parts]
    if freq == "SECONDLY" or (freq in FINE and days):
        return ";".join([f"FREQ={freq}", *(f"{name}={parts[name]}" for name in days)])
    barred = {
        "BYYEARDAY": COARSE[1:],
        "BYWEEKNO": COARSE[1:],
        "BYMONTHDAY": ("WEEKLY",),
        "BYSETPOS": ("DAILY",),
    }
    for name in days:
        if freq in barred.get(name, ()):
            return f"FREQ={freq};{name}={parts[name]}"
    return _no_such_day(parts)


def _no_such_day(parts: Mapping[str, str]) -> str | None:
    """A day no month has, as the 30th of February."""
    if not {"BYMONTH", "BYMONTHDAY"} <= set(parts):
        return None
    text = f"BYMONTH={parts['BYMONTH']};BYMONTHDAY={parts['BYMONTHDAY']}"
    try:
        lengths = [LONGEST[int(month) - 1] for month in parts["BYMONTH"].split(",")]
        days = [abs(int(day)) for day in parts["BYMONTHDAY"].split(",")]
    except (ValueError, LookupError):
        return text
    return None if min(days) <= max(lengths) else text


def _is_odd(parts: Mapping[str, str]) -> bool:
    """Whether a rule might search in vain: its days and its steps may never meet."""
    days = [name for name in BY_DAY if name in parts]
    if parts["FREQ"] == "WEEKLY" and days == ["BYDAY"]:
        return False
    strange = {"BYYEARDAY", "BYWEEKNO", "BYSETPOS"} & set(days)
    return bool(strange) or (bool(days) and int(parts.get("INTERVAL", "1")) > 1)


def series(
    rule: str, start: datetime | date, zone: tzinfo, end_s: int, effort: Effort, name: str
) -> Iterator[datetime | date]:
    """Beginnings by a rule, the first included if it follows the rule.

    A series goes by clock times of its own zone, so that nine o'clock stays nine o'clock when clocks
    change (3.3.10).

    Args:
        rule: its text, which `check_rule` has found sound.
        start: the first beginning.
        zone: of a beginning without one.
        end_s: nothing from this moment on is wanted.
        effort: what may be gone through.
        name: of the event, for errors.

    Raises:
        InputError: there is too much to go through.
    """
    parts = _parts(rule)
    own = start.tzinfo if isinstance(start, datetime) and start.tzinfo else zone
    last = datetime.fromtimestamp(end_s, UTC).astimezone(own).replace(tzinfo=None)
    if (until := _until(parts, own)) is not None:
        last = min(last, until)
    if _is_odd(parts):
        effort.spend(ODD_STEPS, name)
    first = start if isinstance(start, datetime) else datetime.combine(start, time())
    for clock in _series(parts, first.replace(tzinfo=None), last):
        effort.spend(1, name)
        yield clock.replace(tzinfo=start.tzinfo) if isinstance(start, datetime) else clock.date()


def _series(parts: Mapping[str, str], first: datetime, last: datetime) -> Iterator[datetime]:
    """Clock times up to the last, without a zone: the library then reckons by the clock."""
    from dateutil.rrule import rrulestr  # noqa: PLC0415 - only calendars need it

    text = ";".join(f"{name}={value}" for name, value in parts.items() if name != "UNTIL")
    ahead = (MAXYEAR - last.year) // CYCLE * CYCLE
    end = last.replace(year=last.year + ahead)
    rule = rrulestr(text, dtstart=first.replace(year=first.year + ahead))
    for clock in rule if "COUNT" in parts else rule.replace(until=end):
        if clock > end:
            return
        yield clock.replace(year=clock.year - ahead)


def _until(parts: Mapping[str, str], zone: tzinfo) -> datetime | None:
    """The last moment by the clock of a zone; of a day, its end.

    Raises:
        ValueError: it is no moment.
    """
    text = parts.get("UNTIL")
    if text is None:
        return None
    if len(text) == 8:
        return datetime.combine(datetime.strptime(text, "%Y%m%d"), time.max)  # noqa: DTZ007 - a day
    clock = datetime.strptime(text.rstrip("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007 - the zone follows
    if not text.endswith("Z"):
        return clock
    return clock.replace(tzinfo=UTC).astimezone(zone).replace(tzinfo=None)
