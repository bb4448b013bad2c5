"""The weekend cut into jobs and steps, before any solver sees it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from fabsched.model.foreseen import due_s
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Going, Run, Swap, Task, Turn, Weekend
from fabsched.model.windows import NEVER, Windows
from fabsched.schedule.needs import asked_for
from fabsched.schedule.solver.modes import Crew, Mode, NoRoom, Step, crews_of, possible
from fabsched.schedule.solver.teams import Team, teams_of
from fabsched.schedule.solver.times import Times, likely_s
from fabsched.schedule.ways import Ways, shortest


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One activity as the model sees it.

    Attributes:
        activity: what it is about.
        begin: hands at its beginning: all of a task or an attended run, or starting a machine.
        size: how many people its beginning takes at once.
        crews: of which hours they can be, if it takes several; empty if those are too many to tell.
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
    size: int = 1
    crews: tuple[Crew, ...] = ()

    @property
    def stays(self) -> frozenset[str]:
        """Machines near which whoever starts it stays, by station id."""
        run = self.activity
        if not isinstance(run, Run):
            return frozenset()
        near = (choice.machine for choice in run.choices if run.at(choice).stays)
        return frozenset(near) & self.alone_s.keys()

    @property
    def by(self) -> str:
        """Id of whoever stays with what goes on; empty if nobody does."""
        return (
            self.activity.going.by if isinstance(self.activity, Run) and self.activity.going else ""
        )


@dataclass(frozen=True, slots=True)
class _Shop:
    """What jobs are cut from.

    Attributes:
        weekend: all there is.
        teams: its people.
        ways: the shortest between its places.
    """

    weekend: Weekend
    teams: tuple[Team, ...]
    ways: Ways

    @classmethod
    def of(cls, weekend: Weekend, asked: Iterable[Activity]) -> "_Shop":
        """The shop of a weekend, of which some activities are asked for."""
        ways = shortest([site.id for site in weekend.sites], weekend.travel_s)
        return cls(weekend, teams_of(weekend, tuple(asked)), ways)


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
    wanted = [activity for activity in weekend.activities if activity.id in asked]
    shop = _Shop.of(weekend, wanted)
    jobs = []
    for activity in wanted:
        try:
            job = _job_with_room(shop, activity, times)
        except NoRoom:
            if activity.id in standing:
                raise
            continue
        jobs.append(replace(job, certain=activity.id not in decided))
    return tuple(jobs)


def open_swaps(weekend: Weekend) -> tuple[Swap, ...]:
    """The decisions the model knows; what is not needed it leaves alone anyway."""
    return tuple(swap for swap in weekend.swaps if swap.kind is not Turn.DROP)


def _job_with_room(shop: _Shop, activity: Activity, times: Times) -> Job:
    for seconds in (times.seconds[activity.id], likely_s(activity)):
        try:
            return _job(shop, activity, seconds)
        except NoRoom:
            continue
    raise NoRoom(activity.id)


def _job(shop: _Shop, activity: Activity, seconds: tuple[int, ...]) -> Job:
    if isinstance(activity, Task):
        return _task(shop, activity, seconds[0])
    if activity.going:
        return _going(shop, activity, activity.going)
    machine_s = dict(zip((c.machine for c in activity.choices), seconds, strict=True))
    if activity.attended:
        machine_s = {m: _tended_s(activity, m) + s for m, s in machine_s.items()}
        begin = possible(_tends(shop, activity, machine_s))
        able = {machine for mode in begin for machine in mode.machines}
        places = {m: shop.weekend.station(m).place for m in machine_s if m in able}
        return Job(activity=activity, begin=begin, alone_s={}, places=places)
    return _unattended(shop, activity, machine_s)


def _task(shop: _Shop, task: Task, seconds: int) -> Job:
    able = [team for team in shop.teams if team.people[0].id in task.people]
    begin = possible(_task_mode(shop, task, team, seconds) for team in able)
    return Job(
        activity=task,
        begin=begin,
        alone_s={},
        places={"": task.place},
        size=task.crew,
        crews=crews_of(begin, task.crew),
    )


def _going(shop: _Shop, run: Run, going: Going) -> Job:
    """A run that goes on already: on its machine from the beginning, and to be cleared."""
    left_s = {going.machine: whole_s(going.seconds.likely)}
    tends = {machine: _on(run, machine).clear_s for machine in left_s}
    clear = possible(_tends(shop, run, tends)) if any(tends.values()) else ()
    places = {going.machine: shop.weekend.station(going.machine).place}
    return Job(activity=run, begin=(), clear=clear, alone_s=left_s, places=places, going=True)


def _unattended(shop: _Shop, run: Run, machine_s: Mapping[str, int]) -> Job:
    alone_s = {m: s for m, s in machine_s.items() if _runs_somewhen(shop.weekend, m, s)}
    if not alone_s:
        raise NoRoom(run.id)
    own = {machine: _on(run, machine) for machine in alone_s}
    watch_s = {machine: mine.watched_s for machine, mine in own.items()}
    starts = {machine: mine.start_s + watch_s[machine] for machine, mine in own.items()}
    clears = {machine: mine.clear_s for machine, mine in own.items()}
    begin = possible(_tends(shop, run, starts, watch_s)) if any(starts.values()) else ()
    clear = possible(_tends(shop, run, clears)) if any(clears.values()) else ()
    places = {machine: shop.weekend.station(machine).place for machine in alone_s}
    return Job(activity=run, begin=begin, clear=clear, alone_s=alone_s, places=places)


def _on(run: Run, machine: str) -> Run:
    """The run as it is on a machine."""
    return run.at(next(choice for choice in run.choices if choice.machine == machine))


def _tended_s(run: Run, machine: str) -> int:
    mine = _on(run, machine)
    return mine.start_s + mine.clear_s


def _runs_somewhen(weekend: Weekend, machine: str, seconds: int) -> bool:
    return weekend.station(machine).windows.first_fit(0, seconds) < NEVER


def _task_mode(shop: _Shop, task: Task, team: Team, seconds: int) -> Mode:
    return Mode(
        team=team,
        place=task.place,
        machines=(),
        seconds=seconds,
        windows=_open_to(shop, team, task, task.place),
        splittable=task.splittable and seconds > 0,
    )


def _tends(
    shop: _Shop,
    run: Run,
    hands_s: Mapping[str, int],
    watch_s: Mapping[str, int] = MappingProxyType({}),
) -> Iterable[Mode]:
    """Ways to tend a machine; machines that make no difference to the hands share one."""
    always = Windows.always(shop.weekend.begin_s, shop.weekend.horizon_s)
    alike: dict[tuple[str, int, int, Windows], list[str]] = {}
    for machine, seconds in hands_s.items():
        station = shop.weekend.station(machine)
        windows = station.windows if run.attended else always
        watch = watch_s.get(machine, 0)
        alike.setdefault((station.place, seconds, watch, windows), []).append(machine)
    for (place, seconds, watch, windows), machines in alike.items():
        for team in shop.teams:
            yield Mode(
                team=team,
                place=place,
                machines=tuple(machines),
                seconds=seconds,
                windows=_open_to(shop, team, run, place) & windows,
                watch_s=watch,
            )


def _open_to(shop: _Shop, team: Team, activity: Activity, place: str) -> Windows:
    """When somebody can be at a place for an activity, the first way there behind them."""
    site = next(site for site in shop.weekend.sites if site.id == place)
    there_s = shop.weekend.begin_s + shop.ways.get((team.at, place), 0)
    windows = team.windows & site.windows
    return windows.clipped(max(there_s, due_s(activity)), shop.weekend.horizon_s)
