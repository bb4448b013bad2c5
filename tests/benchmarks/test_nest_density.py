"""How dense layouts are, against the best ones known.

The instances are those of the ESICUP data sets (CC0), the best known densities those of Gardeyn, Vanden
Berghe and Wauters (arXiv 2509.13329); they were found on strips higher by one part in ten thousand, so
that what fits exactly can be placed by rounded numbers, and so are ours. Squares: OEIS A038666 (Korf,
ICAPS 2004).
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.nest.improve import improved
from fabsched.nest.place import EFFORT, nest
from fabsched.nest.records import Bin, Item, Layout, Ring, Task, alike
from fabsched.nest.worth import Effort, used_mm
from tests.benchmarks.test_nest_speed import star

NAMES = ("fu", "blaz1", "shapes1")
INSTANT_SHARE = 0.88
"""Of the best known density, within a second."""
POINTS = 3.0
"""Of density short of the best known, after a minute."""
ROWS = 100
"""Pixels across a strip: what half a millimetre is to a small sheet."""
SQUARES_OVER = 1.08
"""Area over that of the smallest rectangle around squares of sides 1 to n."""
SMALLEST = {10: (405, 15), 20: (2890, 34)}
"""Area of that rectangle and its shorter side, by n."""


def instance(folder: Path, name: str) -> tuple[dict[str, Any], list[Item], Bin, float]:
    """The file, its parts, a strip long enough, and the area of all parts."""
    data = json.loads((folder / f"{name}.json").read_text("utf-8"))
    items = [
        Item(
            id=str(i),
            outline=tuple((float(x), float(y)) for x, y in entry["polygon"]),
            count=entry["quantity"],
            turns_deg=tuple(entry["rotations_deg"]),
        )
        for i, entry in enumerate(data["items"])
    ]
    area = sum(area_mm2(item.outline) * item.count for item in items)
    high = float(data["strip_height"])
    return data, items, Bin(size_mm=(1.8 * area / high, high * 1.0001)), area


def area_mm2(ring: Ring) -> float:
    """Area by the shoelace formula."""
    x, y = np.array(ring).T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def timed(benchmark: BenchmarkFixture) -> Any:
    """The call that takes rounds; the library gives it no types."""
    return benchmark.pedantic


def instant(items: list[Item], strip: Bin) -> Layout:
    """The layout of the first second."""
    return nest(items, [strip], 0.0, resolution_mm=strip.size_mm[1] / ROWS, effort=EFFORT)


@pytest.mark.parametrize("name", NAMES)
def test_instant_density(benchmark: BenchmarkFixture, nesting_data: Path, name: str) -> None:
    """By orders and pixels alone."""
    data, items, strip, area = instance(nesting_data, name)
    layout = timed(benchmark)(instant, (items, strip), rounds=3, warmup_rounds=1)
    assert layout.unplaced == ()
    density = 100 * area / (used_mm(layout, items, 0) * data["strip_height"])
    benchmark.extra_info["density"] = density
    assert density >= INSTANT_SHARE * data["best_utilisation_percent"]


@pytest.mark.parametrize("threads", [1, 2])
@pytest.mark.parametrize("name", NAMES)
def test_improved_density(
    benchmark: BenchmarkFixture, nesting_data: Path, name: str, threads: int
) -> None:
    """After a minute of strip packing."""
    data, items, strip, area = instance(nesting_data, name)
    standing = instant(items, strip)
    task = Task(items=items, bins=[strip], gap_mm=0.0)
    effort = Effort(seconds=60, threads=threads)
    layout = timed(benchmark)(improved, (standing, task, effort), rounds=1)
    density = 100 * area / (used_mm(layout, items, 0) * data["strip_height"])
    benchmark.extra_info["density"] = density
    assert density >= data["best_utilisation_percent"] - POINTS


@pytest.mark.parametrize("n", SMALLEST)
def test_squares_in_a_rectangle(benchmark: BenchmarkFixture, n: int) -> None:
    """Squares of sides 1 to n in a strip as high as the smallest rectangle around them."""
    area, high = SMALLEST[n]
    sides = range(1, n + 1)
    items = [
        Item(id=str(k), outline=((0, 0), (k, 0), (k, k), (0, k)), turns_deg=(0.0,)) for k in sides
    ]
    strip = Bin(size_mm=(2.0 * area / high, float(high)))
    layout = timed(benchmark)(
        nest,
        (items, [strip], 0.0),
        {"resolution_mm": 1.0, "effort": EFFORT},
        rounds=1,
        warmup_rounds=1,
    )
    assert layout.unplaced == ()
    assert area <= used_mm(layout, items, 0) * high + 1e-6 <= SQUARES_OVER * area


def test_two_hundred_outlines(benchmark: BenchmarkFixture) -> None:
    """198 concave parts of eleven kinds in four turns on sheets of 600 by 400 mm."""
    items = [star(kind) for kind in range(11)]
    many = [Item(id=item.id, outline=item.outline, count=18) for item in items]
    layout = benchmark(nest, many, alike((600, 400), 9), 2.0, resolution_mm=1.0, effort=5_000_000)
    assert layout.unplaced == ()
    benchmark.extra_info["sheets"] = layout.bins
