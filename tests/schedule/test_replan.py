"""Planning the rest: nothing moves without gain."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.log import Entry, Event
from fabsched.model.plan import Answer, Course, Odds, Plan, Solver
from fabsched.model.state import state_of
from fabsched.model.weekend import Swap, Turn, Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.answers import checked_course
from fabsched.schedule.changes import Otherwise, changes, in_hand
from fabsched.schedule.effort import Effort
from fabsched.schedule.loyalty import LoyalJudge, cost, drawn_back, put_back
from fabsched.schedule.orders import moved, turned
from fabsched.schedule.race import Judge, Score, best
from fabsched.schedule.replan import AGREED, carried_over, in_progress_first, replan
from fabsched.schedule.rules import proposals
from fabsched.schedule.under_way import UnderWay, under_way
from tests.schedule.following import entry, told
from tests.schedule.weekends import BEGIN, HOUR, MINUTE, maker_weekend, printed, work

WEEKEND = maker_weekend(slack=2)
QUICK = Effort(solver=0.0, race=200, search=300_000, most_tries=40, odds=500, last_starts=0)
orders = st.permutations("abcdefg").map(tuple)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A good plan by a rule of thumb."""
    judge = Judge(draw(compile_weekend(WEEKEND), 200, 1))
    return best(judge, proposals(WEEKEND)).plan


@pytest.fixture(scope="module")
def course(plan: Plan) -> Course:
    """What follows from it."""
    return checked_course(WEEKEND, plan)


def at(course: Course, moment_s: int, *more: Entry) -> UnderWay:
    """The weekend at a moment, told as planned, and what else happened."""
    entries = [*told(WEEKEND, course, moment_s), *more]
    return under_way(
        WEEKEND, state_of(replace(e, id=i) for i, e in enumerate(entries, start=1)), moment_s
    )


def answer(plan: Plan, course: Course) -> Answer:
    """As a planner would give it."""
    odds = Odds(on_time=0.5, standard_error=0, p10_s=None, p50_s=None, p90_s=None, scenarios=1)
    solver = Solver(status="unknown", bound_s=None, gap=None)
    return Answer(plan=plan, course=course, odds=odds, solver=solver, method="search")


@given(orders, orders)
def test_turning_is_a_share_of_pairs(one: tuple[str, ...], other: tuple[str, ...]) -> None:
    """Nothing is turned in the same order, everything in the reverse; both ways it is the same."""
    assert turned(one, one) == 0
    assert turned(one, one[::-1]) == 1
    assert turned(one, other) == pytest.approx(turned(other, one))


@given(orders, orders)
def test_changes_turn_one_order_into_the_other(
    one: tuple[str, ...], other: tuple[str, ...]
) -> None:
    """Whatever is not told as moved stands in the same order as before."""
    weekend = replace(WEEKEND, activities=tuple(printed(ident, 60, "mex") for ident in one))
    found = changes(
        weekend,
        in_hand(answer(Plan(order=one), Course(blocks=(), done_s={}, finish_s=0)), weekend),
        Plan(order=one),
        answer(Plan(order=other), Course(blocks=(), done_s={}, finish_s=0)),
    )
    moved = {change.subject for change in found}
    assert [x for x in one if x not in moved] == [x for x in other if x not in moved]
    assert bool(moved) == (one != other)


@pytest.mark.parametrize("minutes", [0, 3, 8])
def test_a_delay_of_a_few_minutes_changes_nothing(plan: Plan, course: Course, minutes: int) -> None:
    """Where everything goes a little late, the plan in hand stays, and no change is told."""
    moment_s = BEGIN + 17 * HOUR
    entries = told(WEEKEND, course, moment_s)
    late = [replace(e, moment_s=e.moment_s + minutes * MINUTE) for e in entries]
    left = under_way(WEEKEND, state_of(late), moment_s + minutes * MINUTE)
    found = replan(left.weekend, plan, seed=1, going=left.by_hand, effort=QUICK)
    assert found.answer.plan == found.kept
    old = in_hand(answer(plan, course), WEEKEND)
    told_changes = changes(left.weekend, old, found.kept, found.answer)
    assert {change.kind for change in told_changes} <= {
        Otherwise.STARTS_LATER,
        Otherwise.STARTS_SOONER,
    }


def test_what_has_begun_is_not_told_to_start_otherwise(plan: Plan, course: Course) -> None:
    """Work begun three hours before its time goes on; only what still starts is told."""
    first = next(b for b in course.blocks if b.activity == "solder" and b.resource == "maker")
    moment_s = first.start_s - 3 * HOUR
    begun = replace(entry(WEEKEND, first, Event.STARTED, moment_s), id=1)
    left = under_way(WEEKEND, state_of([begun]), moment_s + 60)
    assert left.by_hand == ("solder",)
    kept = in_progress_first(carried_over(left.weekend, plan), left.by_hand)
    now = answer(kept, checked_course(left.weekend, kept))
    old = in_hand(answer(plan, course), WEEKEND)
    assert "solder" in {each.subject for each in changes(left.weekend, old, kept, now)}
    told_changes = changes(left.weekend, old, kept, now, left.by_hand)
    assert "solder" not in {each.subject for each in told_changes}


