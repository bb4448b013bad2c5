"""Time still needed against time left."""

import pytest

from fabsched.model.errors import Cancelled
from fabsched.model.plan import Course
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.odds.odds import odds_of
from fabsched.odds.outlook import moments, outlooks, standing
from fabsched.odds.sample import Sample
from tests.model.made import H, as_listed, printing, task, weekend


class Impatient:
    """A watch that says stop."""

    def report(self, done: float, stage: str) -> None:
        """Hear of the progress."""

    def stopped(self) -> bool:
        """Whether to stop: yes."""
        return True


def test_at_the_beginning_it_is_the_odds_of_the_plan() -> None:
    """Seen from the beginning, time needed and chance are those of the whole weekend."""
    week = weekend(printing("lid", Spread(5 * H, 6 * H, 9 * H), fail_start=0.2), deadline_s=9 * H)
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    (found,) = outlooks(week, plan, course, [0], Sample(seed=3, scenarios=2000))
    odds = odds_of(week, plan, scenarios=2000, seed=3)
    assert (found.p10_s, found.p50_s, found.p90_s) == (odds.p10_s, odds.p50_s, odds.p90_s)
    assert found.on_time == odds.on_time
    assert found.left_s == 9 * H


def test_time_needed_falls_and_doubt_with_it() -> None:
    """With everything as planned so far, less is needed, the band narrows and the chance rises."""
    week = weekend(
        printing("lid", Spread(5 * H, 6 * H, 9 * H), fail_start=0.05, fail_hour=0.02),
        task("sand", Spread(H, 3 * H, 7 * H), after=("lid",)),
        task("glue", Spread(H, 2 * H, 5 * H), after=("sand",)),
        deadline_s=15 * H,
    )
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    found = outlooks(week, plan, course, moments(week, course, 7), Sample(seed=3, scenarios=2000))
    bands = [each.p90_s - each.p10_s for each in found if each.p10_s is not None and each.p90_s]
    assert [each.left_s for each in found] == [15 * H - each.moment_s for each in found]
    assert bands == sorted(bands, reverse=True)
    halves = [each.p50_s or 0 for each in found]
    assert halves == sorted(halves, reverse=True)
    assert found[-1].p90_s == 0
    assert [each.on_time for each in found[1:]] == sorted(each.on_time for each in found[1:])
    assert found[-1].on_time == 1.0


def test_a_delivery_that_has_come_is_no_longer_awaited() -> None:
    """Seen from the likely moment on it is there: what is left is the work, to the second.

    Seen from before, the moment is as open as at the beginning: nobody knows yet whether it will be late.
    """
    late = Spread(0, H, 4 * H)
    week = weekend(
        task("wire", H, earliest_s=5 * H, late=late), task("code", 2 * H), deadline_s=8 * H
    )
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    before, after = outlooks(week, plan, course, [3 * H, 6 * H], Sample(seed=3, scenarios=2000))
    assert (after.p10_s, after.p50_s, after.p90_s) == (H, H, H)
    assert after.on_time == 1.0
    odds = odds_of(week, plan, scenarios=2000, seed=3)
    assert before.on_time == odds.on_time < 1.0
    assert (before.p90_s or 0) + 3 * H == odds.p90_s


def test_moments_reach_from_the_beginning_to_the_end() -> None:
    """They are evenly spaced, and stop at the deadline if the finish lies beyond it."""
    week = weekend(task("a", 10 * H), deadline_s=8 * H)
    course = replay(week, as_listed(week), nominal(week))
    assert moments(week, course, 5) == (0, 2 * H, 4 * H, 6 * H, 8 * H)


def test_the_user_may_stop_it() -> None:
    """The watch is asked between moments."""
    week = weekend(task("a"))
    course = replay(week, as_listed(week), nominal(week))
    with pytest.raises(Cancelled):
        outlooks(week, as_listed(week), course, [0], Sample(seed=1), watch=Impatient())


def test_a_weekend_that_is_over_has_one_moment() -> None:
    """Where the course is already at its end there is nothing to draw, and nothing to tell twice."""
    week = weekend(task("glue", H))
    over = Course(blocks=(), done_s={}, finish_s=week.begin_s)
    assert moments(week, over, 12) == (week.begin_s,)


def test_one_figure_is_not_told_in_two_ways() -> None:
    """What stands at the beginning where the odds are known is what would be simulated from there."""
    week = weekend(printing("lid", Spread(5 * H, 6 * H, 9 * H), fail_start=0.2), deadline_s=9 * H)
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    odds = odds_of(week, plan, scenarios=2000, seed=8)
    assert (
        standing(week, odds) == outlooks(week, plan, course, [0], Sample(seed=8, scenarios=2000))[0]
    )
