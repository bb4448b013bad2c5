"""How fast motion programs are read and timed. Run with `pytest tests/benchmarks --benchmark-only`."""

import math

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.estimate.program import estimate_program
from fabsched.estimate.warm import warm_kernels
from fabsched.files.motion_program import parse_program
from tests.estimate import bodies


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compile before anything is timed."""
    warm_kernels()


def winding(megabytes: int) -> bytes:
    """Layer after layer of short moves along a flower."""
    lines, size, move = ["G21 G90 G92 E0"], 0, 0
    while size < megabytes * 1_000_000:
        if move % 2000 == 0:
            lines.append(f"G0 Z{0.2 + move / 2000 * 0.2:.2f}")
        angle = move * 0.05
        radius = 40 + 8 * math.sin(7.3 * angle)
        x, y = 100 + radius * math.cos(angle), 100 + radius * math.sin(angle)
        lines.append(f"G1 X{x:.3f} Y{y:.3f} E{0.05 * move:.5f} F{3000 - move % 7 * 100}")
        size += len(lines[-1]) + 1
        move += 1
    return "\n".join([*lines, "M2"]).encode()


@pytest.mark.parametrize("megabytes", [5, 50])
def test_reading(benchmark: BenchmarkFixture, megabytes: int) -> None:
    """From the bytes to the moves."""
    data = winding(megabytes)
    program, findings = benchmark(parse_program, data, "x")
    assert (len(program.filament_mm) > 20_000 * megabytes, findings) == (True, ())


@pytest.mark.parametrize("megabytes", [5, 50])
def test_estimating(benchmark: BenchmarkFixture, megabytes: int) -> None:
    """From the moves to the estimate."""
    program, _ = parse_program(winding(megabytes), "x")
    got = benchmark(estimate_program, program, bodies.printer(), bodies.PLA, where="x")
    assert got.whole_run
