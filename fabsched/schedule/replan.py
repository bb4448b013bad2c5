"""Planning the rest of a weekend that is under way, starting with the plan in hand.

The plan in hand is an order of urgency, which already absorbs most of what goes wrong: whoever is
free takes what can start. So it is kept unless another is clearly better on simulated weekends, and
what is turned in vain is turned back.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fabsched.model.plan import Answer, Plan, Solver
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.weekend import Run, Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import Draws, draw
from fabsched.odds.truths import AS_TOLD, Truths
from fabsched.schedule.answers import answer_of
from fabsched.schedule.decided import nearest
from fabsched.schedule.effort import Effort, Seeds
from fabsched.schedule.live import UNHEARD, Live
from fabsched.schedule.loyalty import LoyalJudge, drawn_back, put_back
from fabsched.schedule.race import Judge, best
from fabsched.schedule.rules import Method, Proposal, proposals
from fabsched.schedule.search import searched
from fabsched.schedule.stretch import Stretch

FIRST = Effort(
    solver=0.0, race=500, search=19_000_000, each=310, most_tries=40, odds=4000, last_starts=0
)
"""A first answer: two seconds of one core for a weekend of forty activities, one for one of twenty."""

THOROUGH = Effort(
    solver=0.0, race=1000, search=30_000_000, each=700, most_tries=500, odds=20_000, last_starts=400
)
"""Some seconds more."""

AGREED = 0.005
"""A plan takes the place of the one in hand if it is on time more often by this much, on weekends
that were not used to find it."""

SETTLED, CHECKED = 7, 8
"""What was found is drawn back on so many times the weekends it was found on, and then weighed against
the plan in hand on so many others (our own choice: with fewer, luck decides
what is drawn back)."""

UNSOLVED = Solver(status="unknown", bound_s=None, gap=None)


@dataclass(frozen=True, slots=True)
class Replanned:
    """What became of a plan in hand.

    Attributes:
        answer: the plan from now on.
        kept: the plan in hand as it would go on: what was done is gone from it, what is new has
            found its place.
        kept_on_time: its chance of being done in time, on the weekends the two were compared on.
        on_time: that of the plan from now on, on the same.
    """

    answer: Answer
    kept: Plan
    kept_on_time: float
    on_time: float


def carried_over(weekend: Weekend, old: Plan) -> Plan:
    """A plan in hand as a plan for what is left of its weekend.

    What goes on already, and machines that have to be cleared, come first; what the old plan did not
    know comes right before the first that waits for it, else last.
    """
    fresh = {a.id for a in weekend.activities} - {*old.order, *old.dropped}
    carried = nearest(weekend, {*old.order, *fresh} - old.dropped)
    order = [ident for ident in old.order if ident in carried]
    for activity in weekend.activities:
        if activity.id in carried and activity.id not in order:
            order.insert(_place(weekend, activity.id, order), activity.id)
    going = {a.id for a in weekend.activities if isinstance(a, Run) and a.going}
    order.sort(key=lambda ident: ident not in going)
    dropped = frozenset(a.id for a in weekend.activities) - carried
    return Plan(order=tuple(order), dropped=dropped)


def _place(weekend: Weekend, ident: str, order: list[str]) -> int:
    """Where something new belongs."""
    waiting = {a.id for a in weekend.activities if ident in a.after}
    return next((place for place, other in enumerate(order) if other in waiting), len(order))


def in_progress_first(plan: Plan, going: Iterable[str]) -> Plan:
    """The plan with work in progress before everything else."""
    first = frozenset(going)
    return replace(plan, order=tuple(sorted(plan.order, key=lambda ident: ident not in first)))


def replan(  # noqa: PLR0913 - the options of a plan
    weekend: Weekend,
    old: Plan | None,
    *,
    seed: int,
    going: Iterable[str] = (),
    effort: Effort = FIRST,
    watch: Watch = UNWATCHED,
    live: Live = UNHEARD,
    truths: Truths = AS_TOLD,
) -> Replanned:
    """Plan the rest, and stay with the plan in hand where nothing is gained by leaving it.

    Args:
        weekend: what is left, see `under_way`.
        old: the plan in hand; None if there is none, so that nothing has to be stayed with.
        seed: not below zero; same weekend, plan, seed and effort give the same answer.
        going: ids of work in progress, which goes on first.
        effort: how much work to put in.
        watch: told of the progress, asked whether to stop.
        live: hears of better plans as they are found, and may end the search early.
        truths: what is not known about the world.

    Raises:
        Cancelled: the watch said stop.
        PlanRejected: the checker found the plan at fault, which would be an error of ours.
    """
    seeds = Seeds.of(seed)
    watch.report(0.0, "rules")
    first, frame = frozenset(going), compile_weekend(weekend)
    draws = draw(frame, effort.race, seeds.race, truths=truths)
    kept = in_progress_first(carried_over(weekend, old or _by_rule(draws)), first)
    part = Stretch(watch, 0.0, 0.75)
    found = _found(Judge(draws), kept, first, effort, seeds.search, part, live)
    luck = draw(frame, SETTLED * effort.race, seeds.solver, truths=truths)
    plan = _settled(luck, found, kept, effort.most_tries) if old else found
    fresh = Judge(draw(frame, CHECKED * effort.race, seeds.last_starts, truths=truths))
    chosen = Proposal(Method.SEARCH, plan if _is_clearly_better(fresh, plan, kept) else kept)
    part = Stretch(watch, 0.75, 1.0)
    answer = answer_of(weekend, chosen, UNSOLVED, effort, seeds, part, truths)
    return Replanned(answer, kept, fresh.score(kept).on_time, fresh.score(chosen.plan).on_time)


def _by_rule(draws: Draws) -> Plan:
    """The best plan by a rule of thumb."""
    return best(Judge(draws), proposals(draws.frame.weekend)).plan


def _found(  # noqa: PLR0913, PLR0917 - one search, told all it needs
    judge: Judge,
    kept: Plan,
    going: frozenset[str],
    effort: Effort,
    seed: int,
    watch: Watch,
    live: Live,
) -> Plan:
    """The best plan there is, whatever the plan in hand says."""
    rules = (replace(p, plan=in_progress_first(p.plan, going)) for p in proposals(judge.weekend))
    start = best(judge, (Proposal(Method.SEARCH, kept), *rules), watch=watch).plan
    work = effort.work(len(judge.weekend.standing))
    plan = searched(judge, (start,), work=work, seed=seed, watch=watch, live=live)
    return in_progress_first(plan, going)


def _settled(luck: Draws, found: Plan, kept: Plan, tries: int) -> Plan:
    """The plan that was found, brought back to the plan in hand as far as leaving it does not pay."""
    judge = LoyalJudge(luck, base=kept)
    return drawn_back(judge, put_back(judge, found, kept), kept, tries)


def _is_clearly_better(judge: Judge, plan: Plan, kept: Plan) -> bool:
    """Whether leaving the plan in hand is worth it, on luck that was not used to choose.

    Where both are equally often on time, as when nothing can be in time any more, the one that most
    often is done clearly earlier.
    """
    new, old = judge.score(plan), judge.score(kept)
    return plan != kept and new.value - old.value >= AGREED
