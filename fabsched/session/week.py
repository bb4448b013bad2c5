"""Hours that are the same every week, as a grid of quarter hours that can be painted."""

import re
from collections.abc import Sequence
from itertools import groupby
from zoneinfo import ZoneInfo

from fabsched.files.opening_hours import expand
from fabsched.model.units import DAY_S, MINUTE_S

QUARTER_S = 15 * MINUTE_S
"""What a cell of the grid stands for."""
QUARTERS = DAY_S // QUARTER_S
"""Cells of a day."""
DAYS = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")
"""Days as the `opening_hours` grammar names them."""
MONDAY_S = 4 * DAY_S
"""A Monday: the epoch began on a Thursday."""
WEEKS = 330
"""Hours that are the same in so many weeks, in which each date falls on most days, always are."""
YEAR_WEEKS = 53
"""Most hours that change do so within a year, which is looked at first."""
WEEK_S = 7 * DAY_S
_SPANS = r"\d{1,2}:\d{2}-\d{1,2}:\d{2}(\s*,\s*\d{1,2}:\d{2}-\d{1,2}:\d{2})*"
_DAYS = "(Mo|Tu|We|Th|Fr|Sa|Su)([-,](Mo|Tu|We|Th|Fr|Sa|Su))*"
_RULE = rf"(24/7|({_DAYS}\s+)?({_SPANS}|off|closed))"
PLAIN = re.compile(rf"{_RULE}(\s*;\s*{_RULE})*")
"""Days of the week and clock times alone, which are the same every week."""

Day = tuple[bool, ...]
"""`QUARTERS` cells, open or not."""
Week = tuple[Day, ...]
"""Seven days, Monday first."""

ALWAYS: Week = ((True,) * QUARTERS,) * 7
NEVER: Week = ((False,) * QUARTERS,) * 7


def week_of(text: str) -> Week | None:
    """The grid of hours; None where they are not the same every week or finer than the grid.

    Args:
        text: hours in the `opening_hours` grammar.

    Raises:
        InputError: they cannot be read.
    """
    if PLAIN.fullmatch(text.strip()):
        return _week_of(text, 2)
    return None if _week_of(text, YEAR_WEEKS) is None else _week_of(text, WEEKS)


def _week_of(text: str, count: int) -> Week | None:
    """The grid of hours, unless so many weeks in a row are not the same."""
    start_s = MONDAY_S + 52 * 52 * WEEK_S  # some decades on, where no date of today plays a part
    windows = expand(text, ZoneInfo("UTC"), start_s, start_s + count * WEEK_S, "hours")
    if any(moment % QUARTER_S for span in windows for moment in span):
        return None
    weeks = {
        tuple((a - first, b - first) for a, b in windows.clipped(first, first + WEEK_S))
        for first in range(start_s, start_s + count * WEEK_S, WEEK_S)
    }
    return _grid(weeks.pop()) if len(weeks) == 1 else None


def _grid(spans: Sequence[tuple[int, int]]) -> Week:
    open_now = {q for a, b in spans for q in range(a // QUARTER_S, b // QUARTER_S)}
    return tuple(
        tuple(day * QUARTERS + quarter in open_now for quarter in range(QUARTERS))
        for day in range(7)
    )


def text_of(week: Week) -> str:
    """The hours of a grid in the `opening_hours` grammar; read again they give the same grid.

    >>> text_of(ALWAYS), text_of(NEVER)
    ('24/7', 'off')
    """
    if week == ALWAYS:
        return "24/7"
    rules = []
    for day, group in groupby(range(7), key=lambda day: week[day]):
        days = list(group)
        if any(day):
            name = DAYS[days[0]] if len(days) == 1 else f"{DAYS[days[0]]}-{DAYS[days[-1]]}"
            rules.append(f"{name} {_spans(day)}")
    return "; ".join(rules) or "off"


def _spans(day: Day) -> str:
    """The open stretches of a day."""
    found, start = [], 0
    for is_open, group in groupby(day):
        end = start + len(list(group))
        if is_open:
            found.append(f"{_clock(start)}-{_clock(end)}")
        start = end
    return ",".join(found)


def _clock(quarter: int) -> str:
    minutes = quarter * QUARTER_S // MINUTE_S
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def painted(week: Week, one: tuple[int, int], other: tuple[int, int], *, is_open: bool) -> Week:
    """The grid with all cells of a rectangle open, or closed.

    Args:
        week: before.
        one: day and quarter of a corner.
        other: those of the corner across.
        is_open: what the cells become.
    """
    days = range(min(one[0], other[0]), max(one[0], other[0]) + 1)
    quarters = range(min(one[1], other[1]), max(one[1], other[1]) + 1)
    return tuple(
        tuple(
            is_open if day in days and quarter in quarters else cell
            for quarter, cell in enumerate(cells)
        )
        for day, cells in enumerate(week)
    )


def open_h(week: Week) -> float:
    """How many hours a week are open."""
    return sum(map(sum, week)) * QUARTER_S / 3600
