"""The solver's schedules as proposals: who begins first is more urgent."""

from collections.abc import Mapping
from dataclasses import replace

from fabsched.model.plan import Plan, Solver
from fabsched.model.progress import Watch
from fabsched.model.replay import replay
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.schedule.carried import carried_out
from fabsched.schedule.needs import place_of
from fabsched.schedule.rules import Method, Proposal
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.solver.solve import Schedule, solve, solve_each
from fabsched.schedule.solver.times import Objective, times_of

METHODS: Mapping[Objective, Method] = {
    Objective.NOMINAL: Method.NOMINAL,
    Objective.EXPECTED: Method.EXPECTED,
    Objective.RISK: Method.RISK,
}
"""What a plan is called that comes from an objective."""

FREE = 20
"""Activities of a weekend up to which the solver also decides what is carried out: beyond, the
choice takes it more time than it is given (on synthetic weekends of forty activities it finds better
plans if it only orders them)."""


def guided(weekend: Weekend, start: Plan, bounds: Bounds, *, watch: Watch) -> tuple[Proposal, ...]:
    """A proposal for each objective the solver finds a schedule for.

    Small weekends are handed over with all that swaps decide; of larger ones the solver only
    orders what the start carries out.

    Args:
        weekend: what is to be planned.
        start: a plan to start from; it also orders what the solver leaves out.
        bounds: on the solver's effort.
        watch: asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    small = len(weekend.standing) <= FREE
    asked = weekend if small else carried_out(weekend, start)
    hints = {o: replay(weekend, start, times_of(weekend, o).scenario) for o in Objective}
    schedules = solve_each(asked, tuple(Objective), bounds, hints=hints, watch=watch)
    return tuple(
        Proposal(METHODS[objective], order_of(weekend, _with_choice(schedule, asked, start), start))
        for objective, schedule in schedules.items()
        if schedule.starts
    )


def laid_out(weekend: Weekend, plan: Plan, bounds: Bounds, *, watch: Watch) -> Solver:
    """What the solver says of a plan's nominal course: how early it could be done at best.

    Args:
        weekend: what was to be planned.
        plan: what was decided; its course is where the solver starts from.
        bounds: on the solver's effort.
        watch: asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    asked = carried_out(weekend, plan)
    course = replay(weekend, plan, times_of(asked, Objective.NOMINAL).scenario)
    bound_s = solve(asked, Objective.NOMINAL, bounds, hint=course, watch=watch).bound_s
    if bound_s is None or course.finish_s >= NEVER:
        return Solver(status="unknown", bound_s=bound_s, gap=None)
    late_s = max(0, course.finish_s - bound_s)
    whole_s = max(1, course.finish_s - weekend.begin_s)
    return Solver(status="feasible" if late_s else "optimal", bound_s=bound_s, gap=late_s / whole_s)


def _with_choice(schedule: Schedule, asked: Weekend, start: Plan) -> Schedule:
    """The schedule with all that is left out: as decided in it, or before it was asked for."""
    decided = frozenset[str]().union(*(swap.out | swap.into for swap in asked.swaps))
    return replace(schedule, left_out=schedule.left_out | (start.dropped - decided))


def order_of(weekend: Weekend, schedule: Schedule, otherwise: Plan) -> Plan:
    """The plan that is most like a schedule.

    Args:
        weekend: for the ways.
        schedule: what the solver found.
        otherwise: orders what begins at the same time, and what the schedule does not place, at the
            end.

    What is done elsewhere begins when one sets out.
    """
    rank = {ident: place for place, ident in enumerate(otherwise.order)}

    def key(ident: str) -> tuple[bool, int, int]:
        way_s = _way_s(weekend, ident)
        start_s = schedule.starts.get(ident, 0)
        return ident not in schedule.starts, start_s - way_s, rank.get(ident, len(rank))

    kept = [a.id for a in weekend.activities if a.id not in schedule.left_out]
    return Plan(order=tuple(sorted(kept, key=key)), dropped=schedule.left_out)


def _way_s(weekend: Weekend, ident: str) -> int:
    """The shortest way from anybody's base."""
    place = place_of(weekend, weekend.activity(ident))
    return min((weekend.way_s(hands.base, place) for hands in weekend.hands), default=0)
