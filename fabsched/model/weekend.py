"""A project ready to be planned: activities over machines and hands, all in whole seconds.

Everything below planning speaks of parts, files and hours in words; everything from here on speaks
of activities and windows. Moments are seconds since the epoch (UTC).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from fabsched.model.spread import Spread
from fabsched.model.units import whole_s
from fabsched.model.windows import Windows

NOTICE_S = 900
"""How long a failed print runs on before somebody at hand notices (our own assumption)."""

MAX_ROUNDS = 2
"""How often a gate can find a fault before we trust the part (our own assumption)."""

AGAIN = 0.3
"""How likely a gate finds a fault again, as a share of the chance before (our own assumption)."""


NO_TIME = Windows(())
"""No windows at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """A person as planning sees them.

    Attributes:
        id: id of the person.
        name: name shown.
        base: place where they start, sleep and go back to.
        windows: when they are up and free.
        at: place where they are when the weekend begins; empty means at their base.
        away: when they are not even at their base; else they are there while they sleep.
    """

    id: str
    name: str
    base: str
    windows: Windows
    at: str = ""
    away: Windows = NO_TIME


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A place as planning sees it.

    Attributes:
        id: id of the place.
        name: name shown.
        windows: when it is open.
    """

    id: str
    name: str
    windows: Windows


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A machine as planning sees it.

    Attributes:
        id: id of the machine.
        name: name shown.
        place: where it stands.
        windows: when it may run.
    """

    id: str
    name: str
    place: str
    windows: Windows


class Bound(StrEnum):
    """Whose hour it is before which something may not start."""

    SET = "set"
    """The project names it: a delivery, a visit."""
    BEGIN = "begin"
    """The weekend begins then, and it is no work that may be done before."""
    PIN = "pin"
    """The maker wants it to start then."""
    TOLD = "told"
    """It, or something it needs, was told to come later."""
    ORDER = "order"
    """Something it needs is still to be ordered, and comes no earlier if that is done now."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A machine that could take a run.

    Attributes:
        machine: id of the station.
        seconds: P10, P50 and P90 of the machine time there.
        start_s, clear_s, watch_s, stays, fail_start, fail_hour: those of the run there, where this
            machine asks for other hands than most or fails at another rate; None takes the run's own.
    """

    machine: str
    seconds: Spread
    start_s: int | None = None
    clear_s: int | None = None
    fail_start: float | None = None
    fail_hour: float | None = None
    watch_s: int | None = None
    stays: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Awaited:
    """Something from outside that was told to come at a moment which has passed, or will have.

    Attributes:
        told_s: the moment it was told to come.
        late: by how many seconds it may come later than that, as it was thought then: low, likely
            and high.
        waited_s: seconds after that moment by which it is known not to have come.
    """

    told_s: int
    late: Spread
    waited_s: int = 0


@dataclass(frozen=True, slots=True)
class Going:
    """A run that was started before the weekend begins and goes on by itself.

    Attributes:
        machine: id of the station it is on.
        seconds: P10, P50 and P90 of the machine time left; 0 if it only waits to be cleared.
        spent_s: how long it has been going on.
        by: id of whoever stays with it still; empty if nobody does.
        watch_s: for how long they stay beside it, until its beginning has been watched.
    """

    machine: str
    seconds: Spread
    spent_s: int = 0
    by: str = ""
    watch_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One uninterrupted job of one machine.

    Attributes:
        id: unique among activities.
        name: name shown.
        choices: machines that could take it, the preferred one first; never empty.
        attended: whether hands stay with it all along.
        start_s: hands needed to start it.
        clear_s: hands needed to clear it; the machine is blocked until then.
        watch_s: for how long whoever started an unattended run stays beside it once it runs, at
            most until its likely end.
        stays: whether whoever started an unattended run stays at its place until it is over, or is
            found to have failed; they may do other things there, and sleep where they are based.
        fail_start: chance of failing whatever the length.
        fail_hour: rate of failing per hour of machine time.
        cargo: (part id, copies) on this bed or sheet.
        after: ids of activities that must be done before.
        earliest_s: not before this moment.
        bound: whose moment that is.
        late: by how many seconds that may turn out later: low, likely and high; None if it is sure.
        awaited: what it waits for, where that was told for a moment before `earliest_s`; `late` is
            what is left of that lateness then: P10, P50 and P90.
        needed: whether the project is unfinished without it.
        going: for an unattended run that was started already, on which machine and for how long
            still; should it fail, it is started again like any other.

    Raises:
        ValueError: it goes on although it is attended, or on a machine that could not take it.
    """

    id: str
    name: str
    choices: tuple[Choice, ...]
    attended: bool
    start_s: int
    clear_s: int
    fail_start: float = 0.0
    fail_hour: float = 0.0
    cargo: tuple[tuple[str, int], ...] = ()
    after: tuple[str, ...] = ()
    earliest_s: int = 0
    needed: bool = True
    late: Spread | None = None
    bound: Bound = Bound.SET
    awaited: Awaited | None = None
    going: Going | None = None
    watch_s: int = 0
    stays: bool = False

    def __post_init__(self) -> None:
        """Refuse a run that goes on where it could not have been started."""
        able = {choice.machine for choice in self.choices}
        if self.going and (self.attended or self.going.machine not in able):
            raise ValueError("only an unattended run goes on, on one of its machines")

    def at(self, choice: Choice) -> "Run":
        """The run as it is on one of its machines, with what is particular to that one its own."""
        own = {
            name: value
            for name in ("start_s", "clear_s", "watch_s", "stays", "fail_start", "fail_hour")
            if (value := getattr(choice, name)) is not None
        }
        going = self.going if self.going and self.going.machine == choice.machine else None
        return replace(self, **own, choices=(Choice(choice.machine, choice.seconds),), going=going)

    @property
    def tend_s(self) -> int:
        """Hands needed apart from attending it: to start, to watch its beginning and to clear it."""
        return self.start_s + self.watched_s + self.clear_s

    @property
    def watched_s(self) -> int:
        """How long its beginning is watched on the preferred machine; 0 if it is attended."""
        return 0 if self.attended else min(self.watch_s, whole_s(self.choices[0].seconds.likely))

    @property
    def fails_alike(self) -> bool:
        """Whether it is as likely to fail on each of its machines, but for the time it takes."""
        return all(c.fail_start is None and c.fail_hour is None for c in self.choices)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Something hands do, or a gate.

    A long splittable work comes as several tasks in a row, so that a machine can be tended between
    them; `of` and `share` tell which work they are pieces of.

    Attributes:
        id: unique among activities.
        name: name shown.
        place: where it is done.
        people: ids of those who may do it; never empty.
        crew: how many of them it takes at once.
        seconds: low, likely and high.
        splittable: whether it may lie over pauses and closing times.
        of: id of the work it is a piece of (its own id if it is the whole).
        share: which share of that work, 0 to 1.
        undoable: whether it can be undone later.
        chance: how likely this gate finds a fault; 0 for plain work.
        redo: ids of activities done again when it does.
        shows: how likely it shows what a later gate would find without it; 0 for `chance`.
        after, earliest_s, bound, late, awaited, needed: as for runs.

    Raises:
        ValueError: its crew is nobody, or more than may do it.
    """

    id: str
    name: str
    place: str
    people: tuple[str, ...]
    seconds: Spread
    splittable: bool = False
    of: str = ""
    share: float = 1.0
    undoable: bool = False
    chance: float = 0.0
    redo: tuple[str, ...] = ()
    shows: float = 0.0
    after: tuple[str, ...] = ()
    earliest_s: int = 0
    needed: bool = True
    late: Spread | None = None
    bound: Bound = Bound.SET
    awaited: Awaited | None = None
    crew: int = 1

    def __post_init__(self) -> None:
        """Refuse a task for nobody, or for more people than may do it."""
        if not 1 <= self.crew <= max(1, len(self.people)):
            raise ValueError("a crew is at least one of those who may do it, and at most all")


