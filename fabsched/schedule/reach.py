"""Whether there is a time for everything at all, before anything is planned."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import reduce
from itertools import combinations
from operator import and_
from zoneinfo import ZoneInfo

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Part, Project, Work
from fabsched.model.references import where_of
from fabsched.model.steps import Hours, spot_on
from fabsched.model.units import MINUTE_S, whole_s
from fabsched.model.weekend import Activity, Hands, Run, Site, Weekend
from fabsched.model.windows import NEVER, Windows

MOST_OPEN = 4
"""So many times a place is open or somebody is free are told where they do not suffice (our own choice)."""


@dataclass(frozen=True, slots=True)
class _Need:
    """Some time an activity needs, and what offers it.

    Attributes:
        who: names of those who could give it.
        seconds: how much of it.
        whole: whether in one go.
        offers: open time, one for each of them; one for each crew, if it takes several.
    """

    who: tuple[str, ...]
    seconds: int
    whole: bool
    offers: tuple[Windows, ...]

    def met_from(self, moment_s: int) -> bool:
        return any(
            (offer.first_fit if self.whole else offer.add)(moment_s, self.seconds) != NEVER
            for offer in self.offers
        )


@dataclass(frozen=True, slots=True)
class _Start:
    """Hands that start a machine, which then has to be free to run.

    Attributes:
        who: names of those who could do it, and of the machine.
        hands_s: how long hands are needed, watching it included.
        before_s: after how much of that the machine runs.
        alone_s: how long the machine then runs.
        hands: open time of hands, one for each of them.
        machine: when the machine may run, for each of them.
    """

    who: tuple[str, ...]
    hands_s: int
    before_s: int
    alone_s: int
    hands: tuple[Windows, ...]
    machine: tuple[Windows, ...]

    @property
    def seconds(self) -> int:
        return max(self.hands_s, self.before_s + self.alone_s)

    def met_from(self, moment_s: int) -> bool:
        both = zip(self.hands, self.machine, strict=True)
        return any(self._met(windows, machine, moment_s) for windows, machine in both)

    def _met(self, windows: Windows, machine: Windows, moment_s: int) -> bool:
        """Each turn leaves a window behind, so that there are few."""
        start_s = windows.first_fit(moment_s, self.hands_s)
        while start_s < NEVER:
            runs_s = machine.first_fit(start_s + self.before_s, self.alone_s)
            if runs_s == start_s + self.before_s:
                return True
            start_s = windows.first_fit(runs_s - self.before_s, self.hands_s)
        return False


def check_hours(weekend: Weekend, project: Project) -> None:
    """Refuse a weekend in which some step finds no open hours before the horizon.

    Every activity is looked at alone, with its likely time; whether all of them find room together
    is for the planner to find out.

    Raises:
        InputError: `HOURS_NEVER_MEET`, naming who could do it and for how long, or `RUN_TOO_LONG`
            where fewer copies at once would do; or it may only start when no hours are known any
            more.
    """
    for activity in weekend.activities:
        _check_begin(weekend, activity, project)
        failing = _failing(weekend, activity)
        if all(failing):
            _check_copies(weekend, activity, project)
            need = failing[0][0]
            raise InputError(
                Fault.HOURS_NEVER_MEET,
                _where(activity, project),
                from_time=_text(_start_s(weekend, activity), project.zone),
                to_time=_text(weekend.horizon_s, project.zone),
                who=", ".join(need.who),
                minutes=math.ceil(need.seconds / MINUTE_S),
                opens=_opens(weekend, activity, project.zone),
                frees=_frees(weekend, activity, project.zone),
            )


def has_time(weekend: Weekend, activity: Activity) -> bool:
    """Whether an activity alone finds open hours before the horizon, with its likely time."""
    return not all(_failing(weekend, activity))


def _failing(weekend: Weekend, activity: Activity) -> list[list[_Need | _Start]]:
    """For each way to do an activity, what it needs and does not find."""
    start_s = _start_s(weekend, activity)
    return [
        [need for need in way if not need.met_from(start_s)]
        for way in _ways_to_do(weekend, activity)
    ]


def _start_s(weekend: Weekend, activity: Activity) -> int:
    return max(weekend.begin_s, activity.earliest_s)


def _check_begin(weekend: Weekend, activity: Activity, project: Project) -> None:
    if activity.earliest_s >= weekend.horizon_s:
        raise InputError(
            Fault.FIELD_OUT_OF_RANGE,
            where_of(_item(activity, project), "not_before"),
            value=_text(activity.earliest_s, project.zone),
            low=_text(weekend.begin_s, project.zone),
            high=_text(weekend.horizon_s, project.zone),
        )


def _check_copies(weekend: Weekend, activity: Activity, project: Project) -> None:
    """Say so if a bed is only too full: fewer copies would fit into the hours of a machine."""
    if not isinstance(activity, Run) or activity.attended:
        return
    copies = sum(count for _, count in activity.cargo)
    for choice in activity.choices:
        station, seconds = weekend.station(choice.machine), choice.seconds.likely
        longest_s = max((end - start for start, end in station.windows), default=0)
        fewer = math.floor(copies * longest_s / seconds)
        if 1 <= fewer < copies:
            raise InputError(
                Fault.RUN_TOO_LONG,
                where_of(_item(activity, project), "per_run"),
                copies=copies,
                minutes=math.ceil(seconds / MINUTE_S),
                machine=station.name,
                from_time=_text(weekend.begin_s, project.zone),
                to_time=_text(weekend.horizon_s, project.zone),
                fewer=fewer,
            )


def _ways_to_do(weekend: Weekend, activity: Activity) -> Iterator[tuple[_Need | _Start, ...]]:
    """What an activity needs; for runs, on each machine that could take it."""
    if isinstance(activity, Run):
        for choice in activity.choices:
            mine = activity.at(choice)
            yield _on(weekend, mine, choice.machine, whole_s(choice.seconds.likely))
    else:
        people = [person for person in weekend.hands if person.id in activity.people]
        seconds = whole_s(activity.seconds.likely)
        always = Windows.always(weekend.begin_s, weekend.horizon_s)
        whole = not activity.splittable
        alone = _hands(weekend, people, activity.place, always, seconds, whole=whole)
        crews = combinations(alone.offers, activity.crew)
        yield (replace(alone, offers=tuple(reduce(and_, crew) for crew in crews)),)


def _on(weekend: Weekend, run: Run, machine: str, machine_s: int) -> tuple[_Need | _Start, ...]:
    """What a run needs on one machine."""
    station = weekend.station(machine)
    everybody = list(weekend.hands)
    if run.attended:
        whole_run_s = run.start_s + machine_s + run.clear_s
        return (_hands(weekend, everybody, station.place, station.windows, whole_run_s),)
    always = Windows.always(weekend.begin_s, weekend.horizon_s)
    hours, spot = Hours(weekend), spot_on(weekend, run, machine)
    begin_s = run.start_s + run.watched_s
    hands = _hands(weekend, everybody, station.place, always, max(begin_s, run.clear_s))
    return (
        _Need((station.name,), machine_s, True, (station.windows,)),
        hands,
        _Start(
            who=(station.name, *hands.who),
            hands_s=begin_s,
            before_s=run.start_s,
            alone_s=machine_s,
            hands=hands.offers,
            machine=tuple(hours.may_run(person, spot) for person in everybody),
        ),
    )


def _hands(
    weekend: Weekend,
    people: list[Hands],
    place: str,
    also: Windows,
    seconds: int,
    *,
    whole: bool = True,
) -> _Need:
    site = next(site for site in weekend.sites if site.id == place)
    return _Need(
        who=tuple(person.name for person in people),
        seconds=seconds,
        whole=whole,
        offers=tuple(person.windows & site.windows & also for person in people),
    )


def _where(activity: Activity, project: Project) -> str:
    field = "route" if isinstance(activity, Run) else "minutes"
    return where_of(_item(activity, project), field)


def _item(activity: Activity, project: Project) -> Part | Work:
    """The part or work an activity makes, the first one if it makes several."""
    made = activity.cargo[0][0] if isinstance(activity, Run) else activity.of
    return next(item for item in project.items if item.id == made)


def _opens(weekend: Weekend, activity: Activity, zone: ZoneInfo) -> str:
    """The places it could be done at, each with its first hours as pairs of moments.

    One place a line: its name, then `from/until` for each time it is open, after bars. A place that
    is always open is left out.
    """
    start_s, end_s = _start_s(weekend, activity), weekend.horizon_s
    places = (
        [weekend.station(choice.machine).place for choice in activity.choices]
        if isinstance(activity, Run)
        else [activity.place]
    )
    sites = (site for site in weekend.sites if site.id in places)
    return _spans_of(sites, (start_s, end_s), zone)


def _frees(weekend: Weekend, activity: Activity, zone: ZoneInfo) -> str:
    """Those who could do it, each with their first hours, pauses left out; written as for places."""
    able = (
        person
        for person in weekend.hands
        if isinstance(activity, Run) or person.id in activity.people
    )
    return _spans_of(able, (_start_s(weekend, activity), weekend.horizon_s), zone)


def _spans_of(those: Iterable[Site | Hands], within: tuple[int, int], zone: ZoneInfo) -> str:
    """One place or person a line; whoever has no closed hours is left out."""
    lines = []
    for each in those:
        spans = each.windows.clipped(*within).spans
        if spans != (within,):
            hours = (f"{_text(one, zone)}/{_text(other, zone)}" for one, other in spans[:MOST_OPEN])
            lines.append("|".join((each.name, *hours)))
    return "\n".join(lines)


def _text(moment_s: int, zone: ZoneInfo) -> str:
    return datetime.fromtimestamp(moment_s, zone).isoformat(timespec="minutes")
