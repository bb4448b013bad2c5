"""What the maker wants to start at a moment."""

from collections.abc import Iterable
from dataclasses import replace

from fabsched.model.project import Pin
from fabsched.model.weekend import Activity, Bound, Task, Weekend


def pinned(weekend: Weekend, pins: Iterable[Pin]) -> Weekend:
    """The weekend with wishes kept: what is pinned waits for its moment, then goes before all else.

    Of work in several pieces the first is held back, and all go first. A pin of something that is
    not planned changes nothing.
    """
    wanted = {pin.id: int(pin.at.timestamp()) for pin in pins}
    if not wanted:
        return weekend
    begun: set[str] = set()
    activities = tuple(_held(activity, wanted, begun) for activity in weekend.activities)
    first = frozenset(a.id for a in activities if _name(a, wanted))
    return replace(weekend, activities=activities, first=weekend.first | first)


def _held(activity: Activity, wanted: dict[str, int], begun: set[str]) -> Activity:
    """The activity, not before its moment if it is the first piece of what is pinned."""
    name = _name(activity, wanted)
    if not name or name in begun:
        return activity
    begun.add(name)
    if wanted[name] <= activity.earliest_s:
        return activity
    return replace(activity, earliest_s=wanted[name], bound=Bound.PIN)


def _name(activity: Activity, wanted: dict[str, int]) -> str:
    """Under which name the activity is pinned: its own, or that of the work it is a piece of."""
    if activity.id in wanted:
        return activity.id
    return activity.of if isinstance(activity, Task) and activity.of in wanted else ""
