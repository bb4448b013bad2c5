"""Steps for hands: what of an entry needs a person next, where, and when they could begin.

A task is one step. An attended run is one step at its machine. An unattended run is a start, then
runs alone, then is cleared; an attempt that failed needs a restart.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from fabsched.model.foreseen import is_foreseen
from fabsched.model.network import Entry
from fabsched.model.plan import Reason, Why
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Bound, Hands, Run, Task, Weekend
from fabsched.model.windows import NEVER, Windows

_WHY_NOT_BEFORE = {
    Bound.SET: Why.EARLIEST,
    Bound.BEGIN: Why.BEGINS,
    Bound.PIN: Why.PINNED,
    Bound.TOLD: Why.PUT_OFF,
    Bound.ORDER: Why.TO_ORDER,
}


class Step(IntEnum):
    """What hands do; tending what runs already is more urgent than anything new."""

    RESTART = 0
    CLEAR = 1
    HAND = 2
    START = 3

    @property
    def urgency(self) -> int:
        """The lowest goes first; within the same, the order of the network."""
        return min(self, Step.HAND)

    @property
    def takes_machine(self) -> bool:
        """Whether a machine, if one is used, has to be free before."""
        return self >= Step.HAND


@dataclass(frozen=True, slots=True)
class Hold:
    """Something that holds a step back.

    Attributes:
        moment_s: until when.
        reason: what it is.
        place: from where its result is brought; empty if nothing is brought.
        foreseen: whether one sets out so as to be there at that very moment.
    """

    moment_s: int
    reason: Reason
    place: str = ""
    foreseen: bool = False

    def for_way(self, weekend: Weekend, place: str, way_s: int) -> "Hold":
        """The same for somebody who has a way to go to a place.

        They may set out when it is over, and take its result along. If the way of the result itself
        is longer than theirs, they set out later by the difference. For what is foreseen they set
        out before.
        """
        if self.foreseen:
            return replace(self, moment_s=self.moment_s - way_s)
        brought_s = weekend.way_s(self.place, place) if self.place else 0
        if brought_s <= way_s:
            return Hold(self.moment_s, self.reason)
        code = Why.BROUGHT if self.reason.code is Why.AFTER else self.reason.code
        return Hold(self.moment_s + brought_s - way_s, replace(self.reason, code=code))


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a step could be done.

    Attributes:
        place: id of the place.
        hands_s: how long hands are likely to be busy.
        alone_s: how long the machine is then likely to run alone; 0 if it does not.
        choice: index of the machine among the run's choices; 0 for tasks.
        machine: id of the station; empty for tasks.
        start_s, clear_s: hands needed to start and to clear a run; 0 for tasks.
        watch_s: for how long whoever started it stays beside it; part of `hands_s`.
        stays: whether whoever started it stays at the place until it is over.
    """

    place: str
    hands_s: int
    alone_s: int = 0
    choice: int = 0
    machine: str = ""
    start_s: int = 0
    clear_s: int = 0
    watch_s: int = 0
    stays: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """The next step of an entry.

    Attributes:
        entry: whose.
        step: which.
        spots: where it could be done, the preferred one first.
        holds: what it waits for, apart from machines and hands.
    """

    entry: Entry
    step: Step
    spots: tuple[Spot, ...]
    holds: tuple[Hold, ...]

    def may_be_done_by(self, person: Hands) -> bool:
        """Anybody may tend a machine; a task names its people."""
        activity = self.entry.activity
        return isinstance(activity, Run) or person.id in activity.people

    @property
    def crew(self) -> int:
        """How many people it takes at once; machines are tended by one."""
        activity = self.entry.activity
        return 1 if isinstance(activity, Run) else activity.crew


