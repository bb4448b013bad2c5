"""What is foretold comes true as often as told, when worlds are drawn from the model's own prior."""

import numpy as np
import pytest

from fabsched.odds.calibration import bins, brier
from tests.odds.worlds import Outcome, after_failing, after_learning, as_told, by_tenth, outcomes


@pytest.fixture(scope="module")
def found() -> list[Outcome]:
    """Sixty projects, each carried out three hundred times; `tests/benchmarks` has 2,000."""
    return list(outcomes(60, scenarios=2000, lives=300))


def test_eight_in_ten_end_from_p10_to_p90(found: list[Outcome]) -> None:
    """The bar: 80 % within 2 points."""
    assert np.mean([each.inside for each in found]) == pytest.approx(0.8, abs=0.02)


def test_chances_come_true_as_told(found: list[Outcome]) -> None:
    """In each tenth of the chances told, within 4 points: three standard errors of so few projects."""
    rows = by_tenth(found)
    assert len(rows) == 10
    for told, came_true in rows:
        assert came_true == pytest.approx(told, abs=0.04)


def test_scores_of_the_log_see_that_they_are_right(found: list[Outcome]) -> None:
    """One life each: the Brier score is near what chances that are right must come to.

    Its expectation is the mean of p (1 - p) (Brier, Monthly Weather Review 78(1), 1950; from memory).
    """
    told = as_told(found)
    expected = float(np.mean([one.chance * (1 - one.chance) for one in told]))
    score = brier(told)
    assert score is not None
    assert score == pytest.approx(expected, abs=0.07)
    assert sum(row.count for row in bins(told)) == len(found)


@pytest.mark.parametrize("logged", [3, 12])
def test_what_is_learnt_keeps_ranges_and_chances_right(logged: int) -> None:
    """Each of 300 makers has a log: 80 % end from P10 to P90 within 3 points, and so come chances true.

    Every maker has a way of working of their own, drawn from what is believed before any log.
    """
    found = list(after_learning(300, logged=logged, scenarios=600, lives=20))
    assert np.mean([each.inside for each in found]) == pytest.approx(0.8, abs=0.03)
    told, true = (np.mean([getattr(o, n) for o in found]) for n in ("chance", "on_time"))
    assert true == pytest.approx(told, abs=0.05)


def test_what_prints_of_all_shapes_teach_keeps_ranges_and_chances_right() -> None:
    """Each of 150 printers has a log of twelve prints, failures among them; the same holds."""
    found = list(after_failing(150, logged=12, scenarios=600, lives=20))
    assert np.mean([each.inside for each in found]) == pytest.approx(0.8, abs=0.03)
    told, true = (np.mean([getattr(o, n) for o in found]) for n in ("chance", "on_time"))
    assert true == pytest.approx(told, abs=0.03)
