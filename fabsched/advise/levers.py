"""Changed weekends: with longer hours of a place or a person, one more pair of hands or machine."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from fabsched.advise.fits import OF_LOG, Fit, Lever
from fabsched.model.plan import Plan
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Activity, Bound, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.names import Namer

LONGER_S = (HOUR_S, 2 * HOUR_S, 3 * HOUR_S, 4 * HOUR_S)
"""So much longer a place could be open on one day (our own choice)."""

AWAKE_S = (HOUR_S, 2 * HOUR_S)
"""So much earlier somebody could begin, or later end, on one day (our own choice)."""

SOONER_S = (2 * HOUR_S, 4 * HOUR_S, 12 * HOUR_S, 24 * HOUR_S)
"""So much sooner something could be delivered (our own choice)."""

NIGHT_S = 4 * HOUR_S
"""A person's hours that lie further apart end a day; what is shorter is a pause (our own choice)."""

HELP_S = (2 * HOUR_S, 4 * HOUR_S, 8 * HOUR_S)
"""So long somebody could come to help on one day, pauses included (our own choice)."""

MOST_WINDOWS = 8
"""Of a place's or a person's windows, so many are looked at: a weekend has no more."""


OpenT = TypeVar("OpenT", Site, Hands)


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A weekend with something changed.

    Attributes:
        fit: what is changed; what becomes of it is not known yet.
        weekend: with the change.
    """

    fit: Fit
    weekend: Weekend


def levers(weekend: Weekend, plan: Plan) -> Iterator[Changed]:
    """Every change that can be seen from the weekend alone.

    Args:
        weekend: what was planned.
        plan: what was decided; places and machines it does not use are passed over.
    """
    carried = [a for a in weekend.activities if a.id in plan.order and a.id not in plan.dropped]
    machines = {c.machine for a in carried if isinstance(a, Run) for c in a.choices}
    stations = [station for station in weekend.stations if station.id in machines]
    places = {s.place for s in stations} | {a.place for a in carried if isinstance(a, Task)}
    for site in weekend.sites:
        if site.id in places:
            yield from _open_longer(weekend, site)
    for hands in weekend.hands:
        yield from _awake_longer(weekend, hands)
    yield from _helped(weekend)
    yield from _sooner(weekend, carried)
    kinds = {_kind(weekend, station): station for station in reversed(stations)}
    for station in reversed(kinds.values()):
        yield _twinned(weekend, station)


def put_to(weekend: Weekend, fit: Fit) -> Weekend:
    """A weekend with a change that `levers` told, or with all of a set of them.

    Other changes leave it as it is: they are no matter of the weekend alone.
    """
    for each in fit.each:
        weekend = _put(weekend, each)
    return _come(weekend, [each for each in fit.each if each.code in OF_LOG])


def _put(weekend: Weekend, fit: Fit) -> Weekend:
    if fit.code is Lever.HOURS:
        return replace(weekend, sites=_longer(weekend.sites, fit))
    if fit.code is Lever.AWAKE:
        return replace(weekend, hands=_longer(weekend.hands, fit))
    if fit.code is Lever.MACHINE:
        return _doubled(weekend, weekend.station(fit.subject))
    if fit.code is Lever.DEADLINE:
        return replace(weekend, deadline_s=fit.until_s)
    put = {Lever.HANDS: _with_helper, Lever.ARRIVAL: _delivered}.get(fit.code)
    return put(weekend, fit) if put else weekend


def _changed(weekend: Weekend, fit: Fit) -> Changed:
    return Changed(fit=fit, weekend=_put(weekend, fit))


def _longer(those: tuple[OpenT, ...], fit: Fit) -> tuple[OpenT, ...]:
    """All of them, one with such hours as well."""
    more = Windows.of([(fit.from_s, fit.until_s)])
    return tuple(
        replace(each, windows=each.windows | more) if each.id == fit.subject else each
        for each in those
    )


def _open_longer(weekend: Weekend, site: Site) -> Iterator[Changed]:
    """A place opens earlier or closes later on one day; on a day it is closed it opens for some hours."""
    spans = list(_soon(weekend, site.windows))
    for start_s, end_s in spans:
        for more_s in LONGER_S:
            for span in ((start_s - more_s, start_s), (end_s, end_s + more_s)):
                if _is_new(weekend, site, span):
                    yield _changed(weekend, _asked(Lever.HOURS, site, span))
    for hands in weekend.hands[:1]:
        yield from _opened(weekend, site, hands)


def _opened(weekend: Weekend, site: Site, hands: Hands) -> Iterator[Changed]:
    """A place is open for some hours from when somebody is up, where it is closed from then on."""
    for start_s, _ in _soon(weekend, hands.windows):
        closed = not site.windows.open_s(start_s, start_s + HELP_S[-1])
        for more_s in HELP_S if closed else ():
            span = (start_s, start_s + more_s)
            if _is_new(weekend, site, span):
                yield _changed(weekend, _asked(Lever.HOURS, site, span))


def _asked(code: Lever, whose: Site | Hands, span: tuple[int, int]) -> Fit:
    """That a place or a person has such hours as well."""
    return Fit(
        code=code,
        subject=whose.id,
        name=whose.name,
        size_s=span[1] - span[0],
        from_s=span[0],
        until_s=span[1],
    )


def _is_new(weekend: Weekend, site: Site, span: tuple[int, int]) -> bool:
    """Whether it was closed then, and somebody could come."""
    somebody = any(hands.windows.open_s(*span) for hands in weekend.hands)
    return _is_inside(weekend, span) and somebody and not site.windows.open_s(*span)


def _is_inside(weekend: Weekend, span: tuple[int, int]) -> bool:
    return weekend.begin_s <= span[0] and span[1] <= weekend.deadline_s


def _awake_longer(weekend: Weekend, hands: Hands) -> Iterator[Changed]:
    """Somebody begins earlier or ends later on one day; pauses are left to them."""
    for start_s, end_s in _soon(weekend, hands.windows):
        for more_s in AWAKE_S:
            before = (start_s - more_s, start_s), (start_s - NIGHT_S, start_s)
            after = (end_s, end_s + more_s), (end_s, end_s + NIGHT_S)
            for span, night in (before, after):
                if _is_inside(weekend, span) and not hands.windows.open_s(*night):
                    yield _changed(weekend, _asked(Lever.AWAKE, hands, span))


def _helped(weekend: Weekend) -> Iterator[Changed]:
    """Somebody comes to help the first of those who work, for some hours of their day."""
    for first in weekend.hands[:1]:
        for start_s, _ in _soon(weekend, first.windows):
            for help_s in HELP_S:
                end_s = start_s + help_s
                fit = Fit(code=Lever.HANDS, size_s=help_s, from_s=start_s, until_s=end_s)
                yield _changed(weekend, fit)


def _with_helper(weekend: Weekend, fit: Fit) -> Weekend:
    """One more person who can do what the first one can."""
    first = weekend.hands[0]
    ident = Namer(hands.id for hands in weekend.hands).fresh("helper")
    windows = first.windows.clipped(fit.from_s, fit.until_s)
    helper = replace(first, id=ident, at="", windows=windows)

    def able(activity: Activity) -> Activity:
        if isinstance(activity, Run) or first.id not in activity.people:
            return activity
        return replace(activity, people=(*activity.people, helper.id))

    activities = tuple(able(activity) for activity in weekend.activities)
    return replace(weekend, hands=(*weekend.hands, helper), activities=activities)


def _sooner(weekend: Weekend, carried: list[Activity]) -> Iterator[Changed]:
    """Something that is waited for until an hour of its own comes sooner."""
    for activity in carried:
        wait_s = activity.earliest_s - weekend.begin_s
        if isinstance(activity, Task) and activity.bound is Bound.SET and wait_s > 0:
            for sooner_s in (each for each in SOONER_S if each <= wait_s):
                fit = Fit(
                    code=Lever.ARRIVAL,
                    subject=activity.of or activity.id,
                    name=activity.name,
                    size_s=sooner_s,
                    from_s=activity.earliest_s - sooner_s,
                )
                yield _changed(weekend, fit)


def _delivered(weekend: Weekend, fit: Fit) -> Weekend:
    """With what one work waits for there sooner."""

    def sooner(activity: Activity) -> Activity:
        own = isinstance(activity, Task) and (activity.of or activity.id) == fit.subject
        earliest_s = min(activity.earliest_s, fit.from_s)
        return replace(activity, earliest_s=earliest_s) if own else activity

    return replace(weekend, activities=tuple(sooner(a) for a in weekend.activities))


def _come(weekend: Weekend, sooner: list[Fit]) -> Weekend:
    """With all that comes sooner there by then: what waits for several of them starts with the last."""
    comes = {fit.subject: fit.from_s for fit in sooner}
    holds = {hold.activity: hold for fit in sooner for hold in fit.holds}

    def freed(activity: Activity) -> Activity:
        hold = holds.get(activity.id)
        if hold is None:
            return activity
        last_s = max((comes.get(ident, moment_s) for ident, moment_s in hold.comes), default=0)
        return replace(activity, earliest_s=min(activity.earliest_s, max(hold.free_s, last_s)))

    return replace(weekend, activities=tuple(map(freed, weekend.activities))) if holds else weekend


def _kind(weekend: Weekend, station: Station) -> tuple[object, ...]:
    """What makes a machine another one to a plan: a second one like it is told once for all alike."""
    takes = (
        (activity.id, replace(choice, machine=""))
        for activity in weekend.activities
        if isinstance(activity, Run)
        for choice in activity.choices
        if choice.machine == station.id
    )
    return station.place, station.windows, tuple(takes)


def _twinned(weekend: Weekend, station: Station) -> Changed:
    """A second machine of the same kind beside one there is."""
    fit = Fit(code=Lever.MACHINE, subject=station.id, name=station.name)
    return _changed(weekend, fit)


def _doubled(weekend: Weekend, station: Station) -> Weekend:
    ident = Namer(each.id for each in weekend.stations).fresh(station.id)

    def also(activity: Activity) -> Activity:
        if isinstance(activity, Task):
            return activity
        twins = [replace(c, machine=ident) for c in activity.choices if c.machine == station.id]
        return replace(activity, choices=(*activity.choices, *twins))

    activities = tuple(also(activity) for activity in weekend.activities)
    stations = (*weekend.stations, replace(station, id=ident))
    return replace(weekend, stations=stations, activities=activities)


def _soon(weekend: Weekend, windows: Windows) -> Iterator[tuple[int, int]]:
    """The first windows that begin before the deadline."""
    spans = [span for span in windows if span[0] < weekend.deadline_s]
    yield from spans[:MOST_WINDOWS]
