"""From the project as people write it to the weekend as planning sees it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from types import MappingProxyType

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Project
from fabsched.model.references import check_references
from fabsched.model.shop import Machine, Shop
from fabsched.model.weekend import NO_TIME, Activity, Hands, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule import early
from fabsched.schedule.beds import Estimates
from fabsched.schedule.decisions import Candidates, decisions
from fabsched.schedule.items import Items
from fabsched.schedule.making import made
from fabsched.schedule.names import Namer
from fabsched.schedule.pins import pinned
from fabsched.schedule.reach import check_hours, has_time
from fabsched.schedule.ways import ways

PERSON = '[[person]] id = "me" base = "home" hours = "Mo-Su 09:00-22:00"'
"""What one writes so that there is somebody, in one line."""


NOBODY_AWAY: Mapping[str, Windows] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The time a weekend is planned in.

    Attributes:
        begin_s: nothing happens before.
        horizon_s: hours are known up to here.
    """

    begin_s: int
    horizon_s: int


def weekend_of(  # noqa: PLR0913 - what there is, from when to when
    project: Project,
    shop: Shop,
    estimates: Mapping[str, Estimates],
    hours: Mapping[str, Windows],
    *,
    now_s: int,
    horizon_s: int,
    away: Mapping[str, Windows] = NOBODY_AWAY,
) -> Weekend:
    """Everything a planner needs to know about a project in a shop.

    Args:
        project: what is wanted.
        shop: what there is.
        estimates: for one copy, by part id and machine id.
        hours: when each place, person and machine is open, up or may run, by id.
        now_s: the present moment.
        horizon_s: hours are known up to here; later than the deadline.
        away: when people are not even there asleep, by id; of others it is not known.

    Raises:
        InputError: names are unknown or wait in a circle, nobody or no machine can do something,
            hours never meet, the deadline has passed or there is nothing to plan.
    """
    if not project.items:
        raise InputError(Fault.NOTHING_TO_PLAN, "project.toml")
    if not shop.people:
        raise InputError(Fault.FIELD_MISSING, "shop.toml: person", example=PERSON)
    check_references(project)
    start_s = _start_s(project, now_s)
    up = [hours[person.id] for person in shop.people]
    begin_s = early.begin_s(project, up, now_s=now_s, start_s=start_s)
    span = Span(begin_s=begin_s, horizon_s=horizon_s)
    weekend = Weekend(
        zone=project.zone.key,
        begin_s=span.begin_s,
        deadline_s=_moment_s(project.deadline),
        horizon_s=horizon_s,
        hands=_hands(shop, hours, away, span),
        sites=_sites(shop, hours, span),
        stations=_stations(shop, hours, span),
        activities=(),
        wanted_odds=project.wanted_odds,
    )
    candidates = _candidates(project, shop, estimates)
    activities, swaps = decisions(candidates, lambda activity: has_time(weekend, activity))
    travel_s = ways(shop, _places(shop, activities))
    if begin_s < start_s:
        activities = early.held_to_start(activities, project, start_s)
    weekend = replace(weekend, activities=activities, swaps=swaps, travel_s=travel_s)
    weekend = pinned(weekend, project.pins)
    check_hours(weekend, project)
    return weekend


def _candidates(project: Project, shop: Shop, estimates: Mapping[str, Estimates]) -> Candidates:
    items = Items(project)
    namer = Namer(item.id for item in project.items)
    return Candidates.of(items, made(items.spelled_out, shop, estimates, namer), shop, namer)


def _start_s(project: Project, now_s: int) -> int:
    begin_s = max(now_s, _moment_s(project.start) if project.start else now_s)
    if _moment_s(project.deadline) <= begin_s:
        begin = datetime.fromtimestamp(begin_s, UTC).astimezone(project.zone)
        facts = {"deadline": _text(project.deadline), "now": _text(begin)}
        raise InputError(Fault.DEADLINE_PAST, "project.toml: deadline", **facts)
    return begin_s


def _moment_s(moment: datetime) -> int:
    return int(moment.timestamp())


def _text(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")


def _hands(
    shop: Shop, hours: Mapping[str, Windows], away: Mapping[str, Windows], span: Span
) -> tuple[Hands, ...]:
    return tuple(
        Hands(
            id=p.id,
            name=p.name,
            base=p.base,
            windows=_clipped(hours[p.id], span),
            away=_clipped(away.get(p.id, NO_TIME), span),
        )
        for p in shop.people
    )


def _sites(shop: Shop, hours: Mapping[str, Windows], span: Span) -> tuple[Site, ...]:
    return tuple(
        Site(id=p.id, name=p.name, windows=_clipped(hours[p.id], span)) for p in shop.places
    )


def _stations(shop: Shop, hours: Mapping[str, Windows], span: Span) -> tuple[Station, ...]:
    return tuple(
        Station(id=m.id, name=m.name, place=m.place, windows=_clipped(hours[m.id], span))
        for m in _machines(shop)
    )


def _machines(shop: Shop) -> tuple[Machine, ...]:
    return (*shop.printers, *shop.lasers)


def _clipped(windows: Windows, span: Span) -> Windows:
    return windows.clipped(span.begin_s, span.horizon_s)


def _places(shop: Shop, activities: tuple[Activity, ...]) -> list[str]:
    """Places somebody has to come to, or starts from, each once."""
    machines = {m.id: m.place for m in _machines(shop)}
    places = [person.base for person in shop.people]
    for activity in activities:
        if isinstance(activity, Task):
            places.append(activity.place)
        else:
            places += [machines[choice.machine] for choice in activity.choices]
    return list(dict.fromkeys(places))
