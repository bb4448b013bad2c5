"""What hangs on what: what is asked for, where it is done, and the chains behind it."""

from collections.abc import Callable, Mapping
from graphlib import TopologicalSorter

from fabsched.model.weekend import Activity, Task, Weekend


def asked_for(weekend: Weekend) -> frozenset[str]:
    """Ids of what is needed, and of what something needed waits for."""
    activities = {activity.id: activity for activity in weekend.activities}
    asked: set[str] = set()
    fresh = [activity.id for activity in weekend.activities if activity.needed]
    while fresh:
        ident = fresh.pop()
        if ident not in asked:
            asked.add(ident)
            fresh += activities[ident].after
    return frozenset(asked)


def place_of(weekend: Weekend, activity: Activity) -> str:
    """Where an activity is done; for a run, where its preferred machine stands."""
    if isinstance(activity, Task):
        return activity.place
    return weekend.station(activity.choices[0].machine).place


def tails_s(weekend: Weekend, taken_s: Callable[[Activity], float]) -> Mapping[str, float]:
    """Seconds from the start of each activity along the longest chain that hangs on it.

    Ways between places count; hours, and whether machines and hands are free, do not.

    Args:
        weekend: activities and ways.
        taken_s: how long an activity takes.
    """
    activities = {activity.id: activity for activity in weekend.activities}
    after_s = dict.fromkeys(activities, 0.0)
    tails: dict[str, float] = {}
    order = TopologicalSorter({a.id: a.after for a in weekend.activities}).static_order()
    for activity in (activities[ident] for ident in reversed(tuple(order))):
        tails[activity.id] = taken_s(activity) + after_s[activity.id]
        for need in activity.after:
            origin = place_of(weekend, activities[need])
            way_s = weekend.way_s(origin, place_of(weekend, activity))
            after_s[need] = max(after_s[need], way_s + tails[activity.id])
    return tails
