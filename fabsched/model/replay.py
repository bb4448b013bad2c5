"""The dispatch rule: what happens when a plan is carried out once.

Whoever is free first takes the most urgent step that can start now. Tending what runs already comes
first (restarts, then clearing), then what a gate has found wrong, then the plan's order. At home one
starts anything, wherever it is; away one does what can be done there, waits there for something if
going home and coming back would take as long, else goes where something can start, else goes home.
What takes several people at once has a rule of its own: `model.crews`.

Everything is whole seconds. Nothing here is random: how long things take and what fails is the
scenario's. `odds.kernel` does the same for many scenarios and has to agree to the second.
"""

from math import floor

from fabsched.model.blocks import Writer
from fabsched.model.crews import crew_offer, own_offer
from fabsched.model.deciding import Wait, decide
from fabsched.model.network import Entry, Network, network
from fabsched.model.plan import Course, Doing, Plan, Reason, Why
from fabsched.model.players import Player, Standing
from fabsched.model.reasons import Since, doing_of, reason_of, reason_of_crew
from fabsched.model.scenario import Scenario
from fabsched.model.steps import (
    Deed,
    Duty,
    Hold,
    Hours,
    Offer,
    Spot,
    Step,
    Where,
    clear_of,
    first_duty,
    offer_of,
    restart_of,
    spot_on,
)
from fabsched.model.weekend import MAX_ROUNDS, NOTICE_S, Hands, Run, Task, Weekend
from fabsched.model.windows import NEVER


def replay(weekend: Weekend, plan: Plan, scenario: Scenario) -> Course:
    """Carry a plan out.

    Args:
        weekend: activities, hands, machines, hours and ways.
        plan: the order of urgency, and what is left out.
        scenario: how long everything takes and what goes wrong; `scenario.nominal` for the likely.

    Returns:
        Every block with its reason, when each entry was done, and the finish.

    Raises:
        ValueError: the plan does not name every activity exactly once.
        KeyError: the scenario or the weekend lacks something the plan needs.
    """
    play = _Play(weekend, network(weekend, plan), scenario)
    failed = (*scenario.lost.values(), *scenario.lost_on.values())
    steps = 2 * len(play.net.entries) + sum(map(len, failed))
    for _ in range(most_turns(weekend, steps)):
        person = play.next_person()
        if person is None:
            return play.course()
        play.act(person)
    raise AssertionError("the dispatch rule does not come to an end")


def most_turns(weekend: Weekend, steps: int) -> int:
    """How often somebody acts at most, if that many steps are done.

    A turn is a step, a way home or a wait. One goes home at most once after each step, and once
    from where one is at the beginning. Between two steps nothing changes but the hour, so one waits
    once for what can start next, and once more each time a pause of one's own gets into the way of
    setting out, and once when one may leave again. For crews one looks again whenever somebody is free, and when hours end.
    """
    waits = sum(len(hands.windows.spans) + 3 for hands in weekend.hands)
    crews = sum(isinstance(a, Task) and a.crew > 1 for a in (*weekend.activities, *weekend.settled))
    if crews:
        ends = waits + sum(len(site.windows.spans) for site in weekend.sites)
        waits += len(weekend.hands) * (4 + crews * ends)
    return (steps + 1) * (2 + waits) + 2 * len(weekend.hands)


