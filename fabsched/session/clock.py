"""Moments and durations in words, always in the project's zone.

Names of days are our own, from the wording table, not the platform's, so that a plan made on one
machine reads the same as on another.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fabsched.model.errors import Fault, InputError
from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S
from fabsched.session.wording import day_name, month_name, phrase

NEAR_S = 6 * DAY_S
"""So far ahead the name of a day says which one is meant."""


def local(moment_s: int, zone: ZoneInfo) -> datetime:
    """The moment as a zone-aware clock time."""
    return datetime.fromtimestamp(moment_s, UTC).astimezone(zone)


def iso(moment_s: int, zone: ZoneInfo) -> str:
    """ISO 8601 with the offset.

    >>> iso(0, ZoneInfo("Europe/Berlin"))
    '1970-01-01T01:00:00+01:00'
    """
    return local(moment_s, zone).isoformat()


def up(moment_s: int) -> int:
    """The whole minute at or after a moment, so that nothing is said to be over before it is.

    >>> up(60), up(61)
    (60, 120)
    """
    return -(-moment_s // MINUTE_S) * MINUTE_S


def hour(moment_s: int, zone: ZoneInfo) -> str:
    """Hour and minute; in an hour the clocks go through twice, with the name of the time that holds.

    >>> hour(0, ZoneInfo("UTC")), hour(1792888200, ZoneInfo("Europe/Berlin"))
    ('00:00', '02:30 CEST')
    """
    moment = local(moment_s, zone)
    twice = moment.utcoffset() != moment.replace(fold=1 - moment.fold).utcoffset()
    return f"{moment:%H:%M %Z}" if twice else f"{moment:%H:%M}"


def day_of_month(moment_s: int, zone: ZoneInfo, *, short: bool = False) -> str:
    """Day of the week and of the month; for where the year is plain.

    >>> day_of_month(0, ZoneInfo("UTC")), day_of_month(0, ZoneInfo("UTC"), short=True)
    ('Thursday 1 January', 'Thu 1 Jan')
    """
    moment = local(moment_s, zone)
    weekday = day_name(moment.weekday(), short=short)
    month = month_name(moment.month, short=short)
    return phrase("day-of-month", weekday=weekday, day=moment.day, month=month)


def day(moment_s: int, zone: ZoneInfo) -> str:
    """Day and date.

    >>> day(0, ZoneInfo("UTC"))
    'Thursday 1 January 1970'
    """
    return f"{day_of_month(moment_s, zone)} {local(moment_s, zone).year}"


def short(moment_s: int, zone: ZoneInfo, since_s: int | None = None) -> str:
    """Short day, hour and minute; see `long` for the date.

    >>> short(0, ZoneInfo("UTC")), short(0, ZoneInfo("UTC"), -NEAR_S)
    ('Thu 00:00', 'Thu 1 Jan 1970 00:00')
    """
    return f"{_day(moment_s, zone, since_s, short=True)} {hour(moment_s, zone)}"


def long(moment_s: int, zone: ZoneInfo, since_s: int | None = None) -> str:
    """Day, hour and minute, with the date if the day is too far ahead to be known by its name.

    The year is told where it is another one.

    Args:
        moment_s: the moment.
        zone: where it is shown.
        since_s: from when on one looks ahead; None leaves dates out.

    >>> (
    ...     long(0, ZoneInfo("UTC")),
    ...     long(NEAR_S, ZoneInfo("UTC"), 0),
    ...     long(0, ZoneInfo("UTC"), -NEAR_S),
    ... )
    ('Thursday 00:00', 'Wednesday 7 January 00:00', 'Thursday 1 January 1970 00:00')
    """
    return f"{_day(moment_s, zone, since_s, short=False)} {hour(moment_s, zone)}"


def _day(moment_s: int, zone: ZoneInfo, since_s: int | None, *, short: bool) -> str:
    """The day of the week; with the date if it is far from the other moment."""
    moment = local(moment_s, zone)
    if since_s is None or abs(moment_s - since_s) < NEAR_S:
        return day_name(moment.weekday(), short=short)
    date = day_of_month(moment_s, zone, short=short)
    return date if moment.year == local(since_s, zone).year else f"{date} {moment.year}"


def duration(seconds: float) -> str:
    """A duration not below zero, in the two largest units that say something.

    >>> [duration(s) for s in (0, 29, 59.6, 5400, 7200, 93600, 172800)]
    ['0 min', '29 s', '1 min', '1 h 30 min', '2 h', '1 d 2 h', '2 d']
    """
    if 0 < seconds < MINUTE_S - 0.5:
        return f"{max(1, round(seconds))} s"
    minutes = int(seconds + MINUTE_S // 2) // MINUTE_S
    if minutes < HOUR_S // MINUTE_S:
        return f"{minutes} min"
    if minutes < DAY_S // MINUTE_S:
        return _two(minutes // 60, "h", minutes % 60, "min")
    return _two(minutes // 1440, "d", minutes % 1440 // 60, "h")


def parse_moment(text: str, zone: ZoneInfo, where: str) -> datetime:
    """A moment a person wrote in ISO 8601: with an offset, or as clock time in the zone.

    >>> parse_moment("2026-10-25T20:00", ZoneInfo("Europe/Berlin"), "--now").isoformat()
    '2026-10-25T20:00:00+01:00'

    Raises:
        InputError: it cannot be read.
    """
    try:
        written = _clock_time(text.strip())
        aware = written if written.tzinfo else written.replace(tzinfo=zone)
        return datetime.fromtimestamp(int(aware.timestamp()), UTC).astimezone(zone)
    except (ValueError, OverflowError, OSError) as error:
        facts = {"value": text, "example": "2026-10-25T20:00"}
        raise InputError(Fault.FIELD_MALFORMED, where, **facts) from error


def _clock_time(text: str) -> datetime:
    """Day and hour; a day alone would silently mean its first moment."""
    if len(text) <= len("2026-10-25"):
        raise ValueError(text)
    return datetime.fromisoformat(text)


def _two(large: int, large_unit: str, small: int, small_unit: str) -> str:
    text = f"{large} {large_unit}"
    return f"{text} {small} {small_unit}" if small else text
