"""How fast cuts are timed. Run with `pytest tests/benchmarks --benchmark-only`.

The bars stand with each; seconds are only shown, since they depend on the machine (two cores of
2024 were meant).
"""

from dataclasses import replace

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.estimate.cut_faults import cut_findings
from fabsched.estimate.cut_order import in_order
from fabsched.estimate.cut_regions import beside_kerf
from fabsched.model.shapes import Outline
from tests.estimate.test_cutting import LASER, box, circle, estimate

SEGMENTS = 10_000


@pytest.fixture(scope="module")
def plate() -> tuple[Outline, ...]:
    """A plate with a hundred round holes: ten thousand segments in all."""
    holes = [circle(8 + 9 * i, 8 + 9 * j, 2, 100) for i in range(10) for j in range(10)]
    found = (box(0, 0, 97, 97), *holes)
    assert sum(len(path.points_mm) for path in found) >= SEGMENTS
    estimate(*found)  # compiles
    return found


def test_time_of_ten_thousand_segments(
    benchmark: BenchmarkFixture, plate: tuple[Outline, ...]
) -> None:
    """Kerf, order, three times by the motion planner and all findings; at most 50 ms."""
    got = benchmark(estimate, *plate)
    assert got.pierces == len(plate)


def test_findings_of_ten_thousand_segments(
    benchmark: BenchmarkFixture, plate: tuple[Outline, ...]
) -> None:
    """Webs, holes and pieces alone."""
    assert benchmark(cut_findings, plate, 0.2, 3.0, "plate") == ()


def test_order_of_ten_thousand_segments(
    benchmark: BenchmarkFixture, plate: tuple[Outline, ...]
) -> None:
    """Inner before outer, the nearest next."""
    cuts = beside_kerf(plate, 0.2)
    assert len(benchmark(in_order, cuts, np.zeros(2))) == len(plate)


def test_time_of_five_thousand_holes(benchmark: BenchmarkFixture) -> None:
    """A perforated plate of 320 000 segments, every hole nearer to the next than it should be."""
    holes = [circle(6 + 6 * i, 6 + 6 * j, 2, 64) for i in range(100) for j in range(50)]
    laser = replace(LASER, bed_mm=(700, 400))
    got = benchmark(estimate, box(0, 0, 606, 306), *holes, laser=laser)
    assert got.pierces == 5001
