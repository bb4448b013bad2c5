"""The weekend cut into jobs and steps, before any solver sees it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Going, Hands, Run, Swap, Task, Turn, Weekend, due_s
from fabsched.model.windows import NEVER, Windows
from fabsched.schedule.needs import asked_for
from fabsched.schedule.solver.times import Times, likely_s
from fabsched.schedule.ways import shortest


class NoRoom(Exception):  # noqa: N818 - says what there is not
    """Something fits into no window before the horizon."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way to do a step.

    Attributes:
        hands: who does it.
        place: where.
        machines: ids of the stations it is done at, all alike to the hands; empty for tasks.
        seconds: how long hands take.
        windows: when it may be done.
        splittable: whether it may lie over pauses.
    """

    hands: Hands
    place: str
    machines: tuple[str, ...]
    seconds: int
    windows: Windows
    splittable: bool = False

    @property
    def possible(self) -> bool:
        """Whether it fits anywhere."""
        fit = self.windows.add if self.splittable else self.windows.first_fit
        return bool(self.windows.spans) and fit(0, self.seconds) < NEVER


Step = tuple[Mode, ...]
"""Something for hands, with all ways to do it; empty if it needs none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One activity as the model sees it.

    Attributes:
        activity: what it is about.
        begin: hands at its beginning: all of a task or an attended run, or starting a machine.
        clear: hands that clear an unattended machine.
        alone_s: how long each machine runs alone, by station id; empty for tasks and attended runs.
        places: where it is done, by station id; a task has one under the empty id.
        going: whether its machine runs since before the beginning.
        certain: whether it is carried out whatever is decided.
    """

    activity: Activity
    begin: Step
    clear: Step = ()
    alone_s: Mapping[str, int]
    places: Mapping[str, str]
    going: bool = False
    certain: bool = True


def jobs_of(weekend: Weekend, times: Times) -> tuple[Job, ...]:
    """Jobs for all that is needed, directly or because something needed waits for it.

    Where the given time fits into no window, the likely one is taken: such a step is planned to
    fit, and goes on after the pause if it takes longer. What is only carried out by a swap and fits
    nowhere is left out, and so is a swap that needs it.

    Raises:
        NoRoom: something fits nowhere that is carried out if nothing is decided.
    """
    asked = asked_for(weekend)
    standing = weekend.standing
    decided = frozenset[str]().union(*(s.out | s.into for s in open_swaps(weekend)))
    jobs = []
    for activity in weekend.activities:
        if activity.id in asked:
            try:
                job = _job_with_room(weekend, activity, times)
            except NoRoom:
                if activity.id in standing:
                    raise
                continue
            jobs.append(replace(job, certain=activity.id not in decided))
    return tuple(jobs)


def open_swaps(weekend: Weekend) -> tuple[Swap, ...]:
    """The decisions the model knows; what is not needed it leaves alone anyway."""
    return tuple(swap for swap in weekend.swaps if swap.kind is not Turn.DROP)


def _job_with_room(weekend: Weekend, activity: Activity, times: Times) -> Job:
    for seconds in (times.seconds[activity.id], likely_s(activity)):
        try:
            return _job(weekend, activity, seconds)
        except NoRoom:
            continue
    raise NoRoom(activity.id)


def _job(weekend: Weekend, activity: Activity, seconds: tuple[int, ...]) -> Job:
    if isinstance(activity, Run) and activity.going:
        return _going(weekend, activity, activity.going)
    if isinstance(activity, Task):
        begin = _possible(_task_mode(weekend, activity, p, seconds[0]) for p in weekend.hands)
        return Job(activity=activity, begin=begin, alone_s={}, places={"": activity.place})
    machine_s = dict(zip((c.machine for c in activity.choices), seconds, strict=True))
    if activity.attended:
        machine_s = {m: _tended_s(activity, m) + s for m, s in machine_s.items()}
        begin = _possible(_tends(weekend, activity, machine_s))
        able = {machine for mode in begin for machine in mode.machines}
        places = {m: weekend.station(m).place for m in machine_s if m in able}
        return Job(activity=activity, begin=begin, alone_s={}, places=places)
    return _unattended(weekend, activity, machine_s)


def _going(weekend: Weekend, run: Run, going: Going) -> Job:
    """A run that goes on already: on its machine from the beginning, and to be cleared."""
    left_s = {going.machine: whole_s(going.seconds.likely)}
    tends = {machine: _on(run, machine).clear_s for machine in left_s}
    clear = _possible(_tends(weekend, run, tends)) if any(tends.values()) else ()
    places = {going.machine: weekend.station(going.machine).place}
    return Job(activity=run, begin=(), clear=clear, alone_s=left_s, places=places, going=True)


def _unattended(weekend: Weekend, run: Run, machine_s: Mapping[str, int]) -> Job:
    alone_s = {m: s for m, s in machine_s.items() if _runs_somewhen(weekend, m, s)}
    if not alone_s:
        raise NoRoom(run.id)
    own = {machine: _on(run, machine) for machine in alone_s}
    steps = [
        _possible(_tends(weekend, run, tends)) if any(tends.values()) else ()
        for tends in (
            {machine: mine.start_s for machine, mine in own.items()},
            {machine: mine.clear_s for machine, mine in own.items()},
        )
    ]
    places = {machine: weekend.station(machine).place for machine in alone_s}
    return Job(activity=run, begin=steps[0], clear=steps[1], alone_s=alone_s, places=places)


def _on(run: Run, machine: str) -> Run:
    """The run as it is on a machine."""
    return run.at(next(choice for choice in run.choices if choice.machine == machine))


def _tended_s(run: Run, machine: str) -> int:
    mine = _on(run, machine)
    return mine.start_s + mine.clear_s


def _runs_somewhen(weekend: Weekend, machine: str, seconds: int) -> bool:
    return weekend.station(machine).windows.first_fit(0, seconds) < NEVER


def _possible(modes: Iterable[Mode]) -> Step:
    step = tuple(mode for mode in modes if mode.possible)
    if not step:
        raise NoRoom
    return step


def _task_mode(weekend: Weekend, task: Task, person: Hands, seconds: int) -> Mode:
    windows = _open_to(weekend, person, task, task.place)
    return Mode(
        hands=person,
        place=task.place,
        machines=(),
        seconds=seconds,
        windows=windows if person.id in task.people else Windows.of([]),
        splittable=task.splittable,
    )


def _tends(weekend: Weekend, run: Run, hands_s: Mapping[str, int]) -> Iterable[Mode]:
    """Ways to tend a machine; machines that make no difference to the hands share one."""
    always = Windows.always(weekend.begin_s, weekend.horizon_s)
    alike: dict[tuple[str, int, Windows], list[str]] = {}
    for machine, seconds in hands_s.items():
        station = weekend.station(machine)
        windows = station.windows if run.attended else always
        alike.setdefault((station.place, seconds, windows), []).append(machine)
    for (place, seconds, windows), machines in alike.items():
        for person in weekend.hands:
            yield Mode(
                hands=person,
                place=place,
                machines=tuple(machines),
                seconds=seconds,
                windows=_open_to(weekend, person, run, place) & windows,
            )


def _open_to(weekend: Weekend, person: Hands, activity: Activity, place: str) -> Windows:
    """When somebody can be at a place for an activity, the first way there behind them."""
    site = next(site for site in weekend.sites if site.id == place)
    ways = shortest([site.id for site in weekend.sites], weekend.travel_s)
    there_s = weekend.begin_s + ways.get((person.at or person.base, place), 0)
    windows = person.windows & site.windows
    return windows.clipped(max(there_s, due_s(activity)), weekend.horizon_s)
