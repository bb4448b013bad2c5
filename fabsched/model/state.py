"""Where a weekend stands: the log, read from its first entry to its last.

Nothing here knows a plan or a clock: the same entries always give the same state.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from fabsched.model.log import Entry, Event, InHand, Meant, Remedy, Sort, holding


@dataclass(frozen=True, slots=True, kw_only=True)
class Stint:
    """One time an activity was worked on, from its start to whatever ended it.

    Attributes:
        subject: id of the activity, as the plan of that time named it.
        meant: what that was, its estimate at the start included.
        start_s: when it began; None if only its end was told.
        end_s: when it ended; None while it goes on.
        outcome: what ended it: finished, failed, found, cancelled or accepted; None while it goes on.
        share: how far it got, if it failed and that is known.
        until_s: when it is expected to end, if that was told.
        why: what the maker said of its end.
        told: id of the entry that ended it; 0 while it goes on.
    """

    subject: str
    meant: Meant
    start_s: int | None
    end_s: int | None = None
    outcome: Event | None = None
    share: float | None = None
    until_s: int | None = None
    why: str = ""
    told: int = 0

    @property
    def taken_s(self) -> int | None:
        """Seconds from start to end by the clock, pauses included; None unless both are known."""
        if self.start_s is None or self.end_s is None:
            return None
        return max(0, self.end_s - self.start_s)


@dataclass(frozen=True, slots=True)
class Loss:
    """A machine, person or place that cannot be had for a while.

    Attributes:
        subject: its id.
        from_s, until_s: when.
    """

    subject: str
    from_s: int
    until_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Where a weekend stands.

    Attributes:
        done: how each finished activity was done, by id.
        going: what is worked on now, by id.
        uncleared: what lies on a machine that has stopped, by the machine's id: finished runs that
            have still to be taken off, and failed or broken-off ones.
        past: every stint that has ended, in order of its end; the actual times are read from these.
        found: how often each gate has found a fault, by id.
        earliest_s: moments before which activities or items cannot start; 0 for what has arrived.
            Components stand here as well.
        needed_by: ids of the items that need a component, by its id, for those that were told of.
        losses: machines, people and places that cannot be had for a while.
        dropped: ids of activities and items that are left out for good.
        remedies: choices taken after failures, by id of the activity, until it is done or fails again.
        turned: the last choice of another pose of each part, by the part's id.
        deadline: (as it was, as it is now), if it was moved.
        in_hand: the last plan that was taken in hand; None before the first.
        where: (place, moment) at which each person was last seen, by id.
        last_s: moment of the last entry; 0 if there is none.
    """

    done: Mapping[str, Stint] = field(default_factory=dict)
    going: Mapping[str, Stint] = field(default_factory=dict)
    uncleared: Mapping[str, Stint] = field(default_factory=dict)
    past: tuple[Stint, ...] = ()
    found: Mapping[str, int] = field(default_factory=dict)
    earliest_s: Mapping[str, int] = field(default_factory=dict)
    needed_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    losses: tuple[Loss, ...] = ()
    dropped: frozenset[str] = frozenset()
    remedies: Mapping[str, Remedy] = field(default_factory=dict)
    turned: Mapping[str, Remedy] = field(default_factory=dict)
    deadline: tuple[int, int] | None = None
    in_hand: InHand | None = None
    where: Mapping[str, tuple[str, int]] = field(default_factory=dict)
    last_s: int = 0

    @property
    def has_begun(self) -> bool:
        """Whether anything was told that planning has to respect."""
        return replace(self, in_hand=None, last_s=0) != State()


def state_of(entries: Iterable[Entry]) -> State:
    """Where a weekend stands after all of these entries, in any order."""
    state, held = State(), holding(entries)
    for entry in held:
        state = replace(_READ[entry.kind](state, entry), last_s=entry.moment_s)
    plans = [entry for entry in held if entry.kind is Event.PLANNED]
    last = max(plans, key=lambda entry: entry.id, default=None)
    return replace(state, in_hand=last.plan if last else None)


def _started(state: State, entry: Entry) -> State:
    """It goes on; what ran or lay on its machine has been taken off."""
    stint = Stint(subject=entry.subject, meant=entry.meant, start_s=entry.moment_s)
    for other in tuple(state.going.values()):
        if other.meant.machine and other.meant.machine == entry.meant.machine:
            state = _finished(state, replace(entry, subject=other.subject, meant=other.meant))
    state = _off(state, entry.meant.machine)
    done = _without(state.done, entry.subject)
    going = {**state.going, entry.subject: stint}
    return replace(state, done=done, going=going, where=_where(state, stint.meant, entry.moment_s))


def _finished(state: State, entry: Entry) -> State:
    """It is done; a run that hands have to clear waits for them."""
    stint, state = _ended(state, replace(entry, kind=Event.FINISHED))
    if stint.meant.clear_s and _lies(state, stint):
        return _laid(state, stint)
    return _done(state, stint)


def _cleared(state: State, entry: Entry) -> State:
    """It is off its machine; a run nobody told the end of has ended then."""
    machine = _machine_of(state, entry)
    if machine in state.uncleared:
        return _off(state, machine)
    stint, state = _ended(state, replace(entry, kind=Event.FINISHED))
    return _done(state, stint)


def _machine_of(state: State, entry: Entry) -> str:
    """The machine something lies on."""
    on = [name for name, stint in state.uncleared.items() if stint.subject == entry.subject]
    return on[0] if on else entry.meant.machine


