"""The solver's schedules as proposals: who begins first is more urgent."""

from collections.abc import Mapping

from fabsched.model.plan import Plan, Solver
from fabsched.model.progress import Watch
from fabsched.model.replay import replay
from fabsched.model.weekend import Weekend
from fabsched.schedule.carried import carried_out
from fabsched.schedule.needs import place_of
from fabsched.schedule.rules import Method, Proposal
from fabsched.schedule.solver.solve import Bounds, Schedule, solve_each
from fabsched.schedule.solver.times import Objective, times_of

METHODS: Mapping[Objective, Method] = {
    Objective.NOMINAL: Method.NOMINAL,
    Objective.EXPECTED: Method.EXPECTED,
    Objective.RISK: Method.RISK,
}
"""What a plan is called that comes from an objective."""

UNSOLVED = Solver(status="unknown", bound_s=None, gap=None)
"""What is said of a solver that was not asked."""


def guided(
    weekend: Weekend, start: Plan, bounds: Bounds, *, watch: Watch
) -> tuple[tuple[Proposal, ...], Solver]:
    """A proposal for each objective the solver finds a schedule for, and what it says of its work.

    Args:
        weekend: what is to be planned.
        start: a plan to start from; it also orders what the solver leaves out.
        bounds: on the solver's effort.
        watch: asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    chosen = carried_out(weekend, start)
    hints = {o: replay(weekend, start, times_of(weekend, o).scenario) for o in Objective}
    schedules = solve_each(chosen, tuple(Objective), bounds, hints=hints, watch=watch)
    found = tuple(
        Proposal(METHODS[objective], order_of(weekend, schedule, start))
        for objective, schedule in schedules.items()
        if schedule.starts
    )
    return found, _said(schedules[Objective.NOMINAL], weekend)


def order_of(weekend: Weekend, schedule: Schedule, otherwise: Plan) -> Plan:
    """The plan that is most like a schedule.

    Args:
        weekend: for the ways.
        schedule: what the solver found.
        otherwise: orders what begins at the same time, and what the schedule leaves out, at the end.

    What is done elsewhere begins when one sets out.
    """
    rank = {ident: place for place, ident in enumerate(otherwise.order)}

    def key(ident: str) -> tuple[bool, int, int]:
        way_s = _way_s(weekend, ident)
        start_s = schedule.starts.get(ident, 0)
        return ident not in schedule.starts, start_s - way_s, rank[ident]

    return Plan(order=tuple(sorted(otherwise.order, key=key)), dropped=otherwise.dropped)


def _way_s(weekend: Weekend, ident: str) -> int:
    """The shortest way from anybody's base."""
    place = place_of(weekend, weekend.activity(ident))
    return min((weekend.way_s(hands.base, place) for hands in weekend.hands), default=0)


def _said(schedule: Schedule, weekend: Weekend) -> Solver:
    gap = schedule.gap(weekend.begin_s)
    return Solver(status=schedule.status, bound_s=schedule.bound_s, gap=gap)
