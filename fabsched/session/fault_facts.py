"""Facts of faults and remarks as people write them: moments, lengths of time and opening hours.

Below this floor a moment is told in ISO 8601 with its offset, so that it can be read by programs.
"""

import re
from collections.abc import Mapping
from datetime import datetime

from fabsched.model.errors import Fact
from fabsched.session.spans import minutes_text
from fabsched.session.wording import day_name, month_name, phrase

MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?(Z|[+-]\d\d:\d\d)")
"""A moment with its offset; one without was written by hand and is shown as it was."""

WRITTEN = ("value", "example")
"""What somebody wrote, or should write, is shown as it has to be written."""


def told_facts(facts: Mapping[str, Fact]) -> dict[str, Fact]:
    """The facts in words where they have some; all others as they are."""
    return {name: _told(name, fact) for name, fact in facts.items()}


def _told(name: str, fact: Fact) -> Fact:
    if name == "minutes":
        return minutes_text(int(fact))
    if name == "opens":
        return "".join(_open_text(line, "open") for line in str(fact).splitlines())
    if name == "frees":
        return "".join(_open_text(line, "free") for line in str(fact).splitlines())
    if name in WRITTEN or not isinstance(fact, str) or not MOMENT.fullmatch(fact):
        return fact
    return moment_text(fact)


def moment_text(text: str) -> str:
    """Day, date and hour of a moment in ISO 8601, in its own offset.

    >>> moment_text("2026-10-24T09:30+02:00")
    'Saturday 24 October 2026 09:30'
    """
    moment = datetime.fromisoformat(text)
    return f"{_day(moment, short=False)} {moment:%Y %H:%M}"


def _open_text(line: str, how: str) -> str:
    """When a place is open or somebody free: the name, then pairs of moments, with bars between."""
    name, *spans = line.split("|")
    if not spans:
        return "; " + phrase(f"{how}-never", what=name)
    hours = ", ".join(_span_text(span) for span in spans)
    return "; " + phrase(f"{how}-at", what=name, hours=hours)


def _span_text(span: str) -> str:
    start, end = (datetime.fromisoformat(moment) for moment in span.split("/"))
    until = f"{end:%H:%M}" if start.date() == end.date() else f"{_day(end, short=True)} {end:%H:%M}"
    return f"{_day(start, short=True)} {start:%H:%M}\u2013{until}"


def _day(moment: datetime, *, short: bool) -> str:
    weekday = day_name(moment.weekday(), short=short)
    month = month_name(moment.month, short=short)
    return phrase("day-of-month", weekday=weekday, day=moment.day, month=month)
