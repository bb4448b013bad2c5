"""Calibration over 2,000 simulated projects. Run with `pytest tests/benchmarks --benchmark-only`."""

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.odds.worlds import after_learning, by_tenth, outcomes

PROJECTS = 2000
LIVES = 60
"""Carried out only once each, a tenth of 2,000 projects would be uncertain by 3.5 points."""


def test_two_thousand_projects(benchmark: BenchmarkFixture) -> None:
    """From P10 to P90 lie 80 % of the finishes, within 2 points; so does every tenth of the chances."""
    found = benchmark.pedantic(  # type: ignore[no-untyped-call]  # the library has no types for it
        lambda: list(outcomes(PROJECTS, scenarios=2000, lives=LIVES)), rounds=1, iterations=1
    )
    assert np.mean([each.inside for each in found]) == pytest.approx(0.8, abs=0.02)
    rows = by_tenth(found)
    assert len(rows) == 10
    for told, came_true in rows:
        assert came_true == pytest.approx(told, abs=0.02)


@pytest.mark.parametrize("logged", [3, 12])
def test_two_thousand_makers(benchmark: BenchmarkFixture, logged: int) -> None:
    """From as many logs of handwork: 80 % within 2 points; chances within 6, that being two standard errors.

    A maker who is slower than told is so in every life, so that a tenth of the chances rests on two
    hundred makers and no more.
    """
    found = benchmark.pedantic(  # type: ignore[no-untyped-call]  # the library has no types for it
        lambda: list(after_learning(PROJECTS, logged=logged, scenarios=600, lives=20)), rounds=1
    )
    assert np.mean([each.inside for each in found]) == pytest.approx(0.8, abs=0.02)
    for told, came_true in by_tenth(found):
        assert came_true == pytest.approx(told, abs=0.06)
