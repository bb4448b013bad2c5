"""How fast plans are judged. Run with `pytest tests/benchmarks --benchmark-only`."""

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.model.plan import Odds
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.dangers import dangers
from fabsched.odds.decisions import decisions
from fabsched.odds.draws import draw
from fabsched.odds.last_start import last_starts
from fabsched.odds.odds import odds_from, odds_of
from fabsched.odds.outlook import moments, outlooks
from fabsched.odds.ranges import range_of
from fabsched.odds.sample import Sample
from fabsched.odds.setbacks import setbacks
from fabsched.odds.simulate import finishes_of
from fabsched.odds.truths import PUBLISHED
from fabsched.odds.warm import warm_kernel
from tests.model.made import as_listed
from tests.odds.large import large_weekend, standing_plan


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compile before anything is timed."""
    warm_kernel()


@pytest.mark.parametrize("size", [15, 40, 100])
def test_odds(benchmark: BenchmarkFixture, size: int) -> None:
    """20 000 weekends from nothing: tables, luck and simulation. Wanted at 40: 0.25 s."""
    week = large_weekend(size)
    got = benchmark(odds_of, week, as_listed(week), seed=1)
    assert got.scenarios == 20_000


def test_odds_with_decisions_and_doubt(benchmark: BenchmarkFixture) -> None:
    """The same with 84 activities of which 40 are carried out, in worlds not known. Wanted: 0.25 s."""
    week = large_weekend(40, spare=44)

    def judge() -> Odds:
        draws = draw(compile_weekend(week), 20_000, 1, truths=PUBLISHED, threads=2)
        return odds_from(finishes_of(draws, standing_plan(week), threads=2), week.deadline_s)

    assert benchmark(judge).scenarios == 20_000


def test_a_step_of_a_search(benchmark: BenchmarkFixture) -> None:
    """Compiling and judging 40 of 84 activities under 250 weekends drawn before. Wanted: 2 ms."""
    week = large_weekend(40, spare=44)
    draws = draw(compile_weekend(week), 250, 1, truths=PUBLISHED)
    benchmark(finishes_of, draws, standing_plan(week))


def test_luck(benchmark: BenchmarkFixture) -> None:
    """Drawing 20 000 weekends of 40 activities, once for any number of plans."""
    frame = compile_weekend(large_weekend(40))
    benchmark(draw, frame, 20_000, 1)


@pytest.mark.parametrize("scenarios", [250, 1000, 20_000])
@pytest.mark.parametrize("threads", [1, 2])
def test_one_more_plan(benchmark: BenchmarkFixture, scenarios: int, threads: int) -> None:
    """Judging another plan of 40 activities under luck drawn before, as a search does."""
    week = large_weekend(40)
    draws = draw(compile_weekend(week), scenarios, 1)
    benchmark(finishes_of, draws, as_listed(week), threads=threads)


def test_compiling_a_plan(benchmark: BenchmarkFixture) -> None:
    """Tables of another plan of 40 activities."""
    week = large_weekend(40)
    benchmark(compile_plan, compile_weekend(week), as_listed(week))


def test_replay(benchmark: BenchmarkFixture) -> None:
    """The nominal course of 40 activities, with every reason."""
    week = large_weekend(40)
    benchmark(replay, week, as_listed(week), nominal(week))


def test_last_starts(benchmark: BenchmarkFixture) -> None:
    """How late each of 40 activities may start, with 1000 weekends a try."""
    week = large_weekend(40)
    benchmark(last_starts, week, as_listed(week), wanted=0.5, seed=1)


def test_setbacks(benchmark: BenchmarkFixture) -> None:
    """What every setback of 40 activities costs, with 4000 weekends each."""
    week = large_weekend(40)
    benchmark(setbacks, week, as_listed(week), seed=1)


def test_range(benchmark: BenchmarkFixture) -> None:
    """Odds of 40 activities in unkind, middling and kind worlds, 4000 weekends in each of seven."""
    week = large_weekend(40)
    frame = compile_weekend(week)
    got = benchmark(range_of, frame, as_listed(week), PUBLISHED, seed=1)
    assert got.low < got.high


def test_outlooks(benchmark: BenchmarkFixture) -> None:
    """Time needed against time left at 24 moments, 1000 weekends from each."""
    week = large_weekend(40)
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    at_s = moments(week, course, 24)
    benchmark(outlooks, week, plan, course, at_s, Sample(seed=1, truths=PUBLISHED))


def test_dangers(benchmark: BenchmarkFixture) -> None:
    """How dangerous each of 40 activities is, with 4000 weekends each."""
    week = large_weekend(40)
    benchmark(dangers, week, as_listed(week), Sample(seed=1, scenarios=4000))


def test_decisions(benchmark: BenchmarkFixture) -> None:
    """Decision hours of 14 runs of which each could be made another way, with 4000 weekends."""
    week = large_weekend(40, spare=14)
    benchmark(decisions, week, standing_plan(week), Sample(seed=1, scenarios=4000))