@dataclass(frozen=True, slots=True)
class Seat:
    """One of several people who do something together.

    Attributes:
        hands: who.
        way_s: how long they travel there.
        out_s: when they could set out at the earliest.
        hold: what keeps them longest from it.
    """

    hands: Hands
    way_s: int
    out_s: int
    hold: Hold


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What one person could do next, and when; or several together.

    Attributes:
        duty: the step.
        spot: where.
        start_s: when hands would begin.
        way_s: how long they travel before.
        hold: what held it back longest; its moment is that of setting out.
        crew: all who do it, if they are several; the way is then the longest of theirs.
        look_s: when to look again, if some of them are not free yet; None if it can be done.
        out_s: when they set out; None for just in time.
    """

    duty: Duty
    spot: Spot
    start_s: int
    way_s: int
    hold: Hold
    crew: tuple[Seat, ...] = ()
    look_s: int | None = None
    out_s: int | None = None

    @property
    def depart_s(self) -> int:
        """When they would set out, or begin if they are there."""
        return self.start_s - self.way_s if self.out_s is None else self.out_s


@dataclass(frozen=True, slots=True)
class Deed:
    """A step as it was done.

    Attributes:
        hands: who did it.
        offer: what was done, from when.
        end_s: when hands were free again.
        reason: why it started when it did.
        others: ids of those who did it with them.
        mark: what tells the block from those of the others who did it; empty for the first of them.
    """

    hands: Hands
    offer: Offer
    end_s: int
    reason: Reason
    others: tuple[str, ...] = ()
    mark: str = ""


def first_duty(weekend: Weekend, entry: Entry, holds: Iterable[Hold], late_s: int = 0) -> Duty:
    """The first step of an entry, once everything it waits for has a moment.

    Args:
        weekend: for the places of machines.
        entry: whose.
        holds: what it waited for.
        late_s: by how much it may start later than told.
    """
    activity = entry.activity
    alone = isinstance(activity, Run) and not activity.attended
    begin = Hold(weekend.begin_s, Reason(Why.FIRST))
    why = (
        Why.EXPECTED
        if late_s and activity.bound is not Bound.ORDER
        else _WHY_NOT_BEFORE[activity.bound]
    )
    earliest = Hold(activity.earliest_s + late_s, Reason(why), foreseen=is_foreseen(activity))
    return Duty(
        entry=entry,
        step=Step.START if alone else Step.HAND,
        spots=tuple(_spots(weekend, activity)),
        # Of what ends at the same moment, the first is told as the reason.
        holds=(*holds, begin, earliest),
    )


def _spots(weekend: Weekend, activity: Activity) -> Iterator[Spot]:
    """Where something could be done."""
    if isinstance(activity, Task):
        yield Spot(place=activity.place, hands_s=whole_s(activity.seconds.likely))
        return
    for index, choice in enumerate(activity.choices):
        mine, likely_s = activity.at(choice), whole_s(choice.seconds.likely)
        by_hand_s = likely_s + mine.clear_s if mine.attended else mine.watched_s
        yield Spot(
            place=weekend.station(choice.machine).place,
            hands_s=mine.start_s + by_hand_s,
            alone_s=0 if mine.attended else likely_s,
            choice=index,
            machine=choice.machine,
            start_s=mine.start_s,
            clear_s=mine.clear_s,
            watch_s=mine.watched_s,
            stays=mine.stays and not mine.attended,
        )


def spot_on(weekend: Weekend, run: Run, machine: str) -> Spot:
    """Where a run is done on one of its machines.

    Raises:
        StopIteration: the machine is none of them.
    """
    return next(spot for spot in _spots(weekend, run) if spot.machine == machine)


def restart_of(entry: Entry, spot: Spot, noticed_s: int) -> Duty:
    """The step after a failed attempt: clear the machine and start it again."""
    hold = Hold(noticed_s, Reason(Why.FAILED, {"what": entry.activity.name}))
    again = replace(spot, hands_s=spot.clear_s + spot.start_s + spot.watch_s)
    return Duty(entry=entry, step=Step.RESTART, spots=(again,), holds=(hold,))


def clear_of(weekend: Weekend, entry: Entry, spot: Spot, ended_s: int) -> Duty:
    """The step after an attempt that succeeded; of what was over before, nothing is waited for."""
    ends = Reason(Why.STARTED, {"what": entry.activity.name})
    hold = Hold(ended_s, ends if ended_s > weekend.begin_s else Reason(Why.FIRST))
    clearing = replace(spot, hands_s=spot.clear_s, alone_s=0)
    return Duty(entry=entry, step=Step.CLEAR, spots=(clearing,), holds=(hold,))


class Hours:
    """When steps may be done."""

    def __init__(self, weekend: Weekend) -> None:
        self._sites = {site.id: site.windows for site in weekend.sites}
        self._stations = {station.id: station.windows for station in weekend.stations}
        self._shared: dict[tuple[str, str, str], Windows] = {}

    def shared(self, person: Hands, place: str, machine: str = "") -> Windows:
        """When a person is up, a place is open and, if one is named, a machine may run."""
        key = (person.id, place, machine)
        if key not in self._shared:
            both = person.windows & self._sites[place]
            self._shared[key] = both & self._stations[machine] if machine else both
        return self._shared[key]

    def of(self, person: Hands, duty: Duty, spot: Spot) -> Windows:
        """When this person may do this step: also in the machine's hours if they attend it."""
        return self.shared(person, spot.place, spot.machine if duty.step is Step.HAND else "")

    def may_run(self, person: Hands, spot: Spot) -> Windows:
        """When the machine may run alone that this person starts: only while they stay, if they must."""
        return self.staying(person, spot) if spot.stays else self._stations[spot.machine]

    def staying(self, person: Hands, spot: Spot) -> Windows:
        """The same, for somebody who stays at its place all along."""
        key = (f"{person.id} stays", spot.place, spot.machine)
        if key not in self._shared:
            may_run = self._sites[spot.place] & self._stations[spot.machine]
            at_home = spot.place == person.base
            self._shared[key] = may_run - person.away if at_home else may_run & person.windows
        return self._shared[key]

    def together(self, people: Sequence[Hands], duty: Duty, spot: Spot) -> Windows:
        """When all of some people may do this step."""
        key = (" ".join(person.id for person in people), spot.place, spot.machine)
        if key not in self._shared:
            windows = self.of(people[0], duty, spot)
            for person in people[1:]:
                windows &= self.of(person, duty, spot)
            self._shared[key] = windows
        return self._shared[key]

    def first_start(self, person: Hands, duty: Duty, spot: Spot, moment_s: int) -> int:
        """The first start at or after a moment that the hours allow; `NEVER` if there is none.

        What may not be split has to fit into one window by its likely time, and so has the time
        the machine will then run alone.
        """
        windows = self.of(person, duty, spot)
        activity = duty.entry.activity
        if isinstance(activity, Task) and activity.splittable:
            return windows.next_open(moment_s)
        start_s = windows.first_fit(moment_s, spot.hands_s)
        if duty.step not in (Step.START, Step.RESTART):
            return start_s
        before_s, may_run = spot.hands_s - spot.watch_s, self.may_run(person, spot)
        # Each turn leaves a window of the hands or of the machine behind, so the turns are few.
        while start_s < NEVER:
            left_s = start_s + before_s
            runs_s = may_run.first_fit(left_s, spot.alone_s)
            if runs_s == left_s:
                break
            start_s = windows.first_fit(runs_s - before_s, spot.hands_s)
        return start_s


