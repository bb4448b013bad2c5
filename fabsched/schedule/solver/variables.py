"""Variables of the model, named in the words of the shop.

Moments are whole seconds since the weekend began. Hands are placed in the open time of a person
(`axis`), machines in clock time; clock times of hands are made only when a rule asks for them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from fabsched.model.weekend import Run, Swap, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.solver.axis import Axis, Span
from fabsched.schedule.solver.jobs import Job
from fabsched.schedule.solver.modes import Mode, Step

Expression = Any
"""A linear expression of ortools, which ships no types: a variable, a sum or a number."""

Literal = Any
"""A Boolean variable of ortools, or True."""


@dataclass(frozen=True, slots=True, eq=False)
class Slot:
    """A mode of a step in the model.

    Attributes:
        mode: who does it, where.
        chosen: whether it is done this way.
        count: how many of the team take part: a number that holds if it is chosen, or a variable that
            is zero if it is not.
        begin, end: in the team's open time.
        interval: what it occupies of that time.
    """

    mode: Mode
    chosen: Literal
    count: Expression
    begin: Expression
    end: Expression
    interval: Expression


Times = tuple[Expression, Expression, Expression]
"""Beginning, end and interval of a slot."""

Slots = tuple[Slot, ...]
"""A step in the model: one of them is chosen, or several that make up a crew."""


@dataclass(frozen=True, slots=True, eq=False)
class JobVariables:
    """A job in the model.

    Attributes:
        job: what it is about.
        live: whether it is carried out.
        on: whether it is done at each place, by station id; a task is under the empty id.
        begin, clear: the ways to do its steps; empty if it has none.
    """

    job: Job
    live: Literal
    on: dict[str, Literal]
    begin: Slots
    clear: Slots


class Variables:
    """All variables of one weekend, and the model that holds them.

    Attributes:
        model: what is handed to the solver.
        weekend: what it is about.
        span_s: from the beginning to the horizon.
        axes: open time of each person, by id; a team has that of the first of them.
        jobs: in the weekend's order.
        finish: when the last needed activity is done.
    """

    def __init__(self, weekend: Weekend, jobs: Iterable[Job]) -> None:
        self.model = cp_model.CpModel()
        self.weekend = weekend
        self.span_s = weekend.horizon_s - weekend.begin_s
        self.axes = {hands.id: Axis(self.since_begin(hands.windows)) for hands in weekend.hands}
        self._clock: dict[tuple[Slots, str], Expression] = {}
        self._free: dict[str, Expression] = {}
        self._taken: dict[str, Literal] = {}
        self.jobs = tuple(self._job(job) for job in jobs)
        self.finish = self.moment("finish")

    def since_begin(self, windows: Windows) -> tuple[Span, ...]:
        """Windows in the model's time."""
        begin_s = self.weekend.begin_s
        return tuple((start - begin_s, end - begin_s) for start, end in windows)

    def moment(self, name: str) -> Expression:
        """A new clock time."""
        return self.model.new_int_var(0, self.span_s, name)

    def taken(self, swap: Swap) -> Literal:
        """Whether a swap is taken."""
        if swap.id not in self._taken:
            self._taken[swap.id] = self.model.new_bool_var(f"taken {swap.id}")
        return self._taken[swap.id]

    def given(self, constraint: Any, *literals: Literal) -> None:
        """Let a constraint hold only where all the literals do."""
        uncertain = [literal for literal in literals if literal is not True]
        if uncertain:
            constraint.only_enforce_if(*uncertain)

    def starts(self, this: JobVariables) -> Expression:
        """Clock time at which a job begins: its hands, or its machine if it needs none."""
        if this.begin:
            return self.clock_start(this.begin)
        if this.job.going:
            return 0
        ident = this.job.activity.id
        if ident not in self._free:
            self._free[ident] = self.moment(f"{ident} starts")
        return self._free[ident]

    def machine_starts(self, this: JobVariables) -> Expression:
        """Clock time at which a machine is left alone."""
        run = this.job.activity
        if not this.begin or not isinstance(run, Run):
            return self.starts(this)
        if any((c.start_s, c.watch_s) != (None, None) for c in run.choices):
            return self.clock_left(this.begin)
        mode = this.begin[0].mode
        return self.starts(this) + mode.seconds - mode.watch_s

    def done(self, this: JobVariables) -> Expression:
        """Clock time at which a job is over, so that others may follow."""
        if this.clear or not this.job.alone_s:
            return self.clock_end(this.clear or this.begin)
        ident = f"{this.job.activity.id} done"
        if ident not in self._free:
            self._free[ident] = self.moment(ident)
        return self._free[ident]

    def clock_start(self, slots: Slots) -> Expression:
        """Clock time at which a step begins."""
        key = (slots, "start")
        if key not in self._clock:
            self._clock[key] = self.moment("start")
            for slot in slots:
                clock = self.outer(self.axes[slot.mode.team.id], slot.begin, after=0)
                self.given(self.model.add(self._clock[key] == clock), slot.chosen)
        return self._clock[key]

    def clock_end(self, slots: Slots) -> Expression:
        """Clock time at which a step ends."""
        key = (slots, "end")
        if key not in self._clock:
            self._clock[key] = self.moment("end")
            for slot in slots:
                if slot.mode.splittable:
                    clock = self.outer(self.axes[slot.mode.team.id], slot.end, after=1)
                else:
                    clock = self.clock_start(slots) + slot.mode.seconds
                self.given(self.model.add(self._clock[key] == clock), slot.chosen)
        return self._clock[key]

    def clock_left(self, slots: Slots) -> Expression:
        """Clock time at which a machine runs that a step starts; hands may stay to watch."""
        if not any(slot.mode.watch_s for slot in slots):
            return self.clock_end(slots)
        key = (slots, "left")
        if key not in self._clock:
            self._clock[key] = self.moment("left")
            for slot in slots:
                clock = self.clock_start(slots) + slot.mode.seconds - slot.mode.watch_s
                self.given(self.model.add(self._clock[key] == clock), slot.chosen)
        return self._clock[key]

    def outer(self, axis: Axis, inner: Expression, *, after: int) -> Expression:
        """The outer time of a moment on an axis: the moment itself and all pauses before it.

        Args:
            axis: where the moment lies.
            inner: the moment.
            after: 0 for beginnings, which lie behind a pause they meet; 1 for ends, which lie before.
        """
        outer = axis.origin + inner
        passed_before: Literal = True
        for pause in axis.pauses:
            passed = self.model.new_bool_var("passed")
            self.model.add(inner >= pause.mark + after).only_enforce_if(passed)
            self.model.add(inner < pause.mark + after).only_enforce_if(~passed)
            if passed_before is not True:
                self.model.add_implication(passed, passed_before)
            outer += pause.length * passed
            passed_before = passed
        return outer

    def _job(self, job: Job) -> JobVariables:
        live = True if job.certain else self.model.new_bool_var(f"live {job.activity.id}")
        alone = len(job.places) == 1
        on = {m: live if alone else self.model.new_bool_var(f"on {m}") for m in job.places}
        return JobVariables(
            job=job,
            live=live,
            on=on,
            begin=self._slots(job.begin, live, job.size),
            clear=self._slots(job.clear, live),
        )

    def _slots(self, step: Step, live: Literal, size: int = 1) -> Slots:
        times = self._times_in_crew if size > 1 else self._times
        if len(step) == 1:
            return (Slot(step[0], live, size, *times(step[0], live)),)
        chosen = [(mode, self.model.new_bool_var("chosen")) for mode in step]
        return tuple(Slot(*way, self._count(*way, size), *times(*way)) for way in chosen)

    def _count(self, mode: Mode, chosen: Literal, size: int) -> Expression:
        """How many of a team are in a crew that others can make up as well."""
        most = min(mode.team.size, size)
        if most == 1:
            return 1
        count = self.model.new_int_var(0, most, "count")
        self.model.add(count >= 1).only_enforce_if(chosen)
        self.model.add(count == 0).only_enforce_if(~chosen)
        return count

    def _times(self, mode: Mode, chosen: Literal) -> Times:
        axis = self.axes[mode.team.id]
        inner = axis.within(self.since_begin(mode.windows))
        if mode.splittable and len(inner.spans) > 1:
            return self._times_over_closing(mode, chosen, inner)
        starts = (
            ((inner.origin, inner.origin + inner.length - mode.seconds),)
            if mode.splittable and inner.length >= mode.seconds
            else axis.starts(self.since_begin(mode.windows), mode.seconds)
        )
        begin = self.among(starts)
        interval = self.model.new_optional_fixed_size_interval_var(
            begin, mode.seconds, chosen, "hands"
        )
        return begin, begin + mode.seconds, interval

    def _times_over_closing(self, mode: Mode, chosen: Literal, inner: Axis) -> Times:
        """Splittable work at a place that closes while the person is up: nothing else meanwhile."""
        times = self._long_times(mode, chosen, shortest=0)
        done = self.among(((0, inner.length - mode.seconds),))
        self.model.add(times[0] == self.outer(inner, done, after=0))
        self.model.add(times[1] == self.outer(inner, done + mode.seconds, after=1))
        return times

    def _times_in_crew(self, mode: Mode, chosen: Literal) -> Times:
        """Work with others: if it is splittable, a pause of one keeps all of them."""
        if not mode.splittable:
            return self._times(mode, chosen)
        begin, end, interval = self._long_times(mode, chosen, shortest=mode.seconds)
        spans = self.axes[mode.team.id].within(self.since_begin(mode.windows)).spans
        for moment in (begin, end):
            domain = cp_model.Domain.from_intervals([list(span) for span in spans])
            self.given(self.model.add_linear_expression_in_domain(moment, domain), chosen)
        return begin, end, interval

    def _long_times(self, mode: Mode, chosen: Literal, shortest: int) -> Times:
        """Times of something that takes as long as others say, or longer."""
        length = self.axes[mode.team.id].length
        begin, end = (self.model.new_int_var(0, length, name) for name in ("b", "e"))
        size = self.model.new_int_var(shortest, length, "s")
        interval = self.model.new_optional_interval_var(begin, size, end, chosen, "hands")
        return begin, end, interval

    def among(self, spans: Iterable[Span]) -> Expression:
        """A variable that lies in one of the spans, both ends included."""
        domain = cp_model.Domain.from_intervals([list(span) for span in spans])
        return self.model.new_int_var_from_domain(domain, "begin")
