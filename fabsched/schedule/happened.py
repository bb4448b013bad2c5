"""Which activities of a weekend the log speaks of.

Names of activities change with the plan. What happened is found again by its name and what it
meant, else by what it meant alone; what is not found even so is credited copy by copy to whatever
makes the same part, and share by share to the same work.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from fabsched.model.log import Meant, Sort
from fabsched.model.state import Stint
from fabsched.model.weekend import Activity, Choice, Run, Task, Weekend

LEAST = 1e-6
"""Less than this share of a work is nothing."""


@dataclass(frozen=True, slots=True)
class Matched:
    """Stints and the activities they were about.

    Attributes:
        stints: by id of the activity.
        strays: those of which no activity is known.
    """

    stints: dict[str, Stint]
    strays: tuple[Stint, ...]


def meant_by(
    activity: Activity, weekend: Weekend, machine: str = "", people: Sequence[str] = ()
) -> Meant:
    """What an activity means at present, for an entry of the log.

    Args:
        activity: what is done.
        weekend: what it belongs to.
        machine: where, if that is known; else the preferred one.
        people: who does it, if that is known; else those who can, if there are no more than it takes.
    """
    people = people or _only(activity, weekend)
    person = people[0] if people else ""
    if isinstance(activity, Run):
        choice = next((c for c in activity.choices if c.machine == machine), activity.choices[0])
        return Meant(
            name=activity.name,
            sort=Sort.ATTENDED if activity.attended else Sort.RUN,
            items=activity.cargo,
            machine=choice.machine,
            person=person if activity.attended else "",
            place=weekend.station(choice.machine).place,
            seconds=choice.seconds,
            start_s=activity.at(choice).start_s,
            clear_s=activity.at(choice).clear_s,
        )
    return Meant(
        name=activity.name,
        sort=Sort.GATE if activity.chance > 0 else Sort.WORK,
        items=((activity.of or activity.id, 1),),
        share=activity.share,
        person=person,
        place=activity.place,
        seconds=activity.seconds,
        redo=activity.redo,
        helpers=tuple(people[1:]),
    )


def _only(activity: Activity, weekend: Weekend) -> Sequence[str]:
    """Those who can be busy with it, if there are no more than it takes."""
    if isinstance(activity, Task):
        return activity.people if len(activity.people) == activity.crew else ()
    return [hands.id for hands in weekend.hands] if len(weekend.hands) == 1 else ()


def matched(weekend: Weekend, stints: Iterable[Stint]) -> Matched:
    """Find the activities that stints were about; none is found twice."""
    standing = weekend.standing
    ranked = sorted(weekend.activities, key=lambda activity: activity.id not in standing)
    free = {activity.id: activity for activity in ranked}
    found: dict[str, Stint] = {}
    strays: list[Stint] = []
    for stint in sorted(stints, key=lambda stint: not _named(stint, free)):
        ident = stint.subject if _named(stint, free) else _alike(stint.meant, free)
        if ident is None:
            strays.append(stint)
        else:
            found[ident] = stint
            del free[ident]
    return Matched(found, tuple(strays))


def _named(stint: Stint, free: dict[str, Activity]) -> bool:
    activity = free.get(stint.subject)
    return activity is not None and (not stint.meant.items or is_meant(activity, stint.meant))


def _alike(meant: Meant, free: dict[str, Activity]) -> str | None:
    if not meant.items:
        return None
    return next((ident for ident, other in free.items() if is_meant(other, meant)), None)


def is_meant(activity: Activity, meant: Meant) -> bool:
    """Whether an activity makes what was meant, all of it and nothing else.

    A failed run counts for whatever is made instead of it, so that only what comes out matters, not
    where or how long.
    """
    if isinstance(activity, Run):
        makes = meant.sort in {Sort.RUN, Sort.ATTENDED}
        return makes and sorted(activity.cargo) == sorted(meant.items) and bool(meant.items)
    if meant.sort not in {Sort.WORK, Sort.GATE}:
        return False
    same = meant.items == ((activity.of or activity.id, 1),)
    return same and abs(activity.share - meant.share) < LEAST


def credited(weekend: Weekend, strays: Iterable[Stint]) -> dict[str, Activity | None]:
    """What is left of activities some of whose copies or shares were made otherwise.

    Returns:
        By id: the rest, or None if nothing is left. What is not touched is left out. What a swap
        would bring in instead is credited as well, each swap by itself.
    """
    made = _made(strays)
    if not made:
        return {}
    sets = [weekend.standing, *(swap.into for swap in weekend.swaps)]
    left: dict[str, Activity | None] = {}
    for idents in sets:
        pool = Counter(made)
        for activity in weekend.activities:
            if activity.id in idents and activity.id not in left:
                rest = _rest(activity, pool)
                if rest != activity:
                    left[activity.id] = rest
    return left


def _made(strays: Iterable[Stint]) -> Counter[str]:
    """Copies of parts and thousandths of work, by id of the item."""
    made: Counter[str] = Counter()
    for stint in strays:
        for ident, count in stint.meant.items:
            whole = stint.meant.sort in {Sort.RUN, Sort.ATTENDED}
            made[ident] += count if whole else round(1000 * stint.meant.share)
    return made


def _rest(activity: Activity, pool: Counter[str]) -> Activity | None:
    """What is left to do after taking what it can use out of the pool."""
    if isinstance(activity, Run):
        return _rest_of_run(activity, pool)
    return _rest_of_task(activity, pool)


def _rest_of_run(run: Run, pool: Counter[str]) -> Run | None:
    cargo = []
    for part, copies in run.cargo:
        taken = min(copies, pool[part])
        pool[part] -= taken
        if copies > taken:
            cargo.append((part, copies - taken))
    if tuple(cargo) == run.cargo:
        return run
    share = sum(copies for _, copies in cargo) / sum(copies for _, copies in run.cargo)
    choices = tuple(Choice(c.machine, c.seconds.scaled(share)) for c in run.choices)
    return replace(run, cargo=tuple(cargo), choices=choices) if cargo else None


def _rest_of_task(task: Task, pool: Counter[str]) -> Task | None:
    whole = round(1000 * task.share)
    taken = min(whole, pool[task.of])
    pool[task.of] -= taken
    if not taken:
        return task
    share = 1 - taken / whole
    if share < 0.01:
        return None
    return replace(task, share=task.share * share, seconds=task.seconds.scaled(share))