@dataclass(frozen=True, slots=True)
class Where:
    """A person at a moment.

    Attributes:
        hands: who.
        place: id of the place they are at.
        moment_s: when.
        bound_s: before this moment they do not leave the place.
    """

    hands: Hands
    place: str
    moment_s: int
    bound_s: int = 0


def offer_of(
    weekend: Weekend, hours: Hours, where: Where, duty: Duty, machines: Mapping[str, Hold]
) -> Offer | None:
    """The earliest that somebody could do a step; None if no time is known yet, or there is none.

    Args:
        weekend: for the ways.
        hours: for the windows.
        where: who would do it, and where they are when.
        duty: the step.
        machines: since when each machine is free, or will be; missing while that is not known.

    Of several machines the one that gives the earliest start is taken, the first on a tie. Nobody
    sets out before everything the step waits for is over.
    """
    best: Offer | None = None
    for spot in duty.spots:
        way_s = weekend.way_s(where.place, spot.place)
        hold = hold_of(weekend, duty, spot, way_s, machines)
        if hold is None:
            continue
        arrive_s = set_out_s(where, hold.moment_s, way_s) + way_s
        start_s = hours.first_start(where.hands, duty, spot, arrive_s)
        if start_s < (best.start_s if best else NEVER):
            best = Offer(duty=duty, spot=spot, start_s=start_s, way_s=way_s, hold=hold)
    return best


def hold_of(
    weekend: Weekend, duty: Duty, spot: Spot, way_s: int, machines: Mapping[str, Hold]
) -> Hold | None:
    """What keeps somebody longest from setting out; None while the machine is busy for who knows."""
    holds = [hold.for_way(weekend, spot.place, way_s) for hold in duty.holds]
    if spot.machine and duty.step.takes_machine:
        if spot.machine not in machines:
            return None
        holds.append(machines[spot.machine])
    return max(holds, key=lambda hold: hold.moment_s)


def set_out_s(where: Where, held_s: int, way_s: int) -> int:
    """When somebody sets out at the earliest; ways begin while they are up, and may leave."""
    leaves_s = max(where.moment_s, where.bound_s)
    free_s = where.hands.windows.next_open(leaves_s) if way_s else where.moment_s
    return max(held_s, free_s)
