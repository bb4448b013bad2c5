"""How late something may start."""

from dataclasses import replace

import numpy as np
import pytest

from fabsched.model.errors import Cancelled
from fabsched.model.spread import Spread
from fabsched.model.weekend import Going, Weekend
from fabsched.odds.last_start import COST, SHARE, STEP_S, last_starts
from fabsched.odds.simulate import simulate
from fabsched.odds.truths import Factor, Truths
from tests.model.made import MIN, H, as_listed, printing, task, weekend


class Impatient:
    """A watch that says stop."""

    def report(self, done: float, stage: str) -> None:
        """Hear of the progress."""

    def stopped(self) -> bool:
        """Whether to stop: yes."""
        return True


def on_time(week: Weekend, ident: str, moment_s: int, scenarios: int) -> float:
    """Odds when one activity is held back until a moment."""
    held = tuple(replace(a, earliest_s=moment_s) if a.id == ident else a for a in week.activities)
    later = replace(week, activities=held)
    finishes = simulate(later, as_listed(later), scenarios=scenarios, seed=3)
    return float(np.mean(finishes <= week.deadline_s))


def test_a_sure_job_may_start_its_own_length_before_the_deadline() -> None:
    """Ten hours of print with ten minutes before and five after end at 48 h if begun at 37:45."""
    week = weekend(printing("lid", 10 * H))
    found = last_starts(week, as_listed(week), wanted=0.9, scenarios=10, seed=1).starts
    assert found == {"lid": round(37.75 * H)}


def test_what_comes_before_starts_earlier() -> None:
    """In a chain of sure works each last start leaves time for the rest."""
    week = weekend(task("a", 2 * H), task("b", 3 * H, after=("a",)), deadline_s=20 * H)
    found = last_starts(week, as_listed(week), wanted=1.0, scenarios=10, seed=1).starts
    assert found == {"a": 15 * H, "b": 17 * H}


@pytest.mark.parametrize("wanted", [0.5, 0.8, 0.95])
def test_the_last_start_keeps_the_odds_and_the_next_does_not(wanted: float) -> None:
    """Held back until the last start the odds are as wanted, five minutes later they are not."""
    week = weekend(
        printing("lid", Spread(5 * H, 6 * H, 9 * H), fail_start=0.1),
        task("glue", Spread(H, 2 * H, 4 * H), after=("lid",)),
        task("code", Spread(H, 3 * H, 9 * H)),
        deadline_s=30 * H,
    )
    found = last_starts(week, as_listed(week), wanted=wanted, scenarios=400, seed=3).starts
    for ident, moment_s in found.items():
        assert moment_s is not None
        assert moment_s % STEP_S == 0
        assert on_time(week, ident, moment_s, 400) >= wanted
        assert on_time(week, ident, moment_s + STEP_S, 400) < wanted


def test_there_is_no_last_start_for_odds_that_cannot_be_had() -> None:
    """If no weekend is done in time without any delay, there is nothing to be told."""
    week = weekend(printing("lid", 10 * H), task("a"), deadline_s=5 * H)
    plan = as_listed(week)
    found = last_starts(week, plan, wanted=0.5, scenarios=10, seed=1)
    assert (dict(found.starts), found.cost) == ({"lid": None, "a": None}, None)


def test_what_is_dropped_has_no_last_start_and_what_is_optional_may_wait() -> None:
    """An optional work that nothing waits for may be held back until the deadline."""
    week = weekend(task("a"), task("b", needed=False), task("c", needed=False))
    plan = replace(as_listed(week), dropped=frozenset({"c"}))
    found = last_starts(week, plan, wanted=0.9, scenarios=10, seed=1).starts
    assert found == {"a": 47 * H, "b": week.deadline_s}


def test_what_goes_on_already_has_no_last_start() -> None:
    """Nobody can hold back what has been started."""
    lid = printing("lid", going=Going("printer", Spread.exactly(H)))
    found = last_starts(week := weekend(lid, task("a")), as_listed(week), wanted=0.9, seed=1).starts
    assert set(found) == {"a"}


def test_nothing_is_told_before_the_activity_may_start() -> None:
    """An hour set for an activity that is already late for the odds is told as it is."""
    week = weekend(task("a", H, earliest_s=H + 7 * MIN), deadline_s=2 * H + 8 * MIN)
    found = last_starts(week, as_listed(week), wanted=0.9, scenarios=10, seed=1).starts
    assert found == {"a": H + 7 * MIN}


def test_the_user_may_stop_it() -> None:
    """The watch is asked between activities."""
    week = weekend(task("a"))
    with pytest.raises(Cancelled):
        last_starts(week, as_listed(week), wanted=0.5, scenarios=5, seed=1, watch=Impatient())


def test_what_may_take_longer_than_told_has_to_start_earlier() -> None:
    """Work that always takes twice as long as told leaves half the time."""
    week = weekend(task("a", 2 * H), deadline_s=20 * H)
    slow = Truths(work=Factor(2.0))
    found = last_starts(week, as_listed(week), wanted=1.0, scenarios=10, seed=1, truths=slow).starts
    assert found == {"a": 16 * H}


@pytest.mark.parametrize("deadline_h", [8, 9, 10])
def test_below_the_wanted_odds_a_last_start_costs_no_more_than_told(deadline_h: int) -> None:
    """Begun then the odds fall by no more than told; a quarter of an hour later they do."""
    week = weekend(
        printing("lid", Spread(4 * H, 5 * H, 7 * H), fail_start=0.1),
        task("glue", Spread(H, 2 * H, 4 * H), after=("lid",)),
        deadline_s=deadline_h * H,
    )
    found = last_starts(week, as_listed(week), wanted=0.99, scenarios=400, seed=3)
    assert found.cost is not None
    now = on_time(week, "lid", 0, 400)
    assert found.cost == pytest.approx(min(COST, SHARE * now))
    for ident, moment_s in found.starts.items():
        assert moment_s is not None
        assert on_time(week, ident, moment_s, 400) >= now - found.cost
        assert on_time(week, ident, moment_s + 900, 400) < now - found.cost
