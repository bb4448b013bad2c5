"""What the log of a project teaches: from its entries to what is kept for the next estimate."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import isclose, prod

from fabsched.estimate.learnt import Load, load_moves, load_of, load_s
from fabsched.estimate.raising import times_failing
from fabsched.files.log_home import Home, mark_of
from fabsched.model.estimates import Estimate, Route
from fabsched.model.experience import (
    ChanceTold,
    LookSeen,
    RunSeen,
    Seen,
    TimeTold,
    WorkSeen,
    foretold_key,
)
from fabsched.model.log import Entry, Event, Sort, holding
from fabsched.model.project import Gate, Part, Project, Work
from fabsched.model.shop import Laser, Machine, Shop
from fabsched.model.spread import Spread
from fabsched.model.state import State, Stint, state_of
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import AGAIN
from fabsched.session.delivery_lessons import deliveries
from fabsched.session.knowledge import NOTHING_KNOWN, Knowledge, kind_of

ALIKE = 1.25
"""An estimate that now differs from what the log says was told by more than that factor is another
one: the file, its pose or the settings have changed since (own choice)."""
HANDS_SHARE = 0.25
"""An attended run is timed with the hands' minutes in it; where these are more than that share, it
tells too little of the machine (own choice)."""
HALF = 0.5
"""How far a run got that failed nobody knows where (own assumption)."""

OpenSeconds = Callable[[str, int, int], int]
"""Seconds a person is up and free between two moments; given the person's id."""