def failed(course: Course, ident: str) -> tuple[int, Entry]:
    """A print that fails when most of it is done."""
    block = next(block for block in course.blocks if block.id == ident)
    moment_s = block.start_s + (block.end_s - block.start_s) * 4 // 5
    return moment_s, replace(entry(WEEKEND, block, Event.FAILED, moment_s), share=0.8)


def test_after_a_failure_the_rest_is_no_worse(plan: Plan, course: Course) -> None:
    """The past is not planned again, and leaving the plan in hand has to pay on fresh luck."""
    moment_s, entry_ = failed(course, "funnel")
    left = at(course, moment_s, entry_)
    found = replan(left.weekend, plan, seed=1, going=left.by_hand, effort=QUICK)
    assert min(block.start_s for block in found.answer.course.blocks) >= moment_s
    assert found.on_time >= found.kept_on_time
    if found.answer.plan != found.kept:
        judge = Judge(draw(compile_weekend(left.weekend), 4000, 99))
        gain = judge.score(found.answer.plan).value - judge.score(found.kept).value
        assert gain > -AGREED
    assert turned(found.answer.plan.order, found.kept.order) < 0.2


def test_the_same_again(plan: Plan, course: Course) -> None:
    """The same weekend, plan and seed give the same answer."""
    moment_s, entry_ = failed(course, "funnel")
    left = at(course, moment_s, entry_)
    one, two = (
        replan(left.weekend, plan, seed=3, going=left.by_hand, effort=QUICK) for _ in range(2)
    )
    assert one == two


def test_what_cannot_be_in_time_is_still_planned(plan: Plan, course: Course) -> None:
    """When the wall has moved to before now, the rest has a plan all the same."""
    left = at(course, BEGIN + 17 * HOUR)
    late = replace(left.weekend, deadline_s=left.weekend.begin_s - HOUR)
    found = replan(late, plan, seed=1, going=left.by_hand, effort=QUICK)
    assert found.answer.odds.on_time == 0
    assert set(found.answer.plan.order) == {a.id for a in late.activities}


def test_when_nothing_is_left_there_is_nothing_to_plan(plan: Plan, course: Course) -> None:
    """A weekend in which all is done has an empty plan that is in time."""
    left = at(course, max(course.done_s.values()) + MINUTE)
    assert not left.weekend.activities
    assert left.finished_s == course.finish_s
    found = replan(left.weekend, plan, seed=1, effort=QUICK)
    assert found.answer.plan.order == ()
    assert found.answer.odds.on_time == 1


def _decided() -> Weekend:
    """A part that is printed or cut; somebody waits for either."""
    runs = (printed("print", 60, "mex"), printed("cut", 30, "mex"))
    swap = Swap(
        id="way", kind=Turn.ROUTE, name="It", out=frozenset({"print"}), into=frozenset({"cut"})
    )
    activities = (*runs, work("paint", 30, "print", "cut"), work("read", 30))
    return replace(WEEKEND, activities=activities, swaps=(swap,))


def test_decisions_are_carried_over() -> None:
    """What the plan in hand has decided stays decided, and what is new finds its place."""
    old = Plan(order=("read", "cut"), dropped=frozenset({"print"}))
    kept = carried_over(_decided(), old)
    assert kept.order == ("read", "cut", "paint")
    assert kept.dropped == {"print"}


def test_going_another_way_costs() -> None:
    """A plan that does something else is charged for it, and so is one that turns things."""
    base = Plan(order=("read", "cut", "paint"), dropped=frozenset({"print"}))
    other = Plan(order=("read", "print", "paint"), dropped=frozenset({"cut"}))
    assert cost(base, base) == 0
    assert cost(other, base) == pytest.approx(0.001)
    assert cost(replace(base, order=base.order[::-1]), base) == pytest.approx(0.05)


def test_what_was_turned_in_vain_is_turned_back() -> None:
    """An order shuffled where nothing depends on it comes back to the one in hand."""
    tasks = tuple(work(ident, 10) for ident in "abcdef")
    weekend = replace(WEEKEND, activities=tasks)
    base = Plan(order=tuple("abcdef"))
    judge = LoyalJudge(draw(compile_weekend(weekend), 20, 1), base=base)
    rng = np.random.default_rng(5)
    shuffled = Plan(order=tuple(rng.permutation(list("abcdef")).tolist()))
    assert drawn_back(judge, shuffled, base, 1000) == base


@given(orders, orders)
def test_every_move_can_be_put_back(one: tuple[str, ...], other: tuple[str, ...]) -> None:
    """If nothing is gained by any move, all of them are put back, and none is left."""
    weekend = replace(WEEKEND, activities=tuple(work(ident, 10) for ident in sorted(one)))
    judge = _Even(draw(compile_weekend(weekend), 1, 1))
    back = put_back(judge, Plan(order=one), Plan(order=other))
    assert back.order == other
    assert moved(back.order, other) == ()


class _Even(Judge):
    """Finds all plans equally good."""

    def score(self, plan: Plan) -> Score:
        """The same for all."""
        return Score(on_time=0.5, late_s=len(plan.order), half_s=0, value=0.5)
