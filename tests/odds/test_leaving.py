"""Leaving something out from a moment on: what has begun is finished, all else is not begun."""

from dataclasses import replace

import numpy as np
import pytest

from fabsched.model.plan import Kind, Plan
from fabsched.model.replay import replay
from fabsched.model.spread import Spread
from fabsched.model.weekend import Swap, Turn, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.decisions import decisions
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.leaving import Leaving, starts_of
from fabsched.odds.sample import Sample
from fabsched.odds.simulate import done_by, finishes_of
from tests.model.made import H, as_listed, printing, task, weekend
from tests.odds.large import large_weekend, standing_plan

MANY = Sample(seed=3, scenarios=4000)


def dropping(week: Weekend, *idents: str) -> Weekend:
    """The same where these may be left out."""
    swap = Swap(id="drop-x", kind=Turn.DROP, name="Paint", out=frozenset(idents))
    return replace(week, swaps=(swap,))


def painted(deadline_s: int = 13 * H) -> tuple[Weekend, Plan]:
    """A funnel that may fail, paint that nobody needs, and glue after both."""
    week = weekend(
        printing("funnel", 6 * H, fail_start=0.0, fail_hour=0.05),
        task("paint", 3 * H, after=("funnel",), needed=False),
        task("glue", H, after=("funnel", "paint")),
        deadline_s=deadline_s,
    )
    return dropping(replace(week, wanted_odds=0.9), "paint"), as_listed(week)


def test_paint_is_left_out_once_the_funnel_is_late() -> None:
    """Not done by nine hours or so there is no time for both; told is the chance without the paint.

    Paint waits for the funnel, so that it has not begun in any of these weekends: without it they go
    as they do under a plan that never had it.
    """
    week, plan = painted()
    (found,) = decisions(week, plan, MANY)
    assert (found.id, found.swap) == ("funnel", "drop-x")
    assert 6 * H < found.by_s <= 9 * H
    draws = MANY.draws(compile_weekend(week))
    (done,), _ = done_by(draws, plan, ["funnel"])
    bare = finishes_of(draws, Plan(order=("funnel", "glue"), dropped=frozenset({"paint"})))
    assert found.instead == pytest.approx(np.mean(bare[done > found.by_s] <= week.deadline_s))
    assert found.instead is not None
    assert found.instead > found.on_time + 0.2


def test_what_has_begun_is_not_given_back() -> None:
    """Paint begun in the first hour is finished: leaving it out later changes no weekend."""
    week = weekend(
        printing("funnel", 6 * H, fail_hour=0.05),
        task("paint", Spread(3 * H, 5 * H, 9 * H), needed=False),
        task("glue", H, after=("funnel",)),
        deadline_s=13 * H,
    )
    week, plan = dropping(week, "paint"), as_listed(week)
    draws = MANY.draws(compile_weekend(week))
    leaving = Leaving.of(draws, plan, week.swaps[0], 1)
    in_time = finishes_of(draws, plan) <= week.deadline_s
    late = np.arange(draws.scenarios) % 3 == 0
    assert leaving.chance(H, late) == pytest.approx(in_time[late].mean())
    assert leaving.chance(0, late) >= in_time[late].mean()


def test_weekends_are_parted_by_what_has_begun() -> None:
    """Where paint begins at different hours, each weekend is judged by its own state."""
    week, plan = painted()
    draws = MANY.draws(compile_weekend(week))
    leaving = Leaving.of(draws, plan, week.swaps[0], 1)
    everybody, moment_s = np.ones(draws.scenarios, np.bool_), 7 * H
    begun = leaving.starts[0] < moment_s
    assert 0.1 < begun.mean() < 0.9
    whole = finishes_of(draws, plan)
    bare = finishes_of(draws, Plan(order=("funnel", "glue"), dropped=frozenset({"paint"})))
    mixed = np.where(begun, whole, bare) <= week.deadline_s
    assert leaving.chance(moment_s, everybody) == pytest.approx(mixed.mean())


@pytest.mark.parametrize("seed", range(4))
def test_starts_are_those_of_the_dispatch_rule(seed: int) -> None:
    """When something begins agrees with the rule itself, step by step; runs never earlier."""
    week = large_weekend(14, printers=2, seed=seed)
    plan, draws = standing_plan(week), draw(compile_weekend(week), 5, seed)
    courses = [replay(week, plan, scenario_of(draws, index)) for index in range(5)]
    for ident in plan.order:
        starts = starts_of(draws, plan, ident)
        for start_s, course in zip(starts, courses, strict=True):
            mine = (b for b in course.blocks if b.activity == ident and b.kind is not Kind.TRAVEL)
            first_s = min(block.start_s for block in mine)
            if start_s < NEVER - 10 * H:
                assert start_s >= first_s
                assert start_s == first_s or not ident.startswith("task")
