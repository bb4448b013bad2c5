"""A weekend that is under way: what happened is fixed, what runs goes on, the rest is still to do.

A pure change of the weekend as it was laid out for its beginning. Nothing of the past is planned
again: what is done is gone from it, and kept aside only for gates that may have it done again.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from fabsched.model.log import Event, Sort
from fabsched.model.spread import Spread
from fabsched.model.state import Loss, State, Stint
from fabsched.model.weekend import (
    AGAIN,
    Activity,
    Bound,
    Hands,
    Run,
    Site,
    Station,
    Task,
    Weekend,
)
from fabsched.model.windows import Windows
from fabsched.odds.lateness import overdue
from fabsched.odds.truths import Factor
from fabsched.schedule.decided import decided
from fabsched.schedule.early_looks import looked_at_already
from fabsched.schedule.happened import Matched, credited, matched
from fabsched.schedule.ordering import items_of
from fabsched.schedule.progress import left_of_run
from fabsched.schedule.remedies import NO_TIME, clearing_of, freed, left_out, remedied
from fabsched.schedule.shortened import Now, shortened
from fabsched.schedule.watchers import with_watchers

LaneT = TypeVar("LaneT", Site, Station, Hands)


@dataclass(frozen=True, slots=True)
class _Waits:
    """What may be late although nobody said by how much.

    Attributes:
        late: by how many seconds; None if nothing ever is.
        outside: items that wait for something from outside.
    """

    late: Spread | None
    outside: frozenset[str]

    def late_of(self, mentioned: frozenset[str]) -> Spread | None:
        """Lateness of what was told to come for an activity; None where that is for sure."""
        return self.late if self.outside & mentioned else None


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A weekend that is under way.

    Attributes:
        weekend: what is left of it. Activities keep their ids. Work in progress takes what is left
            of it and stays with whoever does it; a machine with something on it that is no activity
            holds a run of its own (`remedies.clear_id`), which only has to be cleared.
        done: how what is done was done, by id of the activity.
        going: what is worked on, by id of the activity.
    """

    weekend: Weekend
    done: dict[str, Stint]
    going: dict[str, Stint]

    @property
    def finished_s(self) -> int | None:
        """When the last of it was done, if nothing needed is left to do; else None."""
        if any(activity.needed for activity in self.weekend.activities):
            return None
        needed = {activity.id for activity in self.weekend.settled if activity.needed}
        stints = (stint for ident, stint in self.done.items() if ident in needed)
        return max((stint.end_s for stint in stints if stint.end_s is not None), default=None)

    @property
    def by_hand(self) -> tuple[str, ...]:
        """Ids of what hands are busy with."""
        return tuple(ident for ident, stint in self.going.items() if _by_hand(stint))


def under_way(
    weekend: Weekend,
    state: State,
    now_s: int,
    *,
    late: Spread | None = None,
    doubt: Factor | None = None,
    outside: frozenset[str] = frozenset(),
) -> UnderWay:
    """What is left of a weekend.

    Args:
        weekend: laid out for a moment before anything was told, so that its hours reach back.
        state: what the log says.
        now_s: the present moment.
        late: by how many seconds a component may come later than it was told to; None if it never is.
        doubt: what is not known of that; None if nothing is unknown.
        outside: items that wait for something from outside, by what the project says: told to come
            at another moment, they may be late like a component.
    """
    begin_s = max(now_s, weekend.begin_s)
    now = _now(weekend, state, begin_s)
    left = _left(now)
    left = remedied(left, state.remedies.values())
    left = left_out(left, _named(left, state.dropped))
    waits = _Waits(late, outside)
    left = replace(left, activities=tuple(_awaiting(now, left.activities, waits)))
    left = not_come(left, now_s, doubt)
    going = now.going.stints
    busy = frozenset(
        who for stint in going.values() if _by_hand(stint) for who in stint.meant.people
    )
    later = with_watchers(_from(begin_s, left, state), busy)
    return UnderWay(later, now.done.stints, going)


def _now(weekend: Weekend, state: State, now_s: int) -> Now:
    done = matched(weekend, state.done.values())
    rest = replace(
        weekend, activities=tuple(a for a in weekend.activities if a.id not in done.stints)
    )
    ended = [s for s in state.uncleared.values() if s.outcome is Event.FINISHED]
    going = matched(rest, [*state.going.values(), *ended])
    waiting = {ident: s for ident, s in going.stints.items() if s.end_s is not None}
    runs = {ident: s for ident, s in going.stints.items() if s.end_s is None}
    strays = going.strays
    return Now(
        weekend=weekend,
        state=state,
        now_s=now_s,
        done=done,
        going=Matched(runs, tuple(s for s in strays if s.end_s is None)),
        waiting=Matched(waiting, tuple(s for s in strays if s.end_s is not None)),
    )