def _by_the_clock(_: str, start_s: int, end_s: int) -> int:
    return end_s - start_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What entries of a log are read against.

    Attributes:
        project: the project.
        shop: its machines.
        computed: estimates of one copy as computed, by part id and machine id.
        known: what was learnt before, which the times told then contain.
        open_s: how long somebody is up and free between two moments.
        now_s: the present moment.
        home: whose log it is; None for one that is no copy.
    """

    project: Project
    shop: Shop
    computed: Mapping[str, Mapping[str, Estimate]] = field(default_factory=dict)
    known: Knowledge = NOTHING_KNOWN
    open_s: OpenSeconds = _by_the_clock
    now_s: int = 0
    home: Home | None = None


def _own(entries: Iterable[Entry], home: Home) -> Callable[[int], bool]:
    """Whether a log speaks for itself with an entry, or a log it was copied from does.

    What puts an entry right belongs to where that was told.
    """
    before = {entry.id: entry.replaces for entry in entries if entry.replaces}

    def is_own(ident: int) -> bool:
        while ident in before:
            ident = before[ident]
        return not home.after or ident > home.after

    return is_own


def lessons_of(entries: Sequence[Entry], setting: Setting) -> tuple[Seen, ...]:
    """What the entries of one log teach; the same entries always teach the same, each thing once.

    Args:
        entries: all entries of one log.
        setting: what they are read against.
    """
    home = setting.home or Home(mark_of(entries))
    if not home.own:
        return ()
    state, mark, is_own = state_of(entries), f"{home.own}/", _own(entries, home)
    own = tuple(stint for stint in state.past if is_own(stint.told))
    ended = [stint for stint in with_late_failures(state.past) if is_own(stint.told)]
    reader = _Reader(setting, mark, _told_ends(entries))
    return (
        *reader.runs(ended),
        *reader.works(own),
        *reader.looks(own),
        *deliveries(entries, setting.project, mark, is_own),
        *(() if home.after else _chance(entries, state, setting, mark)),
    )


def _told_ends(entries: Iterable[Entry]) -> frozenset[tuple[str, int]]:
    """Subjects and moments of ends that somebody has seen, rather than found hours later."""
    seen = (Event.FINISHED, Event.FAILED)
    return frozenset((e.subject, e.moment_s) for e in holding(entries) if e.kind in seen)


def with_late_failures(past: Sequence[Stint]) -> list[Stint]:
    """Runs that ended; one that ended well and was found bad later has failed, at its end."""
    ended: list[Stint] = []
    for stint in past:
        if stint.meant.sort not in {Sort.RUN, Sort.ATTENDED} or stint.outcome is Event.ACCEPTED:
            continue
        last = max((i for i, e in enumerate(ended) if e.subject == stint.subject), default=None)
        late = stint.outcome is Event.FAILED and stint.start_s is None and last is not None
        if late and last is not None and ended[last].outcome is Event.FINISHED:
            ended[last] = replace(ended[last], outcome=Event.FAILED, share=1.0)
        else:
            ended.append(stint)
    return ended


class _Reader:
    """Reads stints against a setting."""

    def __init__(self, setting: Setting, mark: str, ends: frozenset[tuple[str, int]]) -> None:
        self._setting, self._mark, self._ends = setting, mark, ends
        project = setting.project
        self._parts: dict[str, Part] = {part.id: part for part in project.parts}
        works: tuple[Work, ...] = (*project.works, *project.gates)
        self._works = {work.id: work for work in works}
        self._gates = project.gates
        self._machines = setting.shop.machines

    def runs(self, stints: Iterable[Stint]) -> Iterator[Seen]:
        """What runs of machines teach."""
        turns: Counter[str] = Counter()
        for stint in stints:
            turns[stint.subject] += 1
            key = f"{self._mark}run/{stint.subject}/{turns[stint.subject]}"
            seen = self._run(stint, key)
            if seen is not None:
                yield seen
                yield from self._told(stint, seen)

    def _run(self, stint: Stint, key: str) -> RunSeen | None:
        """A run; None if it is not known what ran where."""
        meant, machine = stint.meant, self._machines.get(stint.meant.machine)
        parts = [self._parts[ident] for ident, _ in meant.items if ident in self._parts]
        if machine is None or not parts or stint.end_s is None:
            return None
        load = self._load(stint)
        estimated_s = self._estimated_s(stint, load, parts)
        if not estimated_s:
            return None
        failed = stint.outcome is Event.FAILED
        return RunSeen(
            key=key,
            at_s=stint.end_s,
            machine=machine.id,
            route=Route.CUT if isinstance(machine, Laser) else Route.PRINT,
            material=parts[0].material,
            estimated_s=estimated_s,
            ran_s=self._ran_s(stint, machine, estimated_s),
            failed=failed,
            timed=not failed and self._timed(stint, machine),
            moves=load_moves(load) if load and isclose(load_s(load), estimated_s) else None,
            raised=max((times_failing(estimate) for estimate, _ in load), default=1.0),
        )

    def _load(self, stint: Stint) -> Load:
        """Estimates of all that lay on the bed; empty if that of a part is not known."""
        return load_of(self._setting.computed, stint.meant.items, stint.meant.machine)

    def _estimated_s(self, stint: Stint, load: Load, parts: Sequence[Part]) -> float:
        """What was computed for the run before anything learnt was put to it.

        The log says it. Where it does not, it is what is computed now, unless something else was
        told: a time that may hold anything learnt by then lies between the computed and the taught.
        """
        own_minutes = any(part.minutes is not None for part in parts)
        told = stint.meant.seconds.likely if stint.meant.seconds else 0.0
        if own_minutes:
            return load_s(load) if load else 0.0
        if stint.meant.computed_s or not load:
            return stint.meant.computed_s or told
        computed = load_s(load)
        taught = load_s([(self._setting.known.estimate(e, None), n) for e, n in load])
        low, high = sorted((computed, taught))
        if not told or low / ALIKE <= told <= high * ALIKE:
            return computed
        return told * computed / taught

    def _timed(self, stint: Stint, machine: Machine) -> bool:
        """Whether both ends of the machine's time were told."""
        if stint.outcome is not Event.FINISHED or not stint.taken_s:
            return False
        if (stint.subject, stint.end_s) not in self._ends:
            return False
        return _hands_s(stint, machine) <= HANDS_SHARE * stint.taken_s

    def _ran_s(self, stint: Stint, machine: Machine, estimated_s: float) -> float:
        """How long the machine ran, as well as that is known."""
        if stint.outcome is Event.FAILED and stint.share is not None:
            return stint.share * estimated_s
        if stint.taken_s is None:
            return estimated_s * (HALF if stint.outcome is Event.FAILED else 1.0)
        ran_s = max(0.0, stint.taken_s - _hands_s(stint, machine))
        told = (stint.subject, stint.end_s) in self._ends
        return ran_s if told else min(ran_s, estimated_s)

    def _told(self, stint: Stint, seen: RunSeen) -> Iterator[TimeTold]:
        """What was foretold of the run, if it ran to its end and its time was its own."""
        if seen.timed and stint.meant.seconds:
            key = foretold_key(seen.key)
            told, actual = stint.meant.seconds, seen.ran_s
            yield TimeTold(key=key, at_s=seen.at_s, told=told, actual_s=actual)

    def works(self, past: Iterable[Stint]) -> Iterator[Seen]:
        """What work and gates teach; the pieces of one work count together."""
        rows: dict[str, list[Stint]] = {}
        done = (Event.FINISHED, Event.FOUND)
        for stint in past:
            ident = stint.meant.items[0][0] if stint.meant.items else ""
            timed = stint.outcome in done and stint.taken_s is not None
            if timed and ident in self._works and stint.meant.sort in {Sort.WORK, Sort.GATE}:
                rows.setdefault(ident, []).append(stint)
        for ident, stints in rows.items():
            yield from self._work(self._works[ident], stints)

    def looks(self, past: Iterable[Stint]) -> Iterator[LookSeen]:
        """What gates teach of faults, each time anew."""
        turns: Counter[str] = Counter()
        for stint in past:
            gate = self._gate_of(stint)
            if gate is None:
                continue
            eased = prod(e.left for e in self._gates if e.eases == gate.id and turns[e.id])
            yield LookSeen(
                key=f"{self._mark}look/{gate.id}/{turns[gate.id] + 1}",
                at_s=stint.end_s or 0,
                chance=gate.chance * eased * AGAIN ** turns[gate.id],
                found=stint.outcome is Event.FOUND,
            )
            turns[gate.id] += 1

    def _gate_of(self, stint: Stint) -> Gate | None:
        """The gate that was passed or found a fault."""
        if stint.outcome not in {Event.FINISHED, Event.FOUND} or stint.meant.sort is not Sort.GATE:
            return None
        ident = stint.meant.items[0][0] if stint.meant.items else ""
        return next((gate for gate in self._gates if gate.id == ident), None)

    def _work(self, work: Work, stints: Sequence[Stint]) -> Iterator[Seen]:
        took_s = float(sum(self._worked_s(stint) for stint in stints))
        at_s = max(stint.end_s or 0 for stint in stints)
        shares = sum(stint.meant.share for stint in stints)
        told = [stint.meant.foretold for stint in stints if stint.meant.foretold]
        key = f"{self._mark}work/{work.id}"
        yield WorkSeen(
            key=key,
            at_s=at_s,
            kind=kind_of(work),
            expected=work.minutes.scaled(MINUTE_S * shares),
            took_s=took_s,
        )
        if len(told) == len(stints):
            foretold = _sum(told)
            yield TimeTold(key=foretold_key(key), at_s=at_s, told=foretold, actual_s=took_s)

    def _worked_s(self, stint: Stint) -> int:
        start_s, end_s = stint.start_s or 0, stint.end_s or 0
        people = stint.meant.people or ("",)
        return min(self._setting.open_s(person, start_s, end_s) for person in people)