Activity = Run | Task


class Turn(StrEnum):
    """What a swap decides. The wording table's `[swap]` has a template for each."""

    BED = "bed"
    ROUTE = "route"
    GATE = "gate"
    DROP = "drop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """A decision left to the planner: some activities are carried out instead of others.

    It can be taken while all of `out` are carried out and none of `into`; then it is the other way
    round. What is not carried out is waited for by nobody, so that whoever waits for either names
    both.

    Attributes:
        id: unique among swaps.
        kind: what it decides: how parts share beds, how something is made, whether a gate looks
            for a fault early, whether something optional is left out.
        name: what it is about, as shown.
        out: ids of the activities that are no longer carried out.
        into: ids of those carried out instead.
    """

    id: str
    kind: Turn
    name: str
    out: frozenset[str]
    into: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Weekend:
    """Everything a planner needs to know, and nothing else.

    Attributes:
        zone: name of the time zone for showing times.
        begin_s: nothing happens before.
        deadline_s: the wall.
        horizon_s: hours are known up to here.
        hands, sites, stations, activities: ids are unique within each.
        travel_s: seconds between two places, both directions present.
        wanted_odds: chance of being done in time that the maker wants.
        swaps: decisions left to the planner; every set of activities reached by them, starting with
            `standing`, is a way to do the whole project.
        first: ids of activities that go before all others, whatever a plan's order says.
        settled: what was done before the weekend begins; carried out again only where a gate finds
            a fault.
    """

    zone: str
    begin_s: int
    deadline_s: int
    horizon_s: int
    hands: tuple[Hands, ...]
    sites: tuple[Site, ...]
    stations: tuple[Station, ...]
    activities: tuple[Activity, ...]
    travel_s: Mapping[tuple[str, str], int] = field(default_factory=dict)
    wanted_odds: float = 0.8
    swaps: tuple[Swap, ...] = ()
    first: frozenset[str] = frozenset()
    settled: tuple[Activity, ...] = ()

    @property
    def standing(self) -> frozenset[str]:
        """Ids of the activities that are carried out if no swap is taken."""
        instead = frozenset[str]().union(*(swap.into for swap in self.swaps))
        return frozenset(activity.id for activity in self.activities) - instead

    def watcher(self, going: Going) -> int | None:
        """Place in `hands` of whoever stays with a run that goes on; None if nobody does."""
        return next((n for n, hands in enumerate(self.hands) if hands.id == going.by), None)

    def way_s(self, origin: str, target: str) -> int:
        """Seconds from one place to another; none if they are the same.

        Raises:
            KeyError: no way between them is known.
        """
        return 0 if origin == target else self.travel_s[origin, target]

    def activity(self, ident: str) -> Activity:
        """The activity of that id, among what is to be done or was done before.

        Raises:
            KeyError: there is none.
        """
        for activity in (*self.activities, *self.settled):
            if activity.id == ident:
                return activity
        raise KeyError(ident)

    def station(self, ident: str) -> Station:
        """The station of that id.

        Raises:
            KeyError: there is none.
        """
        for station in self.stations:
            if station.id == ident:
                return station
        raise KeyError(ident)
