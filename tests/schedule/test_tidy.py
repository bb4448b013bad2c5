"""Plans as people write them down."""

from dataclasses import replace

from hypothesis import given, settings

from fabsched.model.plan import Plan
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.race import Judge, merit
from fabsched.schedule.tidy import tidied
from tests.model.made import H, printing, task, weekend
from tests.schedule.weekends import weekends


def judge(found: Weekend) -> Judge:
    """A judge with luck of its own."""
    return Judge(draw(compile_weekend(found), 100, 3))


def test_what_nobody_asked_for_goes_last_if_that_costs_nothing() -> None:
    """What something needed waits for is asked for, whatever is said of itself."""
    found = weekend(
        task("extra", needed=False), task("help", needed=False), task("main", after=("help",))
    )
    plan = tidied(judge(found), Plan(order=("extra", "help", "main")))
    assert plan.order == ("help", "main", "extra")


@settings(max_examples=20)
@given(weekends())
def test_tidying_costs_nothing(found: Weekend) -> None:
    """The plan is on time as often, and nine in ten and half of them are done as soon."""
    optional = tuple(replace(a, needed=i % 3 > 0) for i, a in enumerate(found.activities))
    by = judge(replace(found, activities=optional))
    plan = Plan(order=tuple(activity.id for activity in optional))
    assert merit(by, tidied(by, plan))[:3] >= merit(by, plan)[:3]


def test_equal_runs_stand_in_their_row() -> None:
    """The first bed of several comes first; others keep their places."""
    beds = [replace(printing(f"bed-{i}"), cargo=(("lid", 2),)) for i in (1, 2, 3)]
    found = weekend(*beds, printing("box"))
    plan = tidied(judge(found), Plan(order=("bed-3", "box", "bed-1", "bed-2")))
    assert plan.order == ("bed-1", "box", "bed-2", "bed-3")


def test_unequal_runs_stay_where_they_are() -> None:
    """Beds of different loads are no matter of names."""
    beds = [replace(printing(f"bed-{i}", i * H), cargo=(("lid", i),)) for i in (1, 2)]
    plan = Plan(order=("bed-2", "bed-1"))
    assert tidied(judge(weekend(*beds)), plan) == plan
