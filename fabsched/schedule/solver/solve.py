"""Asking the solver: the same weekend, seed and bounds give the same schedule on any machine."""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from fabsched.model.plan import Course
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.schedule.effort import THREADS
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.solver.choice import taken_in_turn, usable_swaps
from fabsched.schedule.solver.constraints import Constraints
from fabsched.schedule.solver.hints import add_hints
from fabsched.schedule.solver.horizon import cut
from fabsched.schedule.solver.jobs import jobs_of
from fabsched.schedule.solver.modes import NoRoom
from fabsched.schedule.solver.objective import add_objective
from fabsched.schedule.solver.times import Objective, times_of
from fabsched.schedule.solver.variables import JobVariables, Literal, Variables
from fabsched.schedule.watchers import without_watches

WALL_S = 120.0
"""Seconds after which the solver is stopped whatever it has found: only a safety net, since the
effort is bounded by the solver's own deterministic count of its work."""

LOOK_S = 0.05
"""How often the watch is asked whether to stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """What the solver found.

    Attributes:
        status: "optimal", "feasible", or "unknown" if it found nothing.
        starts: moment at which each activity begins, by id; optional ones that nothing needed waits
            for are left out.
        finish_s: when the last needed activity is done; None if nothing was found.
        bound_s: no schedule with these times finishes earlier; None if unknown.
        left_out: ids of the activities that are not carried out, of those swaps decide about.
    """

    status: str
    starts: Mapping[str, int] = field(default_factory=dict)
    finish_s: int | None = None
    bound_s: int | None = None
    left_out: frozenset[str] = frozenset()


NOTHING = Schedule(status="unknown")


def solve(
    weekend: Weekend,
    objective: Objective,
    bounds: Bounds,
    *,
    hint: Course | None = None,
    watch: Watch = UNWATCHED,
) -> Schedule:
    """Search for the best schedule by one objective; see `solve_each`."""
    return solve_each(weekend, (objective,), bounds, hints={objective: hint}, watch=watch)[
        objective
    ]


def solve_each(
    weekend: Weekend,
    objectives: Sequence[Objective],
    bounds: Bounds,
    *,
    hints: Mapping[Objective, Course | None],
    watch: Watch = UNWATCHED,
) -> dict[Objective, Schedule]:
    """Search for the best schedule by each of some objectives, two at a time.

    The model leaves out that one sets out only while up, and foresees what the dispatch rule cannot:
    so its nominal bound holds for every plan, and its order is a proposal that replay has to prove.

    Args:
        weekend: what is to be scheduled.
        objectives: what good means, and which times hold.
        bounds: how hard to try, for each.
        hints: courses to start from, by the objective's times; no better one ends later.
        watch: asked whether to stop, from this thread only.

    Raises:
        Cancelled: the watch said stop.
    """
    searches = [_Search.of(weekend, o, bounds, hints.get(o)) for o in objectives]
    with ThreadPoolExecutor(THREADS) as pool:
        running = {pool.submit(search.run) for search in searches}
        while wait(running, timeout=LOOK_S).not_done:
            if watch.stopped():
                for search in searches:
                    search.stop()
    check(watch)
    return {search.objective: search.schedule() for search in searches}


class _Search:
    """One run of the solver on one model."""

    def __init__(self, objective: Objective, variables: Variables | None, bounds: Bounds) -> None:
        self.objective = objective
        self._variables = variables
        self._status: Any = cp_model.UNKNOWN
        self._stopped = False
        self._solver = cp_model.CpSolver()
        self._solver.parameters.num_workers = bounds.workers
        self._solver.parameters.random_seed = bounds.seed
        self._solver.parameters.max_deterministic_time = bounds.work
        self._solver.parameters.max_time_in_seconds = WALL_S

    @classmethod
    def of(
        cls, weekend: Weekend, objective: Objective, bounds: Bounds, hint: Course | None
    ) -> "_Search":
        """Build the model; there is none if something fits into no window."""
        times = times_of(weekend, objective)
        weekend = without_watches(cut(weekend, hint, times))
        try:
            variables = Variables(weekend, jobs_of(weekend, times))
        except NoRoom:
            return cls(objective, None, bounds)
        Constraints(variables, times).add_all()
        add_objective(variables, times)
        if hint is not None:
            add_hints(variables, hint)
        return cls(objective, variables, bounds)

    def run(self) -> None:
        """Search; the interpreter lock is free meanwhile."""
        if self._variables is not None and not self._stopped:
            self._status = self._solver.solve(self._variables.model)

    def stop(self) -> None:
        """End the search soon."""
        self._stopped = True
        self._solver.stop_search()

    def schedule(self) -> Schedule:
        """What was found."""
        if self._variables is None:
            return NOTHING
        return _schedule(self._variables, self.objective, self._solver, self._status)


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
        if _is(this.live, solver)
    }
    choice = _choice(variables, solver)
    if choice is None:
        return Schedule(status="unknown", bound_s=bound_s)
    decided = (swap.out | swap.into for swap in variables.weekend.swaps)
    return Schedule(
        status=names[status],
        starts=starts,
        finish_s=begin_s + solver.value(variables.finish),
        bound_s=bound_s,
        left_out=frozenset[str]().union(*decided) - choice,
    )


def _choice(variables: Variables, solver: cp_model.CpSolver) -> frozenset[str] | None:
    swaps = usable_swaps(variables)
    taken = {swap.id: _is(variables.taken(swap), solver) for swap in swaps}
    return taken_in_turn(variables.weekend, swaps, taken)


def _is(literal: Literal, solver: cp_model.CpSolver) -> bool:
    return literal is True or bool(solver.boolean_value(literal))


def _start_of(this: JobVariables, variables: Variables, solver: cp_model.CpSolver) -> int:
    for slot in this.begin:
        if _is(slot.chosen, solver):
            return variables.axes[slot.mode.team.id].outer_start(solver.value(slot.begin))
    return int(solver.value(variables.starts(this)))
