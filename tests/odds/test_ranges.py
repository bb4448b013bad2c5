"""The odds as a range over what is not known about the world."""

from statistics import NormalDist

import numpy as np
import pytest

from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.odds import odds_of
from fabsched.odds.ranges import range_of, world_at
from fabsched.odds.simulate import finishes_of
from fabsched.odds.truths import AS_TOLD, PUBLISHED, SHARED, Factor, Truths
from tests.model.made import H, as_listed, printing, task, weekend

MANY = 20_000


def three_errors(share: float) -> float:
    """Three standard errors of a share."""
    return 3 * float(np.sqrt(share * (1 - share) / MANY))


def test_one_unknown_factor_gives_the_chances_of_its_tenths() -> None:
    """Closed form: normal chances of a log-normal work, shifted by 1.28 spreads of the factor."""
    week = weekend(task("a", Spread.exactly(10 * H)), deadline_s=14 * H)
    truths = Truths(work=Factor(1.1, 0.2), overrun=Factor(1.0, 0.3))
    found = range_of(compile_weekend(week), as_listed(week), truths, scenarios=MANY, seed=3)
    normal = NormalDist()
    for side, got in ((1, found.low), (0, found.middle), (-1, found.high)):
        shift = 0.2 * side * normal.inv_cdf(0.9)
        expected = normal.cdf((np.log(1.4 / 1.1) - shift) / 0.3)
        assert abs(got - expected) <= three_errors(expected)


def test_two_unknown_factors_act_together_as_their_lengths_do() -> None:
    """Works of independent factors in a product: spreads add up as squares do."""
    lid = printing("lid", Spread.exactly(10 * H), start_s=0, clear_s=0, fail_start=0.3)
    week = weekend(lid, deadline_s=10 * H)
    truths = Truths(failing=Factor(1.0, 0.5), work=Factor(1.0, 0.5))
    found = range_of(compile_weekend(week), as_listed(week), truths, scenarios=MANY, seed=3)
    # Work does not matter here, so that all of the direction lies in the failures.
    for side, got in ((1, found.low), (0, found.middle), (-1, found.high)):
        expected = 0.7 ** np.exp(0.5 * side * NormalDist().inv_cdf(0.9))
        assert abs(got - expected) <= three_errors(expected)


def mixed() -> tuple[Activity, ...]:
    """A print that may fail, work beside it, and a gate."""
    return (
        printing("lid", Spread(8 * H, 9 * H, 11 * H), fail_start=0.05, fail_hour=0.012),
        task("code", Spread(6 * H, 9 * H, 16 * H)),
        task("fit", Spread(H, 2 * H, 4 * H), after=("lid",), chance=0.2, redo=("lid",)),
    )


def test_the_range_is_that_of_worlds_drawn_at_random() -> None:
    """Its ends agree with the tenths of the chances in many random worlds, to a few points."""
    week = weekend(*mixed(), deadline_s=30 * H)
    frame, plan, rng = compile_weekend(week), as_listed(week), np.random.default_rng(4)
    chances = []
    for number in range(400):
        world = world_at(PUBLISHED, {name: float(rng.standard_normal()) for name in SHARED})
        finishes = finishes_of(draw(frame, 1000, number, truths=world), plan)
        chances.append((finishes <= week.deadline_s).mean())
    found = range_of(frame, plan, PUBLISHED, scenarios=8000, seed=6)
    assert np.quantile(chances, [0.1, 0.9]) == pytest.approx([found.low, found.high], abs=0.05)
    assert found.high - found.low > 0.2


def test_nothing_unknown_is_no_range() -> None:
    """With everything as told the three chances are one, and the odds carry no range."""
    week = weekend(printing("lid", 2 * H, fail_start=0.3), deadline_s=2 * H + 900)
    plan = as_listed(week)
    found = range_of(compile_weekend(week), plan, AS_TOLD, scenarios=500, seed=3)
    assert found.low == found.middle == found.high
    odds = odds_of(week, plan, scenarios=500, seed=3)
    assert (odds.low, odds.high) == (None, None)


def test_odds_under_doubt_lie_between_their_range() -> None:
    """The odds over all worlds lie between those of unkind and kind ones; threads change nothing."""
    week = weekend(*mixed(), deadline_s=30 * H)
    odds = odds_of(week, as_listed(week), scenarios=5000, seed=3, truths=PUBLISHED)
    assert odds.low is not None
    assert odds.high is not None
    assert odds.low < odds.on_time < odds.high
    assert odds == odds_of(
        week, as_listed(week), scenarios=5000, seed=3, truths=PUBLISHED, threads=1
    )
    assert odds.on_time < odds_of(week, as_listed(week), scenarios=5000, seed=3).on_time


def test_a_sure_plan_is_sure_in_every_world() -> None:
    """Where no factor matters the range is narrow and not beyond one."""
    week = weekend(task("a", Spread(H, 2 * H, 3 * H)), deadline_s=40 * H)
    found = range_of(compile_weekend(week), as_listed(week), PUBLISHED, scenarios=500, seed=3)
    assert (found.low, found.high) == (1.0, 1.0)
