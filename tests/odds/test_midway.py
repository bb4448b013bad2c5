"""The rest of a weekend of which everything so far has gone as in a course."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.plan import Kind, Plan
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Going, Run, Task, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.midway import midway
from fabsched.schedule.checker import check
from tests.model.made import MIN, H, as_listed, cutting, hours, printing, task, weekend
from tests.model.weekends import HORIZON_S, planned


def finish_from(week: Weekend, plan: Plan, moment_s: int) -> int:
    """Nominal finish of the rest from a moment of the nominal course."""
    later, rest = midway(week, plan, replay(week, plan, nominal(week)), moment_s)
    return replay(later, rest, nominal(later)).finish_s


@settings(max_examples=200)
@given(planned(), st.integers(0, HORIZON_S))
def test_the_rest_of_any_weekend_can_be_carried_on(case: tuple[Weekend, Plan], at_s: int) -> None:
    """Whatever the moment, the rest names everything once, and nothing done is done again."""
    week, plan = case
    course = replay(week, plan, nominal(week))
    moment_s = max(week.begin_s, at_s)
    later, rest = midway(week, plan, course, moment_s)
    onward = replay(later, rest, nominal(later))
    done = {ident for ident, end_s in course.done_s.items() if end_s <= moment_s}
    assert not done & onward.done_s.keys()
    assert all(block.start_s >= moment_s for block in onward.blocks)
    if course.finish_s == NEVER:
        return
    assert {*done, *rest.order} == set(plan.order)


def test_a_simple_weekend_goes_on_as_it_would_have() -> None:
    """From the end of any block on, the rest ends when the whole would have."""
    week = weekend(
        task("draw", 2 * H),
        printing("lid", 5 * H),
        cutting("plate", after=("draw",)),
        task("code", 9 * H, splittable=True),
        task("glue", after=("lid", "plate")),
        up=hours((0, 8), (9, 14), (24, 60)),
        open_={"workshop": hours((2, 8), (26, 40))},
    )
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    tended = [b for b in course.blocks if b.kind is Kind.TEND and not b.id.endswith("hands")]
    for moment_s in sorted({block.end_s for block in course.blocks}):
        if not any(b.start_s < moment_s < b.end_s for b in tended):
            assert finish_from(week, plan, moment_s) == course.finish_s


def test_everything_is_found_as_it_stands() -> None:
    """Done is settled, a run goes on with its rest, work is carried on by whoever is at it."""
    week = weekend(
        task("draw", H),
        printing("lid", Spread(4 * H, 5 * H, 7 * H)),
        task("code", Spread(2 * H, 4 * H, 8 * H)),
        people=("ada", "bo"),
    )
    course = replay(week, as_listed(week), nominal(week))
    moment_s = 10 * MIN + 2 * H
    later, rest = midway(week, as_listed(week), course, moment_s)
    assert [activity.id for activity in later.settled] == ["draw"]
    lid, code = later.activity("lid"), later.activity("code")
    assert isinstance(lid, Run)
    by = next(b.resource for b in course.blocks if b.id == "lid.start")
    assert lid.going == Going("printer", Spread(4 * H, 5 * H, 7 * H).scaled(3 / 5), by=by)
    assert isinstance(code, Task)
    assert len(code.people) == 1
    spent_s = moment_s - next(b.start_s for b in course.blocks if b.id == "code")
    assert round(code.seconds.likely) == 4 * H - spent_s
    assert rest.order[0] == "code"
    assert later.begin_s == moment_s


def test_somebody_on_the_way_arrives_before_they_do_anything() -> None:
    """A way under way is not begun anew: its end is when hands are free, there."""
    week = weekend(cutting("plate"))
    course = replay(week, as_listed(week), nominal(week))
    later, _ = midway(week, as_listed(week), course, 10 * MIN)
    assert later.hands[0].at == "workshop"
    assert finish_from(week, as_listed(week), 10 * MIN) == course.finish_s


def test_an_attended_run_goes_on_where_it_is() -> None:
    """What is left of a cut keeps its machine, and its start is over."""
    week = weekend(cutting("plate", 2 * H))
    begin_s = 30 * MIN
    later, rest = midway(
        week, as_listed(week), replay(week, as_listed(week), nominal(week)), begin_s + H
    )
    plate = later.activity("plate")
    assert isinstance(plate, Run)
    assert (plate.start_s, plate.clear_s) == (0, 5 * MIN)
    assert round(plate.choices[0].seconds.likely) == 2 * H - 50 * MIN
    expected_s = begin_s + 2 * H + 15 * MIN
    assert replay(later, rest, nominal(later)).finish_s == expected_s


def test_what_is_dropped_stays_dropped() -> None:
    """The rest of a plan drops what the plan did."""
    week = weekend(task("a"), task("b", needed=False))
    plan = replace(as_listed(week), order=("a",), dropped=frozenset({"b"}))
    _, rest = midway(week, plan, replay(week, plan, nominal(week)), 10 * MIN)
    assert rest == plan


def test_whoever_watches_a_print_begin_goes_on_watching_it() -> None:
    """They are busy for the rest of the watch, and no longer."""
    week = weekend(printing("lid", 2 * H, watch_s=H), task("wire", H))
    course = replay(week, as_listed(week), nominal(week))
    later, rest = midway(week, as_listed(week), course, 30 * MIN)
    (lid, _) = later.activities
    assert isinstance(lid, Run)
    assert lid.going
    assert (lid.going.by, lid.going.watch_s) == ("ada", 40 * MIN)
    assert finish_from(week, as_listed(week), 30 * MIN) == course.finish_s
    onward = replay(later, rest, nominal(later))
    assert min(b.start_s for b in onward.blocks if b.activity == "wire") == 70 * MIN
    assert check(later, rest, onward) == ()
