"""A weekend as it is to be expected, held against the luck that is drawn from the same truths."""

from dataclasses import replace

import numpy as np
import pytest

from fabsched.model.spread import Spread
from fabsched.model.weekend import Run, Task
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.truths import AS_TOLD, PUBLISHED
from fabsched.schedule.effort import Effort
from fabsched.schedule.expected import mean_s
from fabsched.schedule.foreseen import foreseen
from fabsched.schedule.planner import make_plan
from tests.model.made import H, hours, task, weekend
from tests.schedule.weekends import maker_weekend, printed, work

LITTLE = Effort(solver=0.05, race=100, search=300_000, most_tries=10, odds=500, last_starts=20)


def test_mean_hours_are_those_that_are_drawn() -> None:
    """With the published truths the mean of what is drawn is the mean that is foreseen."""
    told = weekend(task("build", work("x", 600).seconds), machines={"mex": "home"})
    drawn = draw(compile_weekend(told), 40_000, 3, truths=PUBLISHED).luck.seconds
    (build,) = foreseen(told, PUBLISHED).activities
    assert mean_s(build) == pytest.approx(float(np.mean(drawn)), rel=0.01)


def test_a_rate_is_raised_as_it_is_drawn() -> None:
    """Twice the rate of failing leaves the square of the chance to go well."""
    told = weekend(printed("lid", 600, "mex"), machines={"mex": "home"})
    worse = replace(AS_TOLD, failing=replace(AS_TOLD.failing, median=2.0))
    (lid,) = foreseen(told, worse).activities
    assert isinstance(lid, Run)
    assert 1 - lid.fail_start == pytest.approx(0.97**2)
    assert lid.fail_hour == pytest.approx(0.03)


def test_what_would_find_no_hours_stays_as_told() -> None:
    """Two hours in one go fit into windows of two hours, two hours and a half do not."""
    found = weekend(
        task("whole", 2 * H), task("pieces", 2 * H, splittable=True), up=hours((0, 2), (4, 6))
    )
    whole, pieces = foreseen(found, PUBLISHED).activities
    assert isinstance(whole, Task)
    assert isinstance(pieces, Task)
    assert whole.seconds == Spread.exactly(2 * H)
    assert pieces.seconds.likely == pytest.approx(2 * H * PUBLISHED.work_mean)


def test_nothing_changes_where_all_is_as_told() -> None:
    """The very same weekend."""
    assert foreseen(found := maker_weekend(), AS_TOLD) is found


def test_an_answer_tells_the_range_and_starts_earlier_where_less_is_known() -> None:
    """The odds lie inside their range, below those of the same weekend taken as told."""
    found = maker_weekend(slack=8)
    told = make_plan(found, seed=1, effort=LITTLE)
    wary = make_plan(found, seed=1, effort=LITTLE, truths=PUBLISHED)
    assert (told.odds.low, told.odds.high) == (None, None)
    assert wary.odds.low is not None
    assert wary.odds.high is not None
    assert wary.odds.low < wary.odds.on_time < wary.odds.high
    assert wary.odds.on_time < told.odds.on_time
