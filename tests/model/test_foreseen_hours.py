"""Hours that are known beforehand: one sets out so as to be there in time."""

import pytest

from fabsched.model.plan import Kind, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Bound
from tests.model.made import MIN, WAY_S, H, as_listed, block, hours, task, weekend


@pytest.mark.parametrize("bound", [Bound.SET, Bound.PIN, Bound.TOLD])
def test_a_visit_away_from_home_begins_at_its_hour(bound: Bound) -> None:
    """At one in the workshop, half an hour from home: one leaves at half past twelve."""
    week = weekend(task("visit", H, place="workshop", earliest_s=13 * H, bound=bound), task("code"))
    course = replay(week, as_listed(week), nominal(week))
    assert block(course, "visit").start_s == 13 * H
    (there,) = (b for b in course.blocks if b.kind is Kind.TRAVEL and b.place == "workshop")
    assert (there.start_s, there.end_s) == (13 * H - WAY_S, 13 * H)
    assert there.reason.code is Why.IN_TIME
    assert block(course, "code").start_s == 0


def test_what_may_be_late_is_waited_for_at_home() -> None:
    """Nobody knows when it comes, and nobody leaves before the weekend begins."""
    late = task("fetch", H, place="workshop", earliest_s=H, late=Spread.exactly(10.0 * MIN))
    begins = task("saw", H, place="workshop", earliest_s=H, bound=Bound.BEGIN)
    for activity, start_s in ((late, H + 10 * MIN + WAY_S), (begins, H + WAY_S)):
        week = weekend(activity)
        course = replay(week, as_listed(week), nominal(week))
        assert block(course, activity.id).start_s == start_s


def test_whoever_sleeps_before_leaves_when_they_are_up() -> None:
    """Up from one o'clock on, they come half an hour after it."""
    up = hours((0, 1), (13, 20))
    week = weekend(task("visit", H, place="workshop", earliest_s=13 * H), up=up)
    course = replay(week, as_listed(week), nominal(week))
    assert block(course, "visit").start_s == 13 * H + WAY_S
