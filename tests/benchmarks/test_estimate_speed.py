"""How fast prints are estimated. Run with `pytest tests/benchmarks --benchmark-only`."""

import subprocess
import sys

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.estimate.motion import plan_moves
from fabsched.estimate.placing import place
from fabsched.estimate.planes import planes_for
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.rough import rough_print
from fabsched.estimate.sections import section_mesh
from fabsched.estimate.support import support_of
from fabsched.estimate.warm import warm_kernels
from fabsched.model.progress import UNWATCHED
from fabsched.model.shop import Build
from tests.estimate import bodies

FRESH = """
from fabsched.estimate.printing import estimate_print
from tests.estimate import bodies
estimate_print(bodies.knot(100_000), bodies.printer(), bodies.PLA, where="part")
"""


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compile before anything is timed."""
    warm_kernels()


@pytest.mark.parametrize("triangles", [10_000, 100_000, 1_000_000])
def test_whole_estimate(benchmark: BenchmarkFixture, triangles: int) -> None:
    """A knot with 245 layers, from mesh to estimate."""
    mesh, printer = bodies.knot(triangles), bodies.printer()
    got = benchmark(estimate_print, mesh, printer, bodies.PLA, where="part")
    assert (got.layers or 0) > 240


def test_fresh_process(benchmark: BenchmarkFixture) -> None:
    """The same with 100 000 triangles in a new process, kernels from the cache on disk."""
    command = [sys.executable, "-c", FRESH]
    benchmark(subprocess.run, command, check=True)


def test_sections(benchmark: BenchmarkFixture) -> None:
    """Slicing, chaining, simplifying and uniting alone."""
    placed = place(bodies.knot(100_000), "part")
    planes = planes_for(placed.size_mm[2], Build())
    benchmark(section_mesh, placed.mesh, planes, "part", UNWATCHED)


def test_support(benchmark: BenchmarkFixture) -> None:
    """Finding the support of one pose."""
    benchmark(support_of, place(bodies.knot(100_000), "part"), Build())


def test_rough(benchmark: BenchmarkFixture) -> None:
    """The instant guess."""
    benchmark(rough_print, bodies.knot(100_000), bodies.printer(), bodies.PLA)


def test_planner(benchmark: BenchmarkFixture) -> None:
    """A million moves of a winding path; the mean time in us is us per million moves."""
    moves = 1_000_000
    chance = np.random.default_rng(1)
    angle = np.cumsum(chance.normal(0.0, 0.3, moves))
    length = chance.uniform(0.1, 3.0, moves)
    x = np.concatenate([np.zeros(1), np.cumsum(length * np.cos(angle))])
    y = np.concatenate([np.zeros(1), np.cumsum(length * np.sin(angle))])
    speed, accel = np.full(moves, 100.0), np.full(moves, 3000.0)
    stop, seconds = np.zeros(moves, np.uint8), np.empty(moves)
    benchmark(plan_moves, x, y, speed, accel, stop, 0.02, seconds)
