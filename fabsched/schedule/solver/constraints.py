"""The rules of the shop, one method each."""

from collections.abc import Iterable
from itertools import combinations, product

from ortools.sat.python import cp_model

from fabsched.model.weekend import Run
from fabsched.schedule.solver.axis import Axis
from fabsched.schedule.solver.choice import add_choice
from fabsched.schedule.solver.modes import Crew
from fabsched.schedule.solver.teams import Team
from fabsched.schedule.solver.times import Times
from fabsched.schedule.solver.variables import (
    Expression,
    JobVariables,
    Literal,
    Slot,
    Slots,
    Variables,
)
from fabsched.schedule.ways import shortest


class Constraints:
    """Adds the rules to a model.

    Attributes:
        variables: what they speak of.
        times: for what gates are expected to cost.
    """

    def __init__(self, variables: Variables, times: Times) -> None:
        self.variables = variables
        self.times = times
        self.model = variables.model
        self._jobs = {this.job.activity.id: this for this in variables.jobs}
        places = [site.id for site in variables.weekend.sites]
        self._ways = shortest(places, variables.weekend.travel_s)

    def add_all(self) -> None:
        """Every rule."""
        add_choice(self.variables)
        self._jobs_are_done_at_one_place()
        self._steps_are_done_in_one_way()
        self._hands_are_where_the_machine_is()
        self._crews_stop_while_one_of_them_has_a_pause()
        self._people_do_one_thing_at_a_time()
        self._ways_take_their_time()
        self._whoever_stays_goes_nowhere_else()
        self._machines_run_in_their_hours()
        self._machines_have_stopped_when_they_are_cleared()
        self._machines_are_held_until_they_are_cleared()
        self._needs_come_first()
        self._nothing_needed_is_done_after_the_finish()

    def _jobs_are_done_at_one_place(self) -> None:
        for this in self.variables.jobs:
            if len(this.on) > 1:
                self._one_if(this.on.values(), this.live)

    def _steps_are_done_in_one_way(self) -> None:
        for this in self.variables.jobs:
            for slots in (this.begin, this.clear):
                if len(slots) > 1 and this.job.size > 1:
                    self._enough_if(slots, this)
                elif len(slots) > 1:
                    self._one_if([slot.chosen for slot in slots], this.live)

    def _enough_if(self, slots: Slots, this: JobVariables) -> None:
        """Exactly as many people as it takes, or none if the job is not carried out."""
        people = [slot.chosen if isinstance(slot.count, int) else slot.count for slot in slots]
        self.model.add(sum(people) == this.job.size * this.live)

    def _one_if(self, literals: Iterable[Literal], live: Literal) -> None:
        """Exactly one of them, or none if the job is not carried out."""
        if live is True:
            self.model.add_exactly_one(literals)
        else:
            self.model.add_exactly_one(*literals, ~live)

    def _hands_are_where_the_machine_is(self) -> None:
        """Hands choose a way that belongs to the machine the job is done on."""
        for this in self.variables.jobs:
            for slot in (*this.begin, *this.clear):
                theirs = [this.on[m] for m in slot.mode.machines if m in this.on]
                if theirs and len(theirs) < len(this.on):
                    self.variables.given(self.model.add_bool_or(theirs), slot.chosen)

    def _crews_stop_while_one_of_them_has_a_pause(self) -> None:
        """What may be split takes its time of the hours in which all who do it may.

        What may not be split begins and ends with all of them at once and needs no rule for that.
        """
        for this in self.variables.jobs:
            if this.job.crews and this.job.begin[0].splittable:
                mixed = [self._mixture(this, crew) for crew in this.job.crews]
                self._one_if(mixed, this.live)

    def _mixture(self, this: JobVariables, crew: Crew) -> Literal:
        """Whether it is done by people of these hours, at least one of each, in the time they share."""
        mixed = self.model.new_bool_var("crew")
        for hours in dict.fromkeys(mode.windows for mode in this.job.begin):
            theirs = [slot.chosen for slot in this.begin if slot.mode.windows == hours]
            if hours in crew.hours:
                self.model.add_bool_or(theirs).only_enforce_if(mixed)
            else:
                self.model.add(sum(theirs) == 0).only_enforce_if(mixed)
        self._done_within(this, crew, mixed)
        return mixed

    def _done_within(self, this: JobVariables, crew: Crew, mixed: Literal) -> None:
        axis, seconds = Axis(self.variables.since_begin(crew.windows)), this.job.begin[0].seconds
        begin = self.variables.among(((0, axis.length - seconds),))
        start = self.variables.outer(axis, begin, after=0)
        end = self.variables.outer(axis, begin + seconds, after=1)
        self.model.add(self.variables.clock_start(this.begin) == start).only_enforce_if(mixed)
        self.model.add(self.variables.clock_end(this.begin) == end).only_enforce_if(mixed)

    def _people_do_one_thing_at_a_time(self) -> None:
        for team, taken in self._slots_by_team().items():
            intervals = [slot.interval for slot, _ in taken]
            if team.size == 1:
                self.model.add_no_overlap(intervals)
            else:
                counts = [slot.count for slot, _ in taken]
                self.model.add_cumulative(intervals, counts, team.size)

    def _ways_take_their_time(self) -> None:
        """Between two steps of one person at different places lies the way, whichever is first."""
        for taken in self._slots_by_team().values():
            for (a, step_a), (b, step_b) in combinations(taken, 2):
                if a.mode.place != b.mode.place:
                    there_s = self._ways[a.mode.place, b.mode.place]
                    back_s = self._ways[b.mode.place, a.mode.place]
                    first = self.model.new_bool_var("first")
                    self._apart(step_a, step_b, there_s, first, a.chosen, b.chosen)
                    self._apart(step_b, step_a, back_s, ~first, a.chosen, b.chosen)

    def _apart(self, one: Slots, other: Slots, way_s: int, *where: Expression) -> None:
        end, start = self.variables.clock_end(one), self.variables.clock_start(other)
        self.variables.given(self.model.add(start >= end + way_s), *where)

    def _whoever_stays_goes_nowhere_else(self) -> None:
        """Of two steps at different places, one that comes after a start comes after its run.

        What comes before is kept apart by the way alone. Whose hours allow to stay is left to replay.
        """
        for this in self.variables.jobs:
            for machine in this.job.stays & this.on.keys():
                if this.job.going:
                    self._not_away_before(this, machine)
                for slot in this.begin:
                    if machine in slot.mode.machines:
                        self._not_away_between(this, machine, slot)

    def _not_away_between(self, this: JobVariables, machine: str, start: Slot) -> None:
        """Whoever starts a machine is not elsewhere before it stops."""
        runs = self.variables.machine_starts(this)
        stops, on = runs + this.job.alone_s[machine], this.on[machine]
        for slot, step in self._slots_by_team()[start.mode.team]:
            if slot.mode.place != start.mode.place:
                before = self.model.new_bool_var("before")
                way_s = self._ways[start.mode.place, slot.mode.place]
                chosen = (on, start.chosen, slot.chosen)
                ends, begins = self.variables.clock_end(step), self.variables.clock_start(step)
                self.variables.given(self.model.add(ends <= runs), before, *chosen)
                self.variables.given(self.model.add(begins >= stops + way_s), ~before, *chosen)

    def _not_away_before(self, this: JobVariables, machine: str) -> None:
        """Whoever has started what goes on is not elsewhere before it stops."""
        place, stops = this.job.places[machine], this.job.alone_s[machine]
        for team, taken in self._slots_by_team().items():
            for slot, step in taken:
                if this.job.by == team.id and slot.mode.place != place:
                    begins = self.variables.clock_start(step)
                    away = self.model.add(begins >= stops + self._ways[place, slot.mode.place])
                    self.variables.given(away, this.live, slot.chosen)

    def _machines_run_in_their_hours(self) -> None:
        """What runs alone runs without a pause; what is attended is so by the hours of its hands."""
        for this in self.variables.jobs:
            if this.job.going:
                continue
            for machine, alone_s in this.job.alone_s.items():
                windows = self.variables.weekend.station(machine).windows
                starts = [
                    [start, end - alone_s]
                    for start, end in self.variables.since_begin(windows)
                    if end - start >= alone_s
                ]
                rule = self.model.add_linear_expression_in_domain(
                    self.variables.machine_starts(this), cp_model.Domain.from_intervals(starts)
                )
                self.variables.given(rule, this.on[machine])

    def _machines_have_stopped_when_they_are_cleared(self) -> None:
        """A machine that needs no clearing is done when it stops."""
        for this in self.variables.jobs:
            for machine, alone_s in this.job.alone_s.items():
                stops = self.variables.machine_starts(this) + alone_s
                if this.clear:
                    rule = self.model.add(self.variables.clock_start(this.clear) >= stops)
                else:
                    rule = self.model.add(self.variables.done(this) == stops)
                self.variables.given(rule, this.on[machine])

    def _machines_are_held_until_they_are_cleared(self) -> None:
        """From the first hands to the last a machine takes no other job."""
        holds: dict[str, list[Expression]] = {}
        for this in self.variables.jobs:
            if isinstance(this.job.activity, Run):
                for machine in this.on:
                    holds.setdefault(machine, []).append(self._hold(this, machine))
        for intervals in holds.values():
            self.model.add_no_overlap(intervals)

    def _hold(self, this: JobVariables, machine: str) -> Expression:
        start, on = self.variables.starts(this), this.on[machine]
        if not this.begin and not this.clear:
            seconds = this.job.alone_s[machine]
            return self.model.new_optional_fixed_size_interval_var(start, seconds, on, "hold")
        size = self.variables.moment("hold")
        return self.model.new_optional_interval_var(
            start, size, self.variables.done(this), on, "hold"
        )

    def _needs_come_first(self) -> None:
        """What is waited for is done, and its result brought, before a job begins."""
        for this in self.variables.jobs:
            for need in self._needs(this):
                if self._same_hands(need, this):
                    end = (need.clear or need.begin)[0].end
                    rule = self.model.add(this.begin[0].begin >= end)
                    self.variables.given(rule, need.live, this.live)
                else:
                    self._brought(need, this)

    def _needs(self, this: JobVariables) -> list[JobVariables]:
        """What a job waits for, if it is carried out; what goes on already waits for nothing."""
        names = () if this.job.going else this.job.activity.after
        return [self._jobs[name] for name in names if name in self._jobs]

    def _same_hands(self, need: JobVariables, this: JobVariables) -> bool:
        """Whether one team ends the one and begins the other at one place, with no time between."""
        last = need.clear or ((not need.job.alone_s and need.begin) or ())
        if len(last) != 1 or len(this.begin) != 1 or self._lag_s(need):
            return False
        before, after = last[0].mode, this.begin[0].mode
        return before.team.id == after.team.id and before.place == after.place

    def _brought(self, need: JobVariables, this: JobVariables) -> None:
        places = product(need.job.places.items(), this.job.places.items())
        for (from_machine, origin), (to_machine, target) in places:
            way_s = self.variables.weekend.way_s(origin, target)
            done = self.variables.done(need) + self._lag_s(need) + way_s
            rule = self.model.add(self.variables.starts(this) >= done)
            self.variables.given(rule, need.on[from_machine], this.on[to_machine])

    def _nothing_needed_is_done_after_the_finish(self) -> None:
        """Only what nothing else waits for needs the rule; the rest is done before that."""
        certain = [this for this in self.variables.jobs if this.live is True]
        waited_for = {need.job.activity.id for this in certain for need in self._needs(this)}
        for ident, this in self._jobs.items():
            if ident not in waited_for:
                done = self.variables.done(this) + self._lag_s(this)
                self.variables.given(self.model.add(self.variables.finish >= done), this.live)

    def _lag_s(self, this: JobVariables) -> int:
        return self.times.lag_s.get(this.job.activity.id, 0)

    def _steps(self) -> list[Slots]:
        return [step for this in self.variables.jobs for step in (this.begin, this.clear) if step]

    def _slots_by_team(self) -> dict[Team, list[tuple[Slot, Slots]]]:
        found: dict[Team, list[tuple[Slot, Slots]]] = {}
        for step in self._steps():
            for slot in step:
                found.setdefault(slot.mode.team, []).append((slot, step))
        return found
