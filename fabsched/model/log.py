"""What really happened, as the maker told it: entries that are only ever added.

An entry says when something happened, when that was written down, what it was about, and what the
plan in hand meant by that at the time: names of activities change with the plan, so that an entry
has to be readable without it. Wrong entries are never changed: a later one stands for them
(`replaces`) or takes them out (`WITHDRAWN`, undone by `RESTORED`). The plan in hand is an entry as
well (`PLANNED`), so that the log alone says where a weekend stands; `model.state.state_of` reads it.

Moments are seconds since the epoch (UTC).
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread


class Event(StrEnum):
    """What an entry tells. The wording table's `[event]` has a line for each.

    The subject is an activity for the first ten, an activity or an item of the project for
    `DELAYED`, `ARRIVED` and `DROPPED`, or a component for the first two of these, and a machine,
    person or place for `LOST`.
    """

    STARTED = "started"
    """What a machine does alone: it began to run, set up and watched before; all else: hands began.

    Where somebody stays beside a machine, hands began to set it up.
    """
    FINISHED = "finished"
    """Work is done, a gate found nothing, a machine has stopped by itself."""
    CLEARED = "cleared"
    """What a machine made has been taken off, good or bad."""
    FAILED = "failed"
    """A run came to nothing; `share` says how far it got."""
    FOUND = "found"
    """A gate found a fault: what it redoes is done again, and it looks again."""
    CANCELLED = "cancelled"
    """What went on was broken off; it has still to be done."""
    ACCEPTED = "accepted"
    """A flaw is lived with: it counts as done."""
    CHOSEN = "chosen"
    """One of the choices after a failure was taken; see `remedy`."""
    DROPPED = "dropped"
    """It is left out for good."""
    DELAYED = "delayed"
    """It cannot start before `until_s`; what goes on already ends then."""
    ARRIVED = "arrived"
    """What it waited for from outside is there."""
    LOST = "lost"
    """A machine, person or place cannot be had from `moment_s` until `until_s`."""
    DEADLINE = "deadline"
    """The wall moved from `was_s` to `until_s`; holds while the project still says `was_s`."""
    PLANNED = "planned"
    """A plan was taken in hand; see `plan`."""
    WITHDRAWN = "withdrawn"
    """The entries `of` do not hold."""
    RESTORED = "restored"
    """The entries `of`, withdrawn before, hold again."""


ABOUT_ENTRIES = frozenset({Event.WITHDRAWN, Event.RESTORED})
"""Kinds that speak of other entries."""


class Sort(StrEnum):
    """What an activity is, as far as the log needs to know."""

    RUN = "run"
    ATTENDED = "attended"
    WORK = "work"
    GATE = "gate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What the subject of an entry meant when it was written.

    Attributes:
        name: name shown.
        sort: what it is; None for machines, people, places and components.
        items: (part id, copies) on a bed or sheet; for work and gates (id, 1); for components
            (id, 1) of each item that needs it.
        share: which share of that work it is.
        machine: id of the machine it was on; empty if none or not known.
        person: id of who did it; empty if nobody or not known.
        helpers: ids of those who did it with them, where it takes several.
        place: id of the place it was done at.
        seconds: estimated then; P10, P50 and P90 of the machine time, or low, likely and high.
        computed_s: the likely machine time of a run before anything learnt was put to it; 0 if that
            is not known.
        foretold: P10, P50 and P90 of hands' time as the odds took it then; None if that is not known.
        start_s: hands needed to set the machine up before.
        clear_s: hands needed to clear the machine afterwards.
        redo: ids of activities a fault found by this gate does again.
    """

    name: str = ""
    sort: Sort | None = None
    items: tuple[tuple[str, int], ...] = ()
    share: float = 1.0
    machine: str = ""
    person: str = ""
    place: str = ""
    seconds: Spread | None = None
    computed_s: float = 0.0
    foretold: Spread | None = None
    start_s: int = 0
    clear_s: int = 0
    redo: tuple[str, ...] = ()
    helpers: tuple[str, ...] = ()

    @property
    def people(self) -> tuple[str, ...]:
        """Ids of all who did it; none if nobody or not known."""
        return (self.person, *self.helpers) if self.person else ()

    def got_by(self, spent_s: float) -> float | None:
        """How far it is likely to have got that long after it was begun, 0 to 1.

        Where somebody stands beside a machine, it is set up within that time. None if its time is not
        known.
        """
        if self.seconds is None:
            return None
        before_s = self.start_s if self.sort is Sort.ATTENDED else 0
        return min(1.0, max(0.0, spent_s - before_s) / max(1.0, self.seconds.likely))


