"""The planner: many proposals, one judge, one answer.

Plans are never compared by a timetable but by what becomes of them under the same luck. Rules of
thumb and the solver propose, the odds choose, a short search improves the choice. What is shown is
checked by somebody else and judged again on luck that was not used to choose.
"""

from dataclasses import dataclass, replace

from fabsched.model.plan import Answer, Plan, Solver
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.truths import AS_TOLD, Truths
from fabsched.schedule.answers import answer_of
from fabsched.schedule.effort import THREADS, USUAL, Effort, Seeds
from fabsched.schedule.foreseen import foreseen
from fabsched.schedule.live import UNHEARD, Live, Sofar
from fabsched.schedule.race import Judge, ranked
from fabsched.schedule.rules import Method, Proposal, proposals, ruled
from fabsched.schedule.search import beginnings, searched
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.stretch import Stretch
from fabsched.schedule.tidy import tidied

UNSOLVED = Solver(status="unknown", bound_s=None, gap=None)
"""What is said of a solver that was not asked."""
MOST_SOLVED = 150
"""The solver is not asked about more activities: building its model alone would take too long."""

FIRST = 100
"""On so many weekends the first plan is tried, so that it can be shown at once."""


def make_plan(
    weekend: Weekend,
    *,
    seed: int,
    effort: Effort = USUAL,
    watch: Watch = UNWATCHED,
    live: Live = UNHEARD,
    truths: Truths = AS_TOLD,
) -> Answer:
    """The best plan found, with its nominal course and its odds.

    Args:
        weekend: what is to be planned.
        seed: not below zero; same weekend, seed, effort and truths give the same answer.
        effort: how much work to put in.
        watch: told of the progress, asked whether to stop.
        live: hears of better plans as they are found, and may end the search early.
        truths: what is not known about the world; plans are compared under all that may be true, and
            so are the odds and last starts that are told.

    Raises:
        Cancelled: the watch said stop.
        PlanRejected: the checker found the plan at fault, which would be an error of ours.
    """
    seeds = Seeds.of(seed)
    watch.report(0.0, "rules")
    judge, expected = _judge(weekend, effort, seeds, truths), foreseen(weekend, truths)
    *_, first = ruled(expected, expected.standing)
    told = _Told(live)
    told.best_of([first], replace(judge, draws=judge.draws.head(FIRST), known={}))
    by_rule = told.best_of(ranked(judge, proposals(expected), watch=watch), judge)
    watch.report(0.05, "solver")
    bounds = Bounds(work=effort.solver, seed=seeds.solver)
    solved = _guided(expected, by_rule[0], bounds, live, watch)
    watch.report(0.2, "race")
    starts = by_rule
    if solved:
        starts = told.best_of(ranked(judge, (*by_rule, *solved), watch=watch), judge)
    winner = _searched(judge, starts, effort, seeds.search, Stretch(watch, 0.2, 0.85), live)
    winner = replace(winner, plan=tidied(judge, winner.plan))
    solver = _laid_out(weekend, winner.plan, bounds, watch)
    part = Stretch(watch, 0.85, 1.0)
    shown = effort.told(len(weekend.standing))
    return answer_of(weekend, winner, solver, shown, seeds, part, truths)


def _judge(weekend: Weekend, effort: Effort, seeds: Seeds, truths: Truths) -> Judge:
    """A judge with as many scenarios as the effort allows for a weekend of that size."""
    frame = compile_weekend(weekend)
    scenarios = effort.scenarios(len(weekend.standing))
    return Judge(draw(frame, scenarios, seeds.race, truths=truths, threads=THREADS))


@dataclass(slots=True)
class _Told:
    """What has been told of.

    Attributes:
        live: hears of better plans.
        on_time: of the best so far.
    """

    live: Live
    on_time: float = -1.0

    def best_of(self, found: list[Proposal], judge: Judge) -> list[Proposal]:
        """Proposals, the best first, after telling of that if it is better than all before."""
        first = found[0]
        on_time = judge.score(first.plan).on_time
        if on_time > self.on_time:
            self.on_time = on_time
            self.live.better(Sofar(plan=first.plan, on_time=on_time, method=first.method))
        return found


def _guided(
    weekend: Weekend, start: Proposal, bounds: Bounds, live: Live, watch: Watch
) -> tuple[Proposal, ...]:
    """What the solver proposes, if there is time for it and the weekend is not too large."""
    if not _is_solved(bounds, start.plan) or live.enough():
        return ()
    from fabsched.schedule.guide import guided  # noqa: PLC0415 - brings in the solver

    return guided(weekend, start.plan, bounds, watch=watch)


def _laid_out(weekend: Weekend, plan: Plan, bounds: Bounds, watch: Watch) -> Solver:
    """How early the chosen plan could be done at best, if the solver can tell."""
    if not _is_solved(bounds, plan):
        return UNSOLVED
    from fabsched.schedule.guide import laid_out  # noqa: PLC0415 - brings in the solver

    return laid_out(weekend, plan, bounds, watch=watch)


def _is_solved(bounds: Bounds, plan: Plan) -> bool:
    return bounds.work > 0 and 0 < len(plan.order) <= MOST_SOLVED


def _searched(
    judge: Judge, starts: list[Proposal], effort: Effort, seed: int, watch: Watch, live: Live
) -> Proposal:
    """The plan after a search, renamed if that has found a better one."""
    check(watch)
    plans = beginnings([proposal.plan for proposal in starts])
    work = effort.work(len(judge.weekend.standing))
    plan = searched(judge, plans, work=work, seed=seed, watch=watch, live=live)
    return starts[0] if plan == plans[0] else Proposal(Method.SEARCH, plan)


def too_late(weekend: Weekend, answer: Answer) -> int:
    """Seconds by which the nominal course misses the deadline.

    Zero if it is in time; `windows.NEVER` if it is not done before the horizon.
    """
    finish_s = answer.course.finish_s
    return NEVER if finish_s >= NEVER else max(0, finish_s - weekend.deadline_s)
