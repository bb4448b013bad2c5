"""How calm plans are, and that the calmer of two equal ones is taken."""

from fabsched.model.plan import Plan
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.calm import Unrest, unrest_of
from fabsched.schedule.race import Judge, best
from fabsched.schedule.rules import Method, Proposal
from tests.model.made import MIN, H, cutting, hours, printing, task, weekend


def test_ways_and_waiting_are_counted() -> None:
    """Two cuts with the workshop closed in between: one way there, and half an hour of waiting."""
    found = weekend(cutting("one"), cutting("two"), open_={"workshop": hours((1, 2.5), (2.75, 5))})
    course = replay(found, Plan(order=("one", "two")), nominal(found))
    assert unrest_of(found, course) == Unrest(2 * 75 * MIN + 30 * MIN, 1)


def test_nobody_who_stays_at_home_is_restless() -> None:
    """Waiting at home for a print is no standing by."""
    found = weekend(printing("lid"), task("wire", after=("lid",)))
    course = replay(found, Plan(order=("lid", "wire")), nominal(found))
    assert unrest_of(found, course) == Unrest(0, 0)


def test_fewer_ways_win_among_plans_done_alike() -> None:
    """A long work at home decides the end: both sheets in one visit is better than in two.

    The second sheet waits for a short work at home, so that who cuts the first at once goes twice.
    """
    found = weekend(
        cutting("one", 10 * MIN),
        cutting("two", 10 * MIN, after=("short",)),
        task("short", 30 * MIN),
        task("long", 20 * H, people=("bo",)),
        people=("ada", "bo"),
    )
    judge = Judge(draw(compile_weekend(found), 50, 1))
    twice = Plan(order=("long", "one", "short", "two"))
    once = Plan(order=("long", "short", "one", "two"))
    assert judge.score(twice) == judge.score(once)
    proposals = [Proposal(Method.SEARCH, plan) for plan in (twice, once)]
    assert best(judge, proposals).plan == once
    assert best(judge, proposals[::-1]).plan == once