def _failed(state: State, entry: Entry) -> State:
    """It has to be done again, once its machine is cleared; what was done before lies on none.

    What was chosen about it has been tried: there is a choice again.
    """
    was_done = entry.subject in state.done
    stint, state = _ended(state, entry)
    if entry.kind is Event.FAILED:
        state = _undecided(state, {entry.subject})
    state = replace(state, done=_without(state.done, entry.subject))
    return _laid(state, stint) if _lies(state, stint) and not was_done else state


def _cancelled(state: State, entry: Entry) -> State:
    """What went on is broken off; what did not is left out."""
    if entry.subject in state.going:
        return _failed(state, entry)
    return _dropped(state, entry)


def _found(state: State, entry: Entry) -> State:
    """What the gate redoes has to be done again, and the gate itself."""
    stint, state = _ended(state, entry)
    again = {entry.subject, *stint.meant.redo}
    done = {ident: how for ident, how in state.done.items() if ident not in again}
    found = {**state.found, entry.subject: state.found.get(entry.subject, 0) + 1}
    return replace(_undecided(state, again), done=done, found=found)


def _undecided(state: State, subjects: Collection[str]) -> State:
    left = {ident: taken for ident, taken in state.remedies.items() if ident not in subjects}
    return replace(state, remedies=left)


def _accepted(state: State, entry: Entry) -> State:
    stint, state = _ended(state, entry)
    return _done(state, stint)


def _chosen(state: State, entry: Entry) -> State:
    if entry.remedy is None:
        return state
    taken = entry.remedy
    turned = {**state.turned, taken.part: taken} if taken.turn_deg else state.turned
    return replace(state, remedies={**state.remedies, taken.subject: taken}, turned=turned)


def _dropped(state: State, entry: Entry) -> State:
    return replace(state, dropped=state.dropped | {entry.subject})


def _delayed(state: State, entry: Entry) -> State:
    until_s = entry.until_s or entry.moment_s
    if entry.subject in state.going:
        stint = replace(state.going[entry.subject], until_s=until_s)
        return replace(state, going={**state.going, entry.subject: stint})
    return _due(state, entry, until_s)


def _arrived(state: State, entry: Entry) -> State:
    return _due(state, entry, 0)


def _due(state: State, entry: Entry, moment_s: int) -> State:
    """It cannot start before a moment; of a component, what needs it cannot."""
    needed_by = state.needed_by
    if entry.meant.sort is None and entry.meant.items:
        items = tuple(ident for ident, _ in entry.meant.items)
        needed_by = {**needed_by, entry.subject: items}
    earliest_s = {**state.earliest_s, entry.subject: moment_s}
    return replace(state, earliest_s=earliest_s, needed_by=needed_by)


def _lost(state: State, entry: Entry) -> State:
    loss = Loss(entry.subject, entry.moment_s, entry.until_s or entry.moment_s)
    return replace(state, losses=(*state.losses, loss))


def _deadline(state: State, entry: Entry) -> State:
    if entry.was_s is None or entry.until_s is None:
        return state
    return replace(state, deadline=(entry.was_s, entry.until_s))


def _planned(state: State, _: Entry) -> State:
    """Of plans the one written last is in hand, whatever moment it was made for."""
    return state


_READ: Mapping[Event, Callable[[State, Entry], State]] = {
    Event.STARTED: _started,
    Event.FINISHED: _finished,
    Event.CLEARED: _cleared,
    Event.FAILED: _failed,
    Event.FOUND: _found,
    Event.CANCELLED: _cancelled,
    Event.ACCEPTED: _accepted,
    Event.CHOSEN: _chosen,
    Event.DROPPED: _dropped,
    Event.DELAYED: _delayed,
    Event.ARRIVED: _arrived,
    Event.LOST: _lost,
    Event.DEADLINE: _deadline,
    Event.PLANNED: _planned,
}


def _ended(state: State, entry: Entry) -> tuple[Stint, State]:
    """The stint that an entry ends, and the state with it in the past.

    What was never told to have begun has no start.
    """
    begun = state.going.get(entry.subject)
    stint = begun or Stint(subject=entry.subject, meant=entry.meant, start_s=None)
    stint = replace(
        stint,
        end_s=entry.moment_s,
        outcome=entry.kind,
        share=entry.share,
        why=entry.why,
        told=entry.id,
    )
    going = _without(state.going, entry.subject)
    where = _where(state, stint.meant, entry.moment_s)
    return stint, replace(state, going=going, past=(*state.past, stint), where=where)


def _done(state: State, stint: Stint) -> State:
    remedies = {k: v for k, v in state.remedies.items() if k != stint.subject}
    return replace(state, done={**state.done, stint.subject: stint}, remedies=remedies)


def _lies(state: State, stint: Stint) -> bool:
    """Whether what a machine made alone may still lie on it."""
    machine = stint.meant.machine
    busy = {other.meant.machine for other in state.going.values()}
    return stint.meant.sort is Sort.RUN and bool(machine) and machine not in busy


def _laid(state: State, stint: Stint) -> State:
    return replace(state, uncleared={**state.uncleared, stint.meant.machine: stint})


def _off(state: State, machine: str) -> State:
    """Whatever lay on a machine has been taken off; if it was good, it is done."""
    stint = state.uncleared.get(machine)
    if stint is None:
        return state
    state = replace(state, uncleared=_without(state.uncleared, machine))
    return _done(state, stint) if stint.outcome is Event.FINISHED else state


def _where(state: State, meant: Meant, moment_s: int) -> Mapping[str, tuple[str, int]]:
    """Hands that work have been seen; those that only started a machine may have left it."""
    if not meant.place:
        return state.where
    return {**state.where, **dict.fromkeys(meant.people, (meant.place, moment_s))}


def _without(mapping: Mapping[str, Stint], ident: str) -> dict[str, Stint]:
    return {name: stint for name, stint in mapping.items() if name != ident}
