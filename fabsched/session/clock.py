"""Moments and durations in words, always in the project's zone.

Names of days are our own short English ones, not the platform's, so that a plan made on one machine
reads the same as on another.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fabsched.model.errors import Fault, InputError
from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def local(moment_s: int, zone: ZoneInfo) -> datetime:
    """The moment as a zone-aware clock time."""
    return datetime.fromtimestamp(moment_s, UTC).astimezone(zone)


def iso(moment_s: int, zone: ZoneInfo) -> str:
    """ISO 8601 with the offset.

    >>> iso(0, ZoneInfo("Europe/Berlin"))
    '1970-01-01T01:00:00+01:00'
    """
    return local(moment_s, zone).isoformat()


def hour(moment_s: int, zone: ZoneInfo) -> str:
    """Hour and minute.

    >>> hour(0, ZoneInfo("UTC"))
    '00:00'
    """
    return f"{local(moment_s, zone):%H:%M}"


def day(moment_s: int, zone: ZoneInfo) -> str:
    """Day and date.

    >>> day(0, ZoneInfo("UTC"))
    'Thursday 1970-01-01'
    """
    moment = local(moment_s, zone)
    return f"{DAYS[moment.weekday()]} {moment:%Y-%m-%d}"


def short(moment_s: int, zone: ZoneInfo) -> str:
    """Short day, hour and minute.

    >>> short(0, ZoneInfo("UTC"))
    'Thu 00:00'
    """
    moment = local(moment_s, zone)
    return f"{DAYS[moment.weekday()][:3]} {moment:%H:%M}"


def long(moment_s: int, zone: ZoneInfo) -> str:
    """Day, hour and minute.

    >>> long(0, ZoneInfo("UTC"))
    'Thursday 00:00'
    """
    moment = local(moment_s, zone)
    return f"{DAYS[moment.weekday()]} {moment:%H:%M}"


def duration(seconds: float) -> str:
    """A duration not below zero, in the two largest units that say something.

    >>> [duration(s) for s in (0, 29, 59, 5400, 7200, 93600, 172800)]
    ['0 min', '0 min', '1 min', '1 h 30 min', '2 h', '1 d 2 h', '2 d']
    """
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
        written = datetime.fromisoformat(text.strip())
        aware = written if written.tzinfo else written.replace(tzinfo=zone)
        return datetime.fromtimestamp(int(aware.timestamp()), UTC).astimezone(zone)
    except (ValueError, OverflowError, OSError) as error:
        facts = {"value": text, "example": "2026-10-25T20:00"}
        raise InputError(Fault.FIELD_MALFORMED, where, **facts) from error


def _two(large: int, large_unit: str, small: int, small_unit: str) -> str:
    text = f"{large} {large_unit}"
    return f"{text} {small} {small_unit}" if small else text
