"""Calibration over 2,000 simulated projects. Run with `pytest tests/benchmarks --benchmark-only`."""

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.odds.worlds import Outcome, after_failing, after_learning, by_tenth, outcomes

PROJECTS = 2000
LIVES = 60
"""Carried out only once each, a tenth of 2,000 projects would be uncertain by 3.5 points."""


def held(benchmark: BenchmarkFixture, found: list[Outcome]) -> None:
    """From P10 to P90 lie 80 % within 2 points, and chances of each tenth come true within 2 points."""
    inside = float(np.mean([each.inside for each in found]))
    benchmark.extra_info["inside"] = round(inside, 4)
    assert inside == pytest.approx(0.8, abs=0.02)
    tenths_held(benchmark, found)


def tenths_held(benchmark: BenchmarkFixture, found: list[Outcome]) -> None:
    """Chances of each tenth come true within 2 points."""
    rows = by_tenth(found)
    benchmark.extra_info["tenths"] = [(round(told, 3), round(true, 3)) for told, true in rows]
    assert len(rows) == 10
    for told, came_true in rows:
        assert came_true == pytest.approx(told, abs=0.02)


def test_two_thousand_projects(benchmark: BenchmarkFixture) -> None:
    """What is foretold with nothing logged comes true as told; prints of all shapes are among it."""
    found = benchmark.pedantic(  # type: ignore[no-untyped-call]  # the library has no types for it
        lambda: list(outcomes(PROJECTS, scenarios=2000, lives=LIVES)), rounds=1, iterations=1
    )
    held(benchmark, found)


@pytest.mark.parametrize("logged", [3, 12])
def test_two_thousand_makers(benchmark: BenchmarkFixture, logged: int) -> None:
    """What is foretold from as many logs of handwork comes true as told.

    A maker who is slower than told is so in every life; so each is asked for a deadline in every
    tenth, which brings the standard error of a tenth to 0.6 points at most.
    """
    found = benchmark.pedantic(  # type: ignore[no-untyped-call]  # the library has no types for it
        lambda: list(after_learning(PROJECTS, logged=logged, scenarios=600, lives=20)), rounds=1
    )
    held(benchmark, found)


@pytest.mark.parametrize("logged", [3, 40])
def test_two_thousand_printers(benchmark: BenchmarkFixture, logged: int) -> None:
    """What is foretold from as many logs of prints of all shapes, failures among them, comes true."""
    found = benchmark.pedantic(  # type: ignore[no-untyped-call]  # the library has no types for it
        lambda: list(after_failing(PROJECTS, logged=logged, scenarios=600, lives=20)), rounds=1
    )
    held(benchmark, found)


def test_two_thousand_bad_printers(benchmark: BenchmarkFixture) -> None:
    """The same where prints fail four times as often, so that starts and hours must be told apart.

    More than a tenth of their weekends never end, so that from P10 to P90 lie more than 80 %.
    """
    found = benchmark.pedantic(  # type: ignore[no-untyped-call]  # the library has no types for it
        lambda: list(after_failing(PROJECTS, logged=40, scenarios=600, lives=20, often=4.0)),
        rounds=1,
    )
    tenths_held(benchmark, found)
