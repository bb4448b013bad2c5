"""Ways that were not chosen are there to fall back on, and nowhere else."""

from dataclasses import replace

from fabsched.model.plan import Plan
from fabsched.model.weekend import Task, Turn, Weekend
from fabsched.odds.decisions import decisions
from fabsched.odds.odds import odds_of
from fabsched.schedule.checked_choice import choice_faults
from fabsched.schedule.fallbacks import Fallback, with_fallbacks
from fabsched.schedule.remedies import clear_id, clearing_of
from tests.model.made import H, cutting, printing, task, weekend
from tests.odds.test_decisions import MANY, funnel


def printed(deadline_s: int) -> tuple[Weekend, Plan]:
    """A funnel that was chosen to be printed, and its plan."""
    week, _ = funnel(deadline_s)
    lid, glue = week.activity("funnel"), replace(week.activity("glue"), after=("funnel",))
    return replace(week, activities=(lid, glue), swaps=()), Plan(order=("funnel", "glue"))


def cut(deadline_s: int, *more: Task) -> Fallback:
    """The same, had it been chosen to be cut."""
    week, _ = funnel(deadline_s)
    plate, glue = week.activity("plate"), replace(week.activity("glue"), after=("plate",))
    week = replace(week, activities=(plate, glue, *more), swaps=())
    return Fallback(id="instead-cut", name="Funnel: cut it", weekend=week)


def test_a_way_that_was_not_chosen_is_named_as_if_it_had_been_left_open() -> None:
    """The decision hour is that of the open fork; without fall-backs no way is named."""
    week, plan = printed(12 * H)
    (alone,) = decisions(week, plan, MANY)
    assert (alone.swap, alone.other) == ("", "")
    (found,) = decisions(*with_fallbacks(week, plan, [cut(12 * H)]), MANY)
    (as_open,) = decisions(*funnel(12 * H), MANY)
    assert (found.by_s, found.on_time, found.instead) == (
        as_open.by_s,
        as_open.on_time,
        as_open.instead,
    )
    assert (found.swap, found.turn, found.other) == ("instead-cut", Turn.ROUTE, "Funnel: cut it")


def test_the_plan_takes_none_of_it() -> None:
    """What is carried out, its odds and its soundness are as before, to the last scenario."""
    week, plan = printed(12 * H)
    both, kept = with_fallbacks(week, plan, [cut(12 * H)])
    assert (kept.order, {*kept.dropped}) == (plan.order, {"plate"})
    (swap,) = both.swaps
    assert ({*swap.out}, {*swap.into}) == ({"funnel"}, {"plate"})
    assert both.activity("glue").after == ("funnel", "plate")
    assert not list(choice_faults(both, kept))
    before, after = (odds_of(w, p, scenarios=500, seed=1) for w, p in ((week, plan), (both, kept)))
    assert before == after


def test_what_is_made_otherwise_is_told_apart() -> None:
    """A bed of the same name with other things on it is another bed; what runs there runs once."""
    lid, glue = printing("bed", 6 * H), task("glue", H, after=("bed",))
    week = weekend(lid, glue, deadline_s=12 * H)
    less = replace(lid, choices=printing("bed", 2 * H).choices)
    waiting = clearing_of("printer", "Funnel", 300)
    way = weekend(less, cutting("plate", H), replace(glue, after=("bed", "plate")), waiting)
    fallback = Fallback(id="x", name="X", weekend=way)
    both, plan = with_fallbacks(week, Plan(order=("bed", "glue")), [fallback])
    (swap,) = both.swaps
    assert swap.out == {"bed"}
    assert len(swap.into) == 2
    assert swap.into == plan.dropped == {a.id for a in both.activities} - {"bed", "glue"}
    assert clear_id("printer") not in swap.into
    assert {*both.activity("glue").after} == {"bed", *swap.into}
    same = Fallback(id="y", name="Y", weekend=week)
    assert with_fallbacks(week, Plan(order=("bed", "glue")), [same])[0] == week
