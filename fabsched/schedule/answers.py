"""From a plan to an answer: its nominal course, checked; its odds, on luck nobody has seen."""

from collections.abc import Mapping
from dataclasses import replace

from fabsched.model.errors import PlanRejected
from fabsched.model.plan import Answer, Block, Course, Kind, Plan, Solver
from fabsched.model.progress import Watch, check
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.last_start import last_starts
from fabsched.odds.odds import odds_of
from fabsched.odds.truths import AS_TOLD, Truths
from fabsched.schedule import checker
from fabsched.schedule.checked_choice import choice_faults
from fabsched.schedule.effort import THREADS, Effort, Seeds
from fabsched.schedule.rules import Proposal
from fabsched.schedule.stretch import Stretch


def answer_of(  # noqa: PLR0913, PLR0917 - all that an answer speaks of
    weekend: Weekend,
    chosen: Proposal,
    solver: Solver,
    effort: Effort,
    seeds: Seeds,
    watch: Watch,
    truths: Truths = AS_TOLD,
) -> Answer:
    """Everything a maker wants to know about a plan.

    Args:
        weekend: what was to be planned.
        chosen: what was decided.
        solver: what the solver says of its work.
        effort: how many scenarios to spend.
        seeds: of luck that was not used to choose the plan.
        watch: told of the progress, asked whether to stop.
        truths: what is not known about the world; the odds are told as a range over it as well.

    Raises:
        Cancelled: the watch said stop.
        PlanRejected: the checker found the plan at fault, which would be an error of ours.
    """
    watch.report(0.0, "odds")
    course = checked_course(weekend, chosen.plan)
    check(watch)
    odds = odds_of(
        weekend,
        chosen.plan,
        scenarios=effort.odds,
        seed=seeds.odds,
        threads=THREADS,
        truths=truths,
        ranges=effort.ranges,
    )
    watch.report(0.5, "last-starts")
    if effort.last_starts:
        latest = last_starts(
            weekend,
            chosen.plan,
            wanted=weekend.wanted_odds,
            scenarios=effort.last_starts,
            seed=seeds.last_starts,
            truths=truths,
            watch=Stretch(watch, 0.5, 1.0),
        )
        course = marked(weekend, course, latest.starts, latest.cost)
    return Answer(plan=chosen.plan, course=course, odds=odds, solver=solver, method=chosen.method)


def checked_course(weekend: Weekend, plan: Plan) -> Course:
    """What follows from a plan when everything takes its likely time.

    Raises:
        PlanRejected: the checker found it at fault.
    """
    course = replay(weekend, plan, nominal(weekend))
    broken = (*choice_faults(weekend, plan), *checker.check(*_settled(weekend, plan, course)))
    if broken:
        raise PlanRejected("; ".join(broken))
    return course


def _settled(weekend: Weekend, plan: Plan, course: Course) -> tuple[Weekend, Plan, Course]:
    """The same without what is not done before the horizon, since that has no course to be checked."""
    if len(course.done_s) == len(plan.order):
        return weekend, plan, course
    done = [activity for activity in weekend.activities if activity.id in course.done_s]
    blocks = [
        block if block.activity in course.done_s else replace(block, activity="")
        for block in course.blocks
        if block.activity in course.done_s or block.kind is Kind.TRAVEL
    ]
    ends = [course.done_s[activity.id] for activity in done if activity.needed]
    return (
        replace(weekend, activities=tuple(done), swaps=()),
        Plan(order=tuple(ident for ident in plan.order if ident in course.done_s)),
        replace(course, blocks=tuple(blocks), finish_s=max(ends, default=weekend.begin_s)),
    )


def marked(
    weekend: Weekend, course: Course, latest: Mapping[str, int | None], cost: float | None = None
) -> Course:
    """The course with a last start on every block.

    The first block of an activity may begin as late as the activity may; all that follows in it,
    clearing included, and the way to it are as much later; hands that follow while nobody is up, or
    their place is closed, begin as soon as somebody may. One sets out for it so as to be there in
    time. A last start lies no earlier than the start as planned: that costs no time. Ways home, which
    lead to nothing, have none.
    """
    begins: dict[str, int] = {}
    for block in course.blocks:
        if block.kind is not Kind.TRAVEL:
            begins.setdefault(block.activity, block.start_s)
    found: list[Block] = []
    for block in course.blocks:
        begin_s = begins.get(block.activity, block.start_s)
        last_s = latest.get(block.activity)
        if last_s is None:
            found.append(block)
            continue
        late_s = block.start_s + max(0, last_s - begin_s)
        last_s = _in_hours(weekend, block, late_s) if block.start_s > begin_s else late_s
        found.append(replace(block, last_start_s=last_s, last_cost=cost))
    return replace(course, blocks=tuple(found))


def _in_hours(weekend: Weekend, block: Block, moment_s: int) -> int:
    """The same moment, or the next at which somebody may do what hands do in a block."""
    if block.kind in {Kind.RUN, Kind.TRAVEL}:
        return moment_s
    site = next(site for site in weekend.sites if site.id == block.place)
    free = (hands.windows & site.windows for hands in weekend.hands)
    first_s = min(each.first_fit(moment_s, block.end_s - block.start_s) for each in free)
    return first_s if first_s < NEVER else moment_s
