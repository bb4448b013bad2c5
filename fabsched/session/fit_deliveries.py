"""Components and deliveries that could come sooner than told, or than if they are ordered now.

Heavy: imported when a request runs. What they hold up is found by laying the weekend out as if all of
them had come: so nothing here has to know how they do it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fabsched.advise.fits import Fit, Hold, Lever
from fabsched.advise.levers import MOST_WINDOWS, SOONER_S, Changed, put_to
from fabsched.model.errors import InputError
from fabsched.model.log import Entry, Event, Meant
from fabsched.model.state import state_of
from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S
from fabsched.model.weekend import Activity, Bound, Run, Weekend
from fabsched.schedule.ordering import orders
from fabsched.session.fit_records import FitInput
from fabsched.session.inputs import PlanInput
from fabsched.session.replanning import left_of

STEP_S = 15 * MINUTE_S
"""Moments to have something by are told in quarters of an hour (our own choice)."""

DAYS_S = (2 * DAY_S, 3 * DAY_S, 5 * DAY_S)
"""So much sooner what is still to be ordered could come, beside `SOONER_S` (our own choice)."""

FETCHED_S = HOUR_S
"""So long after somebody is up they could have been to a shop nearby (our own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source:
    """Something from outside.

    Attributes:
        code: a component, or what a work waits for.
        id, name: of the component, or of that work.
        comes_s: when it comes.
        items: what needs it; all, if it is needed from the beginning.
    """

    code: Lever
    id: str
    name: str
    comes_s: int
    items: frozenset[str]


def earlier(given: FitInput) -> Iterator[Changed]:
    """Each of them in hand sooner, at every moment worth looking at.

    Where several hold the same up, one alone is weighed with the others coming as they do; together
    they are found as sets.
    """
    sources = [each for each in _sources(given.given) if each.comes_s > given.weekend.begin_s]
    holds = _holds(given, sources)
    for source in sources:
        mine = tuple(hold for hold in holds if source.id in dict(hold.comes))
        for moment_s in _moments(given, source) if mine else ():
            fit = Fit(
                code=source.code,
                subject=source.id,
                name=source.name,
                size_s=source.comes_s - moment_s,
                from_s=moment_s,
                holds=mine,
            )
            yield Changed(fit=fit, weekend=put_to(given.weekend, fit))


def _sources(given: PlanInput) -> Iterator[_Source]:
    project, state = given.project, state_of(given.entries)
    ordered = {each.id: each.comes_s for each in orders(project, given.now_s, state.earliest_s)}
    comes = {**ordered, **state.earliest_s}
    everything = frozenset(item.id for item in project.items)
    for each in project.components:
        if comes.get(each.id):
            yield _Source(
                code=Lever.COMPONENT,
                id=each.id,
                name=each.name,
                comes_s=comes[each.id],
                items=frozenset(each.needed_by) or everything,
            )
    for work in (*project.works, *project.gates):
        if work.not_before is not None and state.earliest_s.get(work.id):
            yield _Source(
                code=Lever.DELIVERY,
                id=work.id,
                name=work.name,
                comes_s=state.earliest_s[work.id],
                items=frozenset({work.id}),
            )


def _holds(given: FitInput, sources: list[_Source]) -> tuple[Hold, ...]:
    """What each activity that is held up waits for."""
    held = [a for a in given.weekend.activities if a.bound in {Bound.TOLD, Bound.ORDER}]
    if not held or not sources:
        return ()
    try:
        free = {
            a.id: a.earliest_s for a in left_of(_all_come(given.given, sources)).weekend.activities
        }
    except InputError:  # it cannot be laid out without them either
        return ()
    found = ((each, _waited_for(each, sources)) for each in held if each.id in free)
    return tuple(
        Hold(activity=each.id, free_s=free[each.id], comes=comes) for each, comes in found if comes
    )


def _all_come(given: PlanInput, sources: list[_Source]) -> PlanInput:
    """As if the log told that all of them had come."""
    first = max((entry.id for entry in given.entries), default=0) + 1
    come = (
        Entry(
            kind=Event.ARRIVED,
            id=number,
            moment_s=given.now_s,
            noted_s=given.now_s,
            subject=source.id,
            meant=_meant(source),
        )
        for number, source in enumerate(sources, start=first)
    )
    return replace(given, entries=(*given.entries, *come))


def _meant(source: _Source) -> Meant:
    """A component is told with what needs it."""
    if source.code is not Lever.COMPONENT:
        return Meant()
    return Meant(name=source.name, items=tuple((item, 1) for item in sorted(source.items)))


def _waited_for(activity: Activity, sources: list[_Source]) -> tuple[tuple[str, int], ...]:
    mine = _items(activity)
    return tuple((each.id, each.comes_s) for each in sources if mine & each.items)


def _items(activity: Activity) -> frozenset[str]:
    if isinstance(activity, Run):
        return frozenset(part for part, _ in activity.cargo)
    return frozenset({activity.id, activity.of})


def _moments(given: FitInput, source: _Source) -> list[int]:
    """When it could be there instead: sooner by some hours or days, or once somebody has been out.

    None before the present moment, and none at which nobody is up.
    """
    weekend = given.weekend
    least_s = max(weekend.begin_s, given.given.now_s) + STEP_S
    sooner = [source.comes_s - size_s for size_s in (*SOONER_S, *DAYS_S)]
    moments = (each // STEP_S * STEP_S for each in (*sooner, *_fetched(weekend)))
    return sorted({m for m in moments if least_s <= m < source.comes_s and _is_up(weekend, m)})


def _fetched(weekend: Weekend) -> list[int]:
    """An hour after the first of those who work is up, on each day."""
    spans = [span for hands in weekend.hands[:1] for span in hands.windows]
    return [start_s + FETCHED_S for start_s, _ in spans[:MOST_WINDOWS]]


def _is_up(weekend: Weekend, moment_s: int) -> bool:
    return any(hands.windows.open_s(moment_s - STEP_S, moment_s) for hands in weekend.hands)
