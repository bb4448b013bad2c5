"""When somebody or something is to be had, and how long somebody really worked."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from fabsched.files.calendar_busy import busy_in
from fabsched.files.opening_hours import expand
from fabsched.model.shop import Calendar, Machine, Person, Place, Shop
from fabsched.model.units import DAY_S, HOUR_S
from fabsched.model.weekend import NO_TIME
from fabsched.model.windows import Windows

AHEAD_DAYS = 14
"""How far one looks ahead to see that a calendar was understood (our own choice)."""
ON_S = 2 * HOUR_S
"""So long before or after their hours somebody is taken to have worked on; longer, to have slept in
between and told the end when they looked again (our own choice)."""
WithHours = Place | Person | Machine


def open_hours(entry: WithHours, zone: ZoneInfo, start_s: int, end_s: int) -> Windows:
    """When a place is open, a person free or a machine may run: its hours without its busy times.

    Args:
        entry: whose.
        zone: of its clock times.
        start_s: from which moment (seconds since the epoch).
        end_s: to which moment.

    Raises:
        InputError: hours or calendar cannot be read.
    """
    where = f"shop.toml: '{entry.id}'"
    hours = expand(entry.hours, zone, start_s, end_s, f"{where}: hours")
    return hours - busy_hours(entry, zone, start_s, end_s)


def busy_hours(entry: WithHours, zone: ZoneInfo, start_s: int, end_s: int) -> Windows:
    """The busy times alone, none if there is no calendar; arguments and errors as for `open_hours`."""
    if entry.busy is None:
        return NO_TIME
    return busy_in(entry.busy, zone, start_s, end_s, f"shop.toml: '{entry.id}': busy")


def busy_ahead(calendar: Calendar, zone: ZoneInfo, now_s: int) -> Windows:
    """The busy times of a calendar in the days to come, `AHEAD_DAYS` of them.

    Raises:
        InputError: it repeats too often.
    """
    return busy_in(calendar, zone, now_s, now_s + AHEAD_DAYS * DAY_S, "busy")


def open_seconds(shop: Shop, zone: ZoneInfo) -> Callable[[str, int, int], int]:
    """Seconds a person of a shop is up and free between two moments, by the person's id.

    Whoever works outside their hours works all the same: where none of the time is within them, or
    the person is not known, the clock counts. So does up to `ON_S` before the first or after the last
    of their hours, since somebody was at it then.
    """
    people = {person.id: person for person in shop.people}

    def seconds(person: str, start_s: int, end_s: int) -> int:
        if person not in people or end_s <= start_s:
            return max(0, end_s - start_s)
        hours = open_hours(people[person], zone, start_s, end_s).clipped(start_s, end_s)
        spans = [*hours]
        if not spans:
            return end_s - start_s
        before_s: int = spans[0][0] - start_s
        after_s: int = end_s - spans[-1][1]
        return hours.open_s(start_s, end_s) + sum(gap for gap in (before_s, after_s) if gap <= ON_S)

    return seconds
