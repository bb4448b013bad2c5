"""Moments and durations as the desktop writes them, always in the project's zone.

Names of days and months are our own short English ones, not the platform's, so that a picture
drawn on one machine reads the same as on another.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def local(moment_s: int, zone: ZoneInfo) -> datetime:
    """The moment as a zone-aware wall clock time."""
    return datetime.fromtimestamp(moment_s, UTC).astimezone(zone)


def hour_text(moment_s: int, zone: ZoneInfo) -> str:
    """Hour and minute.

    >>> hour_text(0, ZoneInfo("UTC"))
    '00:00'
    """
    return f"{local(moment_s, zone):%H:%M}"


def moment_text(moment_s: int, zone: ZoneInfo) -> str:
    """Short day, hour and minute.

    >>> moment_text(0, ZoneInfo("UTC"))
    'Thu 00:00'
    """
    return f"{DAYS[local(moment_s, zone).weekday()][:3]} {hour_text(moment_s, zone)}"


def day_text(moment_s: int, zone: ZoneInfo) -> str:
    """Day and date.

    >>> day_text(0, ZoneInfo("UTC"))
    'Thursday 1 January'
    """
    day = local(moment_s, zone)
    return f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def date_text(moment_s: int, zone: ZoneInfo) -> str:
    """Day, date, year, hour and minute.

    >>> date_text(0, ZoneInfo("UTC"))
    'Thursday 1 January 1970, 00:00'
    """
    year = local(moment_s, zone).year
    return f"{day_text(moment_s, zone)} {year}, {hour_text(moment_s, zone)}"


def duration_text(seconds: int) -> str:
    """A duration not below zero, in the two largest units that say something.

    >>> [duration_text(s) for s in (0, 29, 59, 5400, 7200, 93600, 172800)]
    ['0 min', '0 min', '1 min', '1 h 30 min', '2 h', '1 d 2 h', '2 d']
    """
    minutes = (seconds + MINUTE_S // 2) // MINUTE_S
    if minutes < HOUR_S // MINUTE_S:
        return f"{minutes} min"
    if minutes < DAY_S // MINUTE_S:
        return _two(minutes // 60, "h", minutes % 60, "min")
    return _two(minutes // 1440, "d", minutes % 1440 // 60, "h")


def _two(large: int, large_unit: str, small: int, small_unit: str) -> str:
    text = f"{large} {large_unit}"
    return f"{text} {small} {small_unit}" if small else text