class Cure(StrEnum):
    """What can be done after a failure. The wording table's `[remedy]` has a line for each."""

    AGAIN = "again"
    COUPON = "coupon"
    MACHINE = "machine"
    SLOWER = "slower"
    APART = "apart"
    POSE = "pose"
    FORK = "fork"
    REPAIR = "repair"
    DROP = "drop"
    CANCEL = "cancel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One choice after a failure, with all that planning needs to carry it out.

    Attributes:
        cure: what is done.
        subject: id of the activity it is done about.
        machine: id of the machine, for `MACHINE`.
        factor: times the machine time, for `SLOWER`.
        risk: times the chance of failing, for `COUPON`, `SLOWER` and `POSE`.
        seconds: hands' time of `REPAIR`; machine time of the coupon of `COUPON`.
        swap: id of the swap, for `FORK` and `APART`.
        beds: how many there are then, for `APART`.
        detail: names shown of what is made then, for these two, so that the choice can be read
            without the plan.
        part: id of the part that is turned, for `POSE`: from then on it is printed that way.
        turn_deg: how it is turned then, see `Part.turn_deg`; None for other cures.
        was_deg: how the project had it turned; the choice holds while it still says so.
    """

    cure: Cure
    subject: str
    machine: str = ""
    factor: float = 1.0
    risk: float = 1.0
    seconds: Spread | None = None
    swap: str = ""
    beds: int = 0
    detail: str = ""
    part: str = ""
    turn_deg: tuple[float, float, float] | None = None
    was_deg: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """A plan as it was taken in hand.

    Attributes:
        plan: the order of urgency, and what is left out.
        starts_s: (activity id, start of its first block) in its nominal course.
        on_time: its chance of being done in time.
        deadline_s: the wall it was made for.
        meant: what its activities meant, by id, with the machine and person of its nominal course;
            so that whoever tells what happened need not lay out the weekend again.
    """

    plan: Plan
    starts_s: tuple[tuple[str, int], ...] = ()
    on_time: float = 0.0
    deadline_s: int = 0
    meant: tuple[tuple[str, Meant], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that happened.

    Attributes:
        kind: what.
        moment_s: when it happened.
        noted_s: when it was written down.
        id: place in the log, from 1 on; 0 before it is written.
        subject: id of what it is about, as the plan in hand names it; empty for some kinds.
        meant: what that was.
        share: how far a failed run got, 0 to 1; None if not known.
        until_s: for `DELAYED`, `LOST` and `DEADLINE`.
        was_s: for `DEADLINE`.
        why: what the maker says of it.
        replaces: id of the entry this one stands for; 0 for none.
        of: ids of the entries that are withdrawn or restored.
        plan: for `PLANNED`.
        remedy: for `CHOSEN`.
    """

    kind: Event
    moment_s: int
    noted_s: int
    id: int = 0
    subject: str = ""
    meant: Meant = field(default_factory=Meant)
    share: float | None = None
    until_s: int | None = None
    was_s: int | None = None
    why: str = ""
    replaces: int = 0
    of: tuple[int, ...] = ()
    plan: InHand | None = None
    remedy: Remedy | None = None


def holding(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries that hold, in the order in which things happened.

    Left out is what was withdrawn and not restored, what another entry stands for, and what speaks
    of entries only. Of what happened at the same moment, the entry written first goes first.
    """
    written = sorted(entries, key=lambda entry: entry.id)
    gone = withdrawn(written)
    replaced = {entry.replaces for entry in written if entry.id not in gone}
    left = [e for e in written if e.kind not in ABOUT_ENTRIES and e.id not in gone | replaced]
    return tuple(sorted(left, key=lambda entry: (entry.moment_s, entry.id)))


def withdrawn(entries: Iterable[Entry]) -> frozenset[int]:
    """Ids of the entries that were withdrawn and not restored since."""
    gone: set[int] = set()
    for entry in sorted(entries, key=lambda entry: entry.id):
        if entry.kind is Event.WITHDRAWN:
            gone.update(entry.of)
        elif entry.kind is Event.RESTORED:
            gone.difference_update(entry.of)
    return frozenset(gone)


def last_told(entries: Iterable[Entry]) -> tuple[int, ...]:
    """Ids that one undo withdraws: what was told last, and the plans made since; empty if nothing.

    A plan made after an entry rests on it: with the entry it goes, and the plan before is in hand
    again.
    """
    held = {entry.id: entry for entry in entries if entry.kind not in ABOUT_ENTRIES}
    alive = [held[ident] for ident in sorted(held.keys() - withdrawn(entries))]
    told = [entry.id for entry in alive if entry.kind is not Event.PLANNED]
    return tuple(entry.id for entry in alive if entry.id >= told[-1]) if told else ()


def last_withdrawn(entries: Iterable[Entry]) -> tuple[int, ...]:
    """Ids that one redo restores: those of the last undo, unless something was told since."""
    back: list[tuple[int, ...]] = []
    for entry in sorted(entries, key=lambda entry: entry.id):
        if entry.kind is Event.WITHDRAWN:
            back.append(entry.of)
        elif entry.kind is Event.RESTORED:
            back = [ids for ids in back if ids != entry.of]
        elif entry.kind is not Event.PLANNED:
            back.clear()
    return back[-1] if back else ()