def _sum(spreads: Sequence[Spread]) -> Spread:
    """Pieces of one work share its luck, so that their figures add up."""
    return Spread(
        sum(s.low for s in spreads), sum(s.likely for s in spreads), sum(s.high for s in spreads)
    )


def _hands_s(stint: Stint, machine: Machine) -> float:
    """Hands' time within the time of an attended run."""
    if stint.meant.sort is not Sort.ATTENDED:
        return 0.0
    after = machine.after_minutes if isinstance(machine, Laser) else machine.clear_minutes
    return MINUTE_S * (machine.start_minutes + after)


def _chance(
    entries: Sequence[Entry], state: State, setting: Setting, mark: str
) -> Iterator[ChanceTold]:
    """What the first plan said of being done in time, once that has been decided."""
    plans = [e.plan for e in holding(entries) if e.kind is Event.PLANNED and e.plan]
    if not plans or state.in_hand is None:
        return
    first = plans[0]
    due = {i for i in state.in_hand.plan.order if _needed(i, setting.project)}
    due -= state.in_hand.plan.dropped | state.dropped
    # What a machine has finished counts, whether or not anybody told that it was taken off.
    off = {s.subject: s for s in state.uncleared.values() if s.outcome is Event.FINISHED}
    made = {**off, **state.done}
    ends = [stint.end_s for ident, stint in made.items() if _needed(ident, setting.project)]
    # A plan for the rest names what is left alone; once nothing is, it names nothing.
    done = due <= made.keys() and bool(ends)
    if not done and setting.now_s <= first.deadline_s:
        return
    last_s = max((end_s or 0 for end_s in ends), default=0)
    yield ChanceTold(
        key=f"{mark}chance",
        at_s=last_s if done else first.deadline_s,
        chance=first.on_time,
        came_true=done and last_s <= first.deadline_s,
    )


def _needed(activity: str, project: Project) -> bool:
    """Whether an activity is needed: not one of an item that may be left out, by its name."""
    optional = [item.id for item in project.items if not item.needed]
    return not any(activity == i or activity.startswith((f"{i}-", f"{i}~")) for i in optional)