class _Play:
    """One course of one plan."""

    def __init__(self, weekend: Weekend, net: Network, scenario: Scenario) -> None:
        self.net = net
        self._weekend, self._scenario = weekend, scenario
        self._hours, self._writer, self._state = Hours(weekend), Writer(weekend), Standing()
        self._rank = {entry.id: place for place, entry in enumerate(net.entries)}
        begin = Hold(weekend.begin_s, Reason(Why.FIRST))
        self._state.machines = {station.id: begin for station in weekend.stations}
        self._people = [self._at_first(hands) for hands in weekend.hands]
        for entry in net.entries:
            if not entry.round:
                self._expect(entry)
        for entry in net.entries:
            if isinstance(entry.activity, Run) and entry.going:
                self._go_on(entry, spot_on(weekend, entry.activity, entry.going.machine))

    def _at_first(self, hands: Hands) -> Player:
        begin_s, place = self._weekend.begin_s, hands.at or hands.base
        return Player(hands, place, begin_s, Since(Where(hands, place, begin_s), ""))

    def next_person(self) -> Player | None:
        """Who is free first, the first listed on a tie; nobody if nothing is left to do."""
        if not self._state.left or not self._people:
            return None
        person = min(self._people, key=lambda person: (person.free_s, person.stands_back))
        return person if person.free_s < NEVER else None

    def act(self, person: Player) -> None:
        """Let somebody do a step, wait or go home."""
        person.acts()
        home_s = self._weekend.way_s(person.place, person.hands.base)
        decision = decide(person.where, home_s, self._offers(person))
        if isinstance(decision, Wait):
            keeps = self._rank[decision.keeps.entry.id] if decision.keeps else None
            person.waits(person.free_s, decision, keeps)
        elif decision is None:
            self._go_home(person, home_s)
        elif decision.crew:
            self._do_together(decision)
        else:
            self._do(person, decision)

    def course(self) -> Course:
        """What has happened."""
        ends = [self._state.done_s.get(ident, NEVER) for ident in self._state.needed]
        return Course(
            blocks=self._writer.sorted(),
            done_s=dict(self._state.done_s),
            finish_s=max(ends, default=self._weekend.begin_s),
        )

    def _offers(self, person: Player) -> tuple[Offer, ...]:
        """What somebody could do, the most urgent first."""
        duties = [d for d in self._state.duties.values() if d.may_be_done_by(person.hands)]
        duties.sort(key=lambda duty: (duty.step.urgency, self._rank[duty.entry.id]))
        offers = (self._offer(person, duty) for duty in duties)
        return tuple(offer for offer in offers if offer is not None)

    def _offer(self, person: Player, duty: Duty) -> Offer | None:
        machines = self._state.machines
        if duty.crew == 1:
            return offer_of(self._weekend, self._hours, person.where, duty, machines)
        rank = self._rank[duty.entry.id]
        others = [
            other.other(person.free_s, rank)
            for other in self._people
            if other is not person
            and duty.may_be_done_by(other.hands)
            and (other.idle or other.free_s < NEVER)
        ]
        return crew_offer(self._weekend, self._hours, person.where, others, duty, machines)

    def _go_home(self, person: Player, home_s: int) -> None:
        start_s, person.place = person.free_s, person.hands.base
        person.free_s += home_s
        if home_s:
            self._writer.way_back(person.hands, start_s, person.free_s)
            home = self._writer.name_of(person.place)
            person.since = Since(person.where, home, Doing.BACK)

    def _do(self, person: Player, offer: Offer) -> None:
        del self._state.duties[offer.duty.entry.id]
        why = reason_of(self._weekend, self._hours, person.since_for(offer), offer)
        deed = Deed(person.hands, offer, self._end_s(person.hands, offer), why)
        self._writer.way_there(person.hands, offer, why)
        stops_s = self._follow_up(deed)
        person.place, person.free_s = offer.spot.place, deed.end_s
        if offer.spot.stays and stops_s is not None:
            person.stays(offer.duty.entry.activity.name, stops_s)
        person.since = Since(person.where, offer.duty.entry.activity.name, doing_of(offer))
        self._wake_the_idle(deed.end_s)

    def _do_together(self, offer: Offer) -> None:
        """Several people do a task; the block of the first listed bears its name."""
        entry, spot = offer.duty.entry, offer.spot
        del self._state.duties[entry.id]
        crew = [(p, s) for p in self._people for s in offer.crew if s.hands is p.hands]
        windows = self._hours.together([p.hands for p, _ in crew], offer.duty, spot)
        whys = [(person.since_for(own_offer(offer, seat)), seat) for person, seat in crew]
        why = reason_of_crew(self._weekend, windows, whys, offer)
        end_s = windows.add(offer.start_s, self._luck(offer)[0])
        for person, seat in crew:
            mark = f"+{person.hands.id}" if person is not crew[0][0] else ""
            others = tuple(p.hands.id for p, _ in crew if p is not person)
            own = own_offer(offer, seat)
            self._writer.way_there(person.hands, own, why)
            self._writer.task(Deed(person.hands, own, end_s, why, others, mark), windows)
            person.acts()
            person.place, person.free_s = spot.place, end_s
            person.since = Since(person.where, entry.activity.name)
        self._finish(entry, spot, end_s)
        self._wake_the_idle(end_s)

    def _wake_the_idle(self, moment_s: int) -> None:
        """Whoever waits looks again when a step has changed what there is to do."""
        for person in self._people:
            if person.idle and person.free_s > moment_s:
                person.free_s = moment_s

    def _end_s(self, hands: Hands, offer: Offer) -> int:
        """When hands are free again; what takes longer than likely goes on after pauses."""
        spot, hands_s = offer.spot, offer.spot.hands_s
        if offer.duty.step is Step.HAND:
            seconds, lost = self._luck(offer)
            again_s = sum(floor(share * seconds) + spot.start_s for share in lost)
            hands_s = spot.start_s + again_s + seconds + spot.clear_s
        return self._hours.of(hands, offer.duty, spot).add(offer.start_s, hands_s)

    def _luck(self, offer: Offer) -> tuple[int, tuple[float, ...]]:
        """Seconds without the tending, and shares of them after which attempts fail."""
        ident = offer.duty.entry.id
        seconds = self._scenario.seconds[ident][offer.spot.choice]
        return seconds, self._scenario.failing(ident, offer.spot.choice)

    def _follow_up(self, deed: Deed) -> int | None:
        """What a step brings about; when a machine stops that it has left running alone."""
        entry = deed.offer.duty.entry
        match deed.offer.duty.step:
            case Step.HAND:
                self._by_hand(deed)
            case Step.START:
                self._writer.tend(deed, "start")
                return self._run_alone(deed)
            case Step.RESTART:
                self._writer.tend(deed, f"restart@{self._state.attempts[entry.id]}")
                return self._run_alone(deed)
            case Step.CLEAR:
                self._writer.tend(deed, "clear")
                self._cleared(entry, deed.offer.spot, deed.end_s)
        return None

    def _by_hand(self, deed: Deed) -> None:
        """A task or an attended run: done when the hands are."""
        duty, spot = deed.offer.duty, deed.offer.spot
        windows = self._hours.of(deed.hands, duty, spot)
        if spot.machine:
            self._writer.attended(deed, windows)
            self._occupy(duty.entry, spot, deed.end_s)
        else:
            self._writer.task(deed, windows)
        self._finish(duty.entry, spot, deed.end_s)

    def _run_alone(self, deed: Deed) -> int:
        """Hands have started a machine, or started it again; when it stops."""
        entry, spot = deed.offer.duty.entry, deed.offer.spot
        seconds, _ = self._luck(deed.offer)
        end_s, failed = self._runs_until(entry, spot, deed.end_s, seconds, spot.watch_s)
        self._writer.alone(deed, end_s, failed)
        self._stops(entry, spot, end_s, failed)
        return end_s

    def _go_on(self, entry: Entry, spot: Spot) -> None:
        """A run that was started before goes on from the beginning, or waits to be cleared."""
        begin_s, left_s = self._weekend.begin_s, self._scenario.left[entry.id]
        watch_s = self._watch_on(entry, spot)
        end_s, failed = self._runs_until(entry, spot, begin_s + watch_s, left_s, watch_s)
        number = self._weekend.watcher(entry.going) if entry.going and spot.stays else None
        if number is not None:
            self._people[number].stays(entry.activity.name, end_s)
        self._writer.going_on(entry, spot, (begin_s, end_s), failed)
        self._stops(entry, spot, end_s, failed)

    def _watch_on(self, entry: Entry, spot: Spot) -> int:
        """Whoever began a run watches it for as long as is left of that; how long that is."""
        number = self._weekend.watcher(entry.going) if entry.going else None
        if number is None or entry.going is None or not entry.going.watch_s:
            return 0
        person, begin_s = self._people[number], self._weekend.begin_s
        self._writer.watching(entry, spot, person.hands, (begin_s, begin_s + entry.going.watch_s))
        if person.free_s < begin_s + entry.going.watch_s:
            person.free_s = begin_s + entry.going.watch_s
            person.since = Since(person.where, entry.activity.name, Doing.START)
        return entry.going.watch_s

    def _runs_until(
        self, entry: Entry, spot: Spot, left_s: int, seconds: int, watch_s: int = 0
    ) -> tuple[int, int]:
        """When a machine stops, done or noticed to have failed; number of the attempt that fails.

        It is left alone after it has run for the watch; what fails until then is noticed then.
        """
        begin_s = left_s - watch_s
        lost = self._scenario.failing(entry.id, spot.choice)
        attempt = self._state.attempts.get(entry.id, 0)
        self._state.attempts[entry.id] = attempt + 1
        if attempt < len(lost):
            ran_s = floor(lost[attempt] * seconds)
            return (left_s if ran_s < watch_s else begin_s + ran_s + NOTICE_S), attempt + 1
        return begin_s + seconds, 0

    def _stops(self, entry: Entry, spot: Spot, end_s: int, failed: int) -> None:
        """A machine is held until it is cleared, or started again if it has failed."""
        self._state.machines.pop(spot.machine, None)
        if failed:
            self._state.duties[entry.id] = restart_of(entry, spot, end_s)
        else:
            self._to_clear(entry, spot, end_s)

    def _to_clear(self, entry: Entry, spot: Spot, end_s: int) -> None:
        """A run waits to be cleared; one that needs no hands for it is done with its machine."""
        if spot.clear_s:
            self._state.duties[entry.id] = clear_of(self._weekend, entry, spot, end_s)
        else:
            self._cleared(entry, spot, end_s)

    def _cleared(self, entry: Entry, spot: Spot, end_s: int) -> None:
        self._occupy(entry, spot, end_s)
        self._finish(entry, spot, end_s)

    def _occupy(self, entry: Entry, spot: Spot, end_s: int) -> None:
        """A machine is busy with an entry until a known moment."""
        facts = {"machine": self._weekend.station(spot.machine).name, "what": entry.activity.name}
        self._state.machines[spot.machine] = Hold(end_s, Reason(Why.MACHINE, facts))

    def _finish(self, entry: Entry, spot: Spot, end_s: int) -> None:
        """An entry is over: others may follow, or a gate has found a fault and wakes its copies."""
        if end_s >= NEVER:
            return
        facts = {"what": entry.activity.name}
        if entry.looks and entry.round < self._rounds(entry.gate):
            found = Hold(end_s, Reason(Why.FOUND, facts), spot.place)
            for copy in self.net.wakes[entry.id]:
                self._expect(copy)
                self._arrive(copy, found)
            return
        done = entry.gate if entry.looks else entry.id
        self._state.done_s[done] = end_s
        self._state.left.discard(done)
        for follower in self.net.followers[done]:
            self._arrive(follower, Hold(end_s, Reason(Why.AFTER, facts), spot.place))

    def _rounds(self, gate: str) -> int:
        """In how many rounds a gate finds a fault."""
        return min(self._scenario.faults.get(gate, 0), MAX_ROUNDS)

    def _expect(self, entry: Entry) -> None:
        """An entry will be carried out; a repeated gate stands for the gate itself."""
        if not (entry.looks and entry.round):
            self._state.left.add(entry.id)
            if entry.activity.needed:
                self._state.needed.add(entry.id)
        self._state.holds[entry.id] = []
        if not entry.after and not entry.going:
            self._release(entry)

    def _arrive(self, entry: Entry, hold: Hold) -> None:
        """One of the things an entry waits for is there; the last one releases it."""
        self._state.holds[entry.id].append(hold)
        if len(self._state.holds[entry.id]) == len(entry.after):
            self._release(entry)

    def _release(self, entry: Entry) -> None:
        holds = self._state.holds.pop(entry.id)
        late_s = self._scenario.late.get(entry.activity.id, 0)
        self._state.duties[entry.id] = first_duty(self._weekend, entry, holds, late_s)
