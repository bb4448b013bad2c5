"""Asking the solver: the same weekend, seed and effort give the same schedule on any machine."""

import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from fabsched.model.plan import Course
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.schedule.solver.constraints import Constraints
from fabsched.schedule.solver.hints import add_hints
from fabsched.schedule.solver.jobs import NoRoom, jobs_of
from fabsched.schedule.solver.objective import add_objective
from fabsched.schedule.solver.times import Objective, times_of
from fabsched.schedule.solver.variables import JobVariables, Variables

WALL_S = 120.0
"""Seconds after which the solver is stopped whatever it has found: only a safety net, since the
effort is bounded by the solver's own deterministic count of its work."""

LOOK_S = 0.05
"""How often the watch is asked whether to stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How hard the solver tries.

    Attributes:
        work: bound on its deterministic time, about a second each on a usual machine.
        seed: of its random choices.
        workers: searches side by side; the result is the same each time with one only.
    """

    work: float = 1.0
    seed: int = 0
    workers: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """What the solver found.

    Attributes:
        status: "optimal", "feasible", or "unknown" if it found nothing.
        starts: moment at which each activity begins, by id; optional ones that nothing needed waits
            for are left out.
        finish_s: when the last needed activity is done; None if nothing was found.
        bound_s: no schedule with these times finishes earlier; None if unknown.
    """

    status: str
    starts: Mapping[str, int] = field(default_factory=dict)
    finish_s: int | None = None
    bound_s: int | None = None

    def gap(self, begin_s: int) -> float | None:
        """How far the finish may be from the best, as a share of the whole; None if unknown."""
        if self.finish_s is None or self.bound_s is None or self.finish_s <= begin_s:
            return None
        return (self.finish_s - self.bound_s) / (self.finish_s - begin_s)


NOTHING = Schedule(status="unknown")


def solve(
    weekend: Weekend,
    objective: Objective,
    effort: Effort,
    *,
    hint: Course | None = None,
    watch: Watch = UNWATCHED,
) -> Schedule:
    """Search for the best schedule by an objective.

    The model leaves out that one travels only while up, and foresees what the dispatch rule cannot;
    so its bound holds for every plan, and its order is a proposal that replay has to prove.

    Args:
        weekend: what is to be scheduled.
        objective: what good means, and which times hold.
        effort: how hard to try.
        hint: a course to start from.
        watch: asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    times = times_of(weekend, objective)
    try:
        variables = Variables(weekend, jobs_of(weekend, times))
    except NoRoom:
        return NOTHING
    Constraints(variables, times).add_all()
    add_objective(variables, times)
    if hint is not None:
        add_hints(variables, hint)
    solver = _solver(effort)
    with _stopped_by(watch, solver):
        status = solver.solve(variables.model)
    check(watch)
    return _schedule(variables, objective, solver, status)


def _solver(effort: Effort) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    solver.parameters.max_deterministic_time = effort.work
    solver.parameters.max_time_in_seconds = WALL_S
    return solver


@contextmanager
def _stopped_by(watch: Watch, solver: cp_model.CpSolver) -> Iterator[None]:
    """Stop the search as soon as the watch says so."""
    over = threading.Event()

    def look() -> None:
        while not over.wait(LOOK_S):
            if watch.stopped():
                solver.stop_search()

    looker = threading.Thread(target=look, name="solver-watch")
    looker.start()
    try:
        yield
    finally:
        over.set()
        looker.join()


def _schedule(
    variables: Variables, objective: Objective, solver: cp_model.CpSolver, status: Any
) -> Schedule:
    names = {cp_model.OPTIMAL: "optimal", cp_model.FEASIBLE: "feasible"}
    begin_s = variables.weekend.begin_s
    bound_s = None
    if objective is not Objective.RISK and status in (*names, cp_model.UNKNOWN):
        bound_s = begin_s + round(solver.best_objective_bound)
    if status not in names:
        return Schedule(status="unknown", bound_s=bound_s)
    starts = {
        this.job.activity.id: begin_s + _start_of(this, variables, solver)
        for this in variables.jobs
    }
    return Schedule(
        status=names[status],
        starts=starts,
        finish_s=begin_s + solver.value(variables.finish),
        bound_s=bound_s,
    )


def _start_of(this: JobVariables, variables: Variables, solver: cp_model.CpSolver) -> int:
    for slot in this.begin:
        if slot.chosen is True or solver.boolean_value(slot.chosen):
            return variables.axes[slot.mode.hands.id].outer_start(solver.value(slot.begin))
    return int(solver.value(variables.starts(this)))
