"""Calibration over 2,000 simulated projects. Run with `pytest tests/benchmarks --benchmark-only`."""

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.odds.worlds import by_tenth, outcomes

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
