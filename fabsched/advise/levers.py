"""Changed weekends: with longer hours of a place or a person, one more pair of hands or machine."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from fabsched.advise.fits import Fit, Lever
from fabsched.model.plan import Plan
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Activity, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.names import Namer

LONGER_S = (HOUR_S, 2 * HOUR_S)
"""So much longer a place could be open on one day (our own choice)."""

AWAKE_S = HOUR_S
"""So much earlier somebody could begin, or later end, on one day (our own choice)."""

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
    for station in stations:
        yield _doubled(weekend, station)


def _open_longer(weekend: Weekend, site: Site) -> Iterator[Changed]:
    """A place opens earlier or closes later on one day."""
    for start_s, end_s in _soon(weekend, site.windows):
        for more_s in LONGER_S:
            for span in ((start_s - more_s, start_s), (end_s, end_s + more_s)):
                if _is_new(weekend, site, span):
                    fit = _asked(Lever.HOURS, site, span)
                    open_ = replace(site, windows=site.windows | Windows.of([span]))
                    yield Changed(
                        fit=fit, weekend=replace(weekend, sites=_with(weekend.sites, open_))
                    )


def _with(those: tuple[OpenT, ...], this: OpenT) -> tuple[OpenT, ...]:
    return tuple(this if each.id == this.id else each for each in those)


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
        before = (start_s - AWAKE_S, start_s), (start_s - NIGHT_S, start_s)
        after = (end_s, end_s + AWAKE_S), (end_s, end_s + NIGHT_S)
        for span, night in (before, after):
            if _is_inside(weekend, span) and not hands.windows.open_s(*night):
                fit = _asked(Lever.AWAKE, hands, span)
                up = replace(hands, windows=hands.windows | Windows.of([span]))
                yield Changed(fit=fit, weekend=replace(weekend, hands=_with(weekend.hands, up)))


def _helped(weekend: Weekend) -> Iterator[Changed]:
    """Somebody comes to help the first of those who work, for some hours of their day."""
    if not weekend.hands:
        return
    first = weekend.hands[0]
    ident = Namer(hands.id for hands in weekend.hands).fresh("helper")
    for start_s, _ in _soon(weekend, first.windows):
        for help_s in HELP_S:
            end_s = start_s + help_s
            fit = Fit(code=Lever.HANDS, size_s=help_s, from_s=start_s, until_s=end_s)
            windows = first.windows.clipped(start_s, end_s)
            hands = replace(first, id=ident, at="", windows=windows)
            yield Changed(fit=fit, weekend=_with_hands(weekend, first, hands))


def _with_hands(weekend: Weekend, first: Hands, helper: Hands) -> Weekend:
    """Somebody who can do what another one can."""

    def able(activity: Activity) -> Activity:
        if isinstance(activity, Run) or first.id not in activity.people:
            return activity
        return replace(activity, people=(*activity.people, helper.id))

    activities = tuple(able(activity) for activity in weekend.activities)
    return replace(weekend, hands=(*weekend.hands, helper), activities=activities)


def _doubled(weekend: Weekend, station: Station) -> Changed:
    """A second machine of the same kind beside one there is."""
    ident = Namer(each.id for each in weekend.stations).fresh(station.id)

    def also(activity: Activity) -> Activity:
        if isinstance(activity, Task):
            return activity
        twins = [replace(c, machine=ident) for c in activity.choices if c.machine == station.id]
        return replace(activity, choices=(*activity.choices, *twins))

    activities = tuple(also(activity) for activity in weekend.activities)
    stations = (*weekend.stations, replace(station, id=ident))
    fit = Fit(code=Lever.MACHINE, subject=station.id, name=station.name)
    return Changed(fit=fit, weekend=replace(weekend, stations=stations, activities=activities))


def _soon(weekend: Weekend, windows: Windows) -> Iterator[tuple[int, int]]:
    """The first windows that begin before the deadline."""
    spans = [span for span in windows if span[0] < weekend.deadline_s]
    yield from spans[:MOST_WINDOWS]