def _left(now: Now) -> Weekend:
    """What is done leaves, what goes on is shortened, what was decided is decided."""
    choice = decided(now.weekend, {*now.done.stints, *now.going.stints, *now.waiting.stints})
    rest = credited(now.weekend, (*now.done.strays, *now.going.strays, *now.waiting.strays))
    finished = {*now.done.stints, *(ident for ident, left in rest.items() if left is None)}
    known = choice.reach | finished
    moot = looked_at_already(now.weekend, finished) - {*now.going.stints, *now.waiting.stints}
    everything = frozenset(activity.id for activity in now.weekend.activities)
    gone = everything - choice.reach | finished | moot
    activities = [
        _redoing(shortened(now, freed(each, gone)), known, now)
        for each in _passed_on(now.weekend, rest, finished)
        if each.id not in gone
    ]
    return replace(
        now.weekend,
        activities=(*_to_clear(now), *activities),
        swaps=choice.swaps,
        settled=_settled(now, finished, known),
    )


def _passed_on(
    weekend: Weekend, rest: Mapping[str, Activity | None], finished: set[str]
) -> Iterator[Activity]:
    """What is left of each; what waits for work done early waits for what that should have waited for."""
    known = {activity.id: activity for activity in weekend.activities}
    for each in known.values():
        after = list(each.after)
        for ident in after:  # grows while it is walked along
            before = known.get(ident)
            if ident in finished and isinstance(before, Task):
                more = (i for i in before.after if i in known and known[i].needed)
                after += [i for i in more if i not in after and i != each.id]
        yield replace(rest.get(each.id) or each, after=tuple(after))


def _redo_of(weekend: Weekend, activity: Activity, known: frozenset[str]) -> tuple[str, ...]:
    """What a gate does again, done before or not."""
    meant = weekend.activity(activity.id)
    return tuple(i for i in meant.redo if i in known) if isinstance(meant, Task) else ()


def _redoing(activity: Activity, known: frozenset[str], now: Now) -> Activity:
    """A gate with what it does again; one that found a fault waits for that, and finds fewer."""
    if not isinstance(activity, Task) or not activity.chance:
        return activity
    redo = _redo_of(now.weekend, activity, known)
    times = now.state.found.get(activity.id, 0)
    after = activity.after
    if times:
        again = [
            i for i in redo if i not in now.done.stints and i not in after and i != activity.id
        ]
        free = [i for i in again if activity.id not in _before(now.weekend, i)]
        after = (*after, *free)
    fewer = AGAIN**times
    return replace(
        activity,
        redo=redo,
        after=after,
        chance=activity.chance * fewer,
        shows=activity.shows * fewer,
    )


def _before(weekend: Weekend, ident: str) -> set[str]:
    """Everything an activity waits for, directly or through others."""
    seen: set[str] = set()
    fresh = [ident]
    while fresh:
        new = set(weekend.activity(fresh.pop()).after) - seen
        seen |= new
        fresh += new
    return seen


def _settled(now: Now, finished: Iterable[str], known: frozenset[str]) -> tuple[Activity, ...]:
    """What is done, for gates that may have it done again."""
    ends = frozenset(finished)
    kept = (a for a in now.weekend.activities if a.id in ends)
    return tuple(replace(a, after=tuple(i for i in a.after if i in known)) for a in kept)


def _to_clear(now: Now) -> tuple[Run, ...]:
    """A run for each machine with something on it that is no activity of the weekend."""
    failed = {m: s for m, s in now.state.uncleared.items() if s.outcome is not Event.FINISHED}
    ended = {s.meant.machine: s for s in now.waiting.strays}
    going = {s.meant.machine: s for s in now.going.strays if s.meant.machine}
    machines = {station.id for station in now.weekend.stations}
    stints = {**failed, **ended, **going}
    return tuple(_stray(now, m, stint) for m, stint in stints.items() if m in machines)


def _stray(now: Now, machine: str, stint: Stint) -> Run:
    left = NO_TIME
    if stint.end_s is None and stint.meant.seconds and stint.start_s is not None:
        left = left_of_run(stint.meant.seconds, now.now_s - stint.start_s)
    return clearing_of(machine, stint.meant.name, stint.meant.clear_s, left)


def _named(weekend: Weekend, names: frozenset[str]) -> frozenset[str]:
    """Ids of the activities that are, or are all there is of, something."""
    return frozenset(a.id for a in weekend.activities if names & _items(a))


def _items(activity: Activity) -> frozenset[str]:
    """What an activity may be called by: its own id and that of the one item it is for."""
    if isinstance(activity, Task):
        return frozenset({activity.id, activity.of})
    return frozenset(
        {activity.id, *(part for part, _ in activity.cargo[:1] if len(activity.cargo) == 1)}
    )


