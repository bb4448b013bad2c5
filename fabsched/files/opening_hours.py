"""Hours in the OpenStreetMap `opening_hours` grammar, expanded into windows.

Specification: https://wiki.openstreetmap.org/wiki/Key:opening_hours/specification
"""

import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from opening_hours import OpeningHours, State, validate

from fabsched.model.errors import Fault, InputError
from fabsched.model.windows import Windows

UNKNOWABLE = re.compile(
    r"\b(PH|SH|sunrise|sunset|dawn|dusk)\b(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)", re.IGNORECASE
)
"""Words whose meaning depends on where a place lies, outside comments in quotes."""

MARGIN = timedelta(days=1)
"""Expanded before and after what is asked for, so that no edge falls into a repeated hour."""


def check_hours(text: str, where: str) -> None:
    """Refuse hours that cannot be read, or that hang on holidays or the sun.

    Args:
        text: the hours.
        where: the field, for errors.

    Raises:
        InputError: `HOURS_MALFORMED` or `HOURS_UNKNOWABLE`.
    """
    _parsed(text, None, where)


def expand(text: str, zone: ZoneInfo, start_s: int, end_s: int, where: str) -> Windows:
    """When something with these hours is open.

    Clock times are those of the zone: a night from 20:00 to 08:00 lasts 13 hours when clocks go
    back and 11 when they go forward. Where hours are marked as unknown, it counts as closed.

    Args:
        text: the hours.
        zone: the zone of the place.
        start_s: from which moment (seconds since the epoch).
        end_s: to which moment.
        where: the field, for errors.

    Raises:
        InputError: `HOURS_MALFORMED` or `HOURS_UNKNOWABLE`.
    """
    first = datetime.fromtimestamp(start_s, UTC).astimezone(zone) - MARGIN
    last = datetime.fromtimestamp(end_s, UTC).astimezone(zone) + MARGIN
    spans = _parsed(text, zone, where).intervals(first, last)
    return Windows.of(
        (int(start.timestamp()), int(end.timestamp()))
        for start, end, state, _ in spans
        if state == State.OPEN
    ).clipped(start_s, end_s)


def _parsed(text: str, zone: ZoneInfo | None, where: str) -> OpeningHours:
    if not validate(text):
        raise InputError(Fault.HOURS_MALFORMED, where, hours=text)
    if (word := UNKNOWABLE.search(text)) is not None:
        raise InputError(Fault.HOURS_UNKNOWABLE, where, hours=text, word=word.group())
    return OpeningHours(text, timezone=zone)
