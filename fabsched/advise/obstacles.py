"""What takes longer than there is time, however it is ordered: why no plan would do.

Everything is taken at its likely time, nothing going wrong: what is told here stands in the way even
of a lucky weekend.
"""

from collections.abc import Iterator

from fabsched.advise.fits import Barrier, Obstacle
from fabsched.model.plan import Plan
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Run, Task, Weekend
from fabsched.schedule.carried import carried_out


def obstacles(weekend: Weekend, plan: Plan) -> tuple[Obstacle, ...]:
    """What alone is longer than the time there is; the plainest reason first, none where all fits.

    Args:
        weekend: what is planned.
        plan: what was decided.
    """
    needed = tuple(a for a in carried_out(weekend, plan).activities if a.needed)
    left_s = weekend.deadline_s - weekend.begin_s
    alone = [
        Obstacle(code=Barrier.ALONE, name=a.name, takes_s=least_s(a), left_s=left_s) for a in needed
    ]
    chain_s, names = _chain(needed)
    chain = Obstacle(
        code=Barrier.CHAIN, name=" \u2192 ".join(names), takes_s=chain_s, left_s=left_s
    )
    long = [each for each in alone if each.takes_s > left_s]
    chained = [] if long else [chain]
    found = (
        *long,
        *chained,
        *_machines(weekend, needed),
        *_hands(weekend, needed),
        *_able(weekend, needed),
    )
    return tuple(each for each in found if each.takes_s > each.left_s)


def least_s(activity: Activity) -> int:
    """How long it likely takes from its start until it is done, on its fastest machine."""
    if not isinstance(activity, Run):
        return whole_s(activity.seconds.likely)
    return min(_on_machine_s(activity.at(choice)) for choice in activity.choices)


def _on_machine_s(run: Run) -> int:
    if run.going:
        return whole_s(run.going.seconds.likely) + run.clear_s
    return run.start_s + whole_s(run.choices[0].seconds.likely) + run.clear_s


def _chain(needed: tuple[Activity, ...]) -> tuple[int, tuple[str, ...]]:
    """The longest row of steps each of which waits for the one before it."""
    best: dict[str, tuple[int, tuple[str, ...]]] = {}
    left = {activity.id: activity for activity in needed}

    def until(activity: Activity) -> tuple[int, tuple[str, ...]]:
        before = max((best[i] for i in activity.after if i in left), default=(0, ()))
        return before[0] + least_s(activity), (*before[1], activity.name)

    waiting = list(needed)
    while waiting:
        ready = [a for a in waiting if all(i in best for i in a.after if i in left)]
        best |= {activity.id: until(activity) for activity in ready}
        waiting = [activity for activity in waiting if activity.id not in best]
    return max(best.values(), default=(0, ()))


def _machines(weekend: Weekend, needed: tuple[Activity, ...]) -> Iterator[Obstacle]:
    """Machines that are the only one for more work than they may run for."""
    for station in weekend.stations:
        runs = [
            a
            for a in needed
            if isinstance(a, Run) and [c.machine for c in a.choices] == [station.id] and not a.going
        ]
        site = next(site for site in weekend.sites if site.id == station.place)
        attended = all(run.attended for run in runs)
        windows = station.windows & site.windows if attended else station.windows
        yield Obstacle(
            code=Barrier.MACHINE,
            name=station.name,
            takes_s=sum(whole_s(run.choices[0].seconds.likely) for run in runs),
            left_s=windows.open_s(weekend.begin_s, weekend.deadline_s),
        )


def _hands(weekend: Weekend, needed: tuple[Activity, ...]) -> Iterator[Obstacle]:
    """Work of hands that is more than the hours of all people together."""
    left_s = sum(
        hands.windows.open_s(weekend.begin_s, weekend.deadline_s) for hands in weekend.hands
    )
    names = ", ".join(hands.name for hands in weekend.hands)
    takes_s = sum(_hands_s(activity) for activity in needed)
    yield Obstacle(code=Barrier.HANDS, name=names, takes_s=takes_s, left_s=left_s)


def _able(weekend: Weekend, needed: tuple[Activity, ...]) -> Iterator[Obstacle]:
    """Work that only some of the people can do, and that is more than their hours there."""
    tasks = [a for a in needed if isinstance(a, Task)]
    for able in dict.fromkeys(frozenset(task.people) for task in tasks):
        who = [hands for hands in weekend.hands if hands.id in able]
        mine = [task for task in tasks if frozenset(task.people) <= able]
        if len(who) < len(weekend.hands):
            names = ", ".join(task.name for task in mine), ", ".join(hands.name for hands in who)
            yield Obstacle(
                code=Barrier.ABLE,
                name=f"{names[0]} ({names[1]})",
                takes_s=sum(_hands_s(task) for task in mine),
                left_s=sum(h.windows.open_s(weekend.begin_s, weekend.deadline_s) for h in who),
            )


def _hands_s(activity: Activity) -> int:
    if not isinstance(activity, Run):
        return activity.crew * whole_s(activity.seconds.likely)
    if activity.attended:
        return least_s(activity)
    return min(activity.at(choice).tend_s for choice in activity.choices)
