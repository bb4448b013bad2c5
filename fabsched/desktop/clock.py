"""Moments as the timeline writes them: days with their dates, and hours alone."""

from zoneinfo import ZoneInfo

from fabsched.session.clock import day_of_month, local, up


def hour_text(moment_s: int, zone: ZoneInfo) -> str:
    """Hour and minute.

    >>> hour_text(0, ZoneInfo("UTC"))
    '00:00'
    """
    return f"{local(moment_s, zone):%H:%M}"


def span_text(start_s: int, end_s: int, zone: ZoneInfo) -> str:
    """From when to when, in whole minutes, as everywhere else.

    >>> span_text(1, 3600, ZoneInfo("UTC"))
    '00:01\u201301:00'
    """
    return f"{hour_text(up(start_s), zone)}\u2013{hour_text(up(end_s), zone)}"


def day_text(moment_s: int, zone: ZoneInfo) -> str:
    """Day and date.

    >>> day_text(0, ZoneInfo("UTC"))
    'Thursday 1 January'
    """
    return day_of_month(moment_s, zone)


def date_text(moment_s: int, zone: ZoneInfo) -> str:
    """Day, date, year, hour and minute.

    >>> date_text(0, ZoneInfo("UTC"))
    'Thursday 1 January 1970, 00:00'
    """
    year = local(moment_s, zone).year
    return f"{day_text(moment_s, zone)} {year}, {hour_text(moment_s, zone)}"
