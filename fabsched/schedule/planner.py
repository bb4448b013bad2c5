"""The planner: many proposals, one judge, one answer.

Plans are never compared by a timetable but by what becomes of them under the same luck. Rules of
thumb and the solver propose, the odds choose, a short search improves the choice. What is shown is
checked by somebody else and judged again on luck that was not used to choose.
"""

from dataclasses import replace

from fabsched.model.plan import Answer, Solver
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.answers import answer_of
from fabsched.schedule.effort import USUAL, Effort, Seeds
from fabsched.schedule.guide import UNSOLVED, guided
from fabsched.schedule.race import Judge, best
from fabsched.schedule.rules import Method, Proposal, proposals
from fabsched.schedule.search import improved, tries_for
from fabsched.schedule.solver.solve import Bounds
from fabsched.schedule.stretch import Stretch
from fabsched.schedule.tidy import tidied


def make_plan(
    weekend: Weekend, *, seed: int, effort: Effort = USUAL, watch: Watch = UNWATCHED
) -> Answer:
    """The best plan found, with its nominal course and its odds.

    Args:
        weekend: what is to be planned.
        seed: not below zero; same weekend, seed and effort give the same answer.
        effort: how much work to put in.
        watch: told of the progress, asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
        PlanRejected: the checker found the plan at fault, which would be an error of ours.
    """
    seeds = Seeds.of(seed)
    watch.report(0.0, "rules")
    judge = Judge(draw(compile_weekend(weekend), effort.race, seeds.race))
    start = best(judge, proposals(weekend), watch=watch)
    watch.report(0.05, "solver")
    solved, solver = _guided(weekend, start, Bounds(work=effort.solver, seed=seeds.solver), watch)
    watch.report(0.4, "race")
    winner = best(judge, (start, *solved), watch=watch)
    check(watch)
    winner = _searched(judge, winner, effort, seeds.search, Stretch(watch, 0.45, 0.75))
    winner = replace(winner, plan=tidied(judge, winner.plan))
    return answer_of(weekend, winner, solver, effort, seeds, Stretch(watch, 0.75, 1.0))


def _guided(
    weekend: Weekend, start: Proposal, bounds: Bounds, watch: Watch
) -> tuple[tuple[Proposal, ...], Solver]:
    if not bounds.work:
        return (), UNSOLVED
    return guided(weekend, start.plan, bounds, watch=watch)


def _searched(judge: Judge, start: Proposal, effort: Effort, seed: int, watch: Watch) -> Proposal:
    """The plan after a short search, renamed if that has found a better one."""
    tries = tries_for(judge, effort)
    plan = improved(judge, start.plan, tries=tries, seed=seed, watch=watch)
    return start if plan == start.plan else Proposal(Method.SEARCH, plan)


def too_late(weekend: Weekend, answer: Answer) -> int:
    """Seconds by which the nominal course misses the deadline.

    Zero if it is in time; `windows.NEVER` if it is not done before the horizon.
    """
    finish_s = answer.course.finish_s
    return NEVER if finish_s >= NEVER else max(0, finish_s - weekend.deadline_s)
