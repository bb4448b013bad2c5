"""Who stays with a run that goes on: whoever started it.

They stay beside it until its beginning has been watched, and near it until it is over where the
machine asks for that.
"""

from collections.abc import Set as AbstractSet
from dataclasses import replace

from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Going, Hands, Run, Weekend
from fabsched.model.windows import Windows


def with_watchers(weekend: Weekend, busy: AbstractSet[str]) -> Weekend:
    """The weekend with whoever has still to stay with each run that goes on at its beginning.

    The log does not tell who started a run: it is taken to be the first listed who is there.

    Args:
        weekend: from the present moment on.
        busy: ids of those who are known to do something else.
    """
    people = tuple(hands for hands in weekend.hands if hands.id not in busy)
    activities = tuple(_watched(weekend, people, activity) for activity in weekend.activities)
    return replace(weekend, activities=activities)


def without_watches(weekend: Weekend) -> Weekend:
    """The weekend of which nobody is free while they watch what goes on at its beginning."""
    begin_s, hands = weekend.begin_s, list(weekend.hands)
    for activity in weekend.activities:
        going = activity.going if isinstance(activity, Run) else None
        number = weekend.watcher(going) if going else None
        if going and going.watch_s and number is not None:
            stays = Windows.always(begin_s, begin_s + going.watch_s)
            hands[number] = replace(hands[number], windows=hands[number].windows - stays)
    return replace(weekend, hands=tuple(hands))


def _watched(weekend: Weekend, people: tuple[Hands, ...], activity: Activity) -> Activity:
    if not isinstance(activity, Run) or not activity.going:
        return activity
    going, rest_s = activity.going, _rest_s(activity, activity.going)
    place = weekend.station(going.machine).place
    there = [hands for hands in people if (hands.at or hands.base) == place]
    if not there or (rest_s <= 0 and not _on(activity, going).stays):
        return activity
    watch_s = max(0, min(rest_s, _free_s(weekend, there[0], place)))
    return replace(activity, going=replace(going, by=there[0].id, watch_s=watch_s))


def _on(run: Run, going: Going) -> Run:
    return run.at(next(choice for choice in run.choices if choice.machine == going.machine))


def _rest_s(run: Run, going: Going) -> int:
    """How much of its beginning has still to be watched."""
    return min(_on(run, going).watched_s - going.spent_s, whole_s(going.seconds.likely))


def _free_s(weekend: Weekend, hands: Hands, place: str) -> int:
    """For how long somebody is free now at a place."""
    site = next(site for site in weekend.sites if site.id == place)
    spans, now_s = hands.windows & site.windows, weekend.begin_s
    return next((end - now_s for start, end in spans if start <= now_s < end), 0)