def _awaiting(now: Now, activities: Iterable[Activity], waits: _Waits) -> Iterator[Activity]:
    """Activities, held as long as what they wait for has not come.

    What goes on has what it takes. Where some of a work or part has begun, the rest waits for what
    was told, and for nothing that is late.
    """
    going = {*now.going.stints, *now.waiting.stints}
    begun = frozenset[str]().union(
        *(_mentioned(now.weekend.activity(ident)) for ident in {*going, *now.done.stints})
    )
    for each in activities:
        if each.id in going:
            yield each
        else:
            held = _held(each, now.state, waits)
            yield replace(held, late=None) if begun & _mentioned(each) else held


def _held(activity: Activity, state: State, waits: _Waits) -> Activity:
    """An activity with the moment before which it cannot start, if that was told.

    A component that is told to come then may be late, and so may a delivery it waits for itself, said
    to be late before or not; what the maker puts off is not, and what has come is there.
    """
    mentioned = _mentioned(activity)
    names = [name for name in state.earliest_s if name in mentioned]
    if names:
        told_s = max(state.earliest_s[name] for name in names)
        said = activity.awaited.late if activity.awaited else activity.late
        own = (said or waits.late_of(mentioned)) if told_s else None
        activity = replace(activity, earliest_s=told_s, bound=Bound.TOLD, late=own, awaited=None)
    lacking_s = max((state.earliest_s[c] for c, by in _needs(state) if by & mentioned), default=0)
    if lacking_s <= activity.earliest_s:
        return activity
    return replace(activity, earliest_s=lacking_s, bound=Bound.TOLD, late=waits.late, awaited=None)


def _needs(state: State) -> Iterator[tuple[str, frozenset[str]]]:
    """Components that were told of, each with the items that need it."""
    return ((name, frozenset(items)) for name, items in state.needed_by.items())


def _mentioned(activity: Activity) -> frozenset[str]:
    return items_of(activity) | {activity.id}


def not_come(weekend: Weekend, now_s: int, doubt: Factor | None = None) -> Weekend:
    """A weekend of which nothing has come that may be late and was to come before a moment.

    Args:
        weekend: what has come waits for nothing in it.
        now_s: the present moment, which may lie before its beginning.
        doubt: what is not known of the lateness of deliveries; None if nothing is unknown.
    """
    activities = tuple(overdue(each, now_s, doubt) for each in weekend.activities)
    return replace(weekend, activities=activities)


def _from(begin_s: int, weekend: Weekend, state: State) -> Weekend:
    """The weekend from a moment on, with the hours that are left of it."""
    return replace(
        weekend,
        begin_s=begin_s,
        deadline_s=_deadline_s(weekend, state),
        hands=tuple(_hands(weekend, each, state, begin_s) for each in weekend.hands),
        sites=tuple(_open(each, state.losses, weekend, begin_s) for each in weekend.sites),
        stations=tuple(_open(each, state.losses, weekend, begin_s) for each in weekend.stations),
    )


def _deadline_s(weekend: Weekend, state: State) -> int:
    if state.deadline is None or state.deadline[0] != weekend.deadline_s:
        return weekend.deadline_s
    return state.deadline[1]


def _cut(windows: Windows, ident: str, losses: Iterable[Loss]) -> Windows:
    spans = [(loss.from_s, loss.until_s) for loss in losses if loss.subject == ident]
    return windows - Windows.of(spans)


def _open(each: LaneT, losses: Iterable[Loss], weekend: Weekend, begin_s: int) -> LaneT:
    windows = _cut(each.windows, each.id, losses)
    return replace(each, windows=windows.clipped(begin_s, weekend.horizon_s))


def _hands(weekend: Weekend, hands: Hands, state: State, begin_s: int) -> Hands:
    at = _at(weekend, hands, state, begin_s)
    lost = Windows.of((x.from_s, x.until_s) for x in state.losses if x.subject == hands.id)
    away = (hands.away | lost).clipped(begin_s, weekend.horizon_s)
    here = "" if at == hands.base else at
    return replace(_open(hands, state.losses, weekend, begin_s), at=here, away=away)


def _at(weekend: Weekend, hands: Hands, state: State, begin_s: int) -> str:
    """Where somebody is: where they work, else where they last did, if they may be there still.

    Whoever has had a pause since, or been at a place that has closed, is taken to have gone home.
    """
    working = [s for s in state.going.values() if hands.id in s.meant.people and _by_hand(s)]
    if working:
        return working[-1].meant.place
    place, seen_s = state.where.get(hands.id, (hands.base, begin_s))
    site = next((site for site in weekend.sites if site.id == place), None)
    both = hands.windows & site.windows if site else Windows(())
    stayed = any(start <= seen_s and begin_s < end for start, end in both)
    return place if stayed else hands.base


def _by_hand(stint: Stint) -> bool:
    return stint.meant.sort is not Sort.RUN
