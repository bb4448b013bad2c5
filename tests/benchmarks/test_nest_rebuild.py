"""What the placer of pixels wins in the background on bins that are no strips, and what it costs.

The instances are our own. `won_percent` is by how much less of the last sheet is used than in the layout it
began with, which is the one a plan is made with. The work of the placer is counted, so that the figure is the
same on any computer; for the frames, on a plain sheet, some seconds of strip packing follow.
"""

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.nest.improve import improved
from fabsched.nest.place import layout_faults, nest
from fabsched.nest.records import Bin, Item, Layout, Ring, Task, alike
from fabsched.nest.worth import Effort, score_of
from fabsched.schedule.nesting import EFFORT, RESOLUTION_MM
from tests.benchmarks.test_nest_density import timed
from tests.benchmarks.test_nest_speed import star

GAP_MM = 3.0
PORTIONS = 60
"""Of work: some seconds."""


def box(wide: float, high: float, x: float = 0.0, y: float = 0.0) -> Ring:
    """A rectangle."""
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def stars(kinds: int, count: int) -> list[Item]:
    """Concave parts of several kinds."""
    return [Item(id=f"star{k}", outline=star(k).outline, count=count) for k in range(kinds)]


OFFCUT = Bin(
    size_mm=(400, 300), outline=((0, 0), (400, 0), (340, 140), (220, 180), (180, 300), (0, 300))
)
CLAMPED = Bin(
    size_mm=(400, 300), keep_out=(box(40, 30), box(60, 40, 170, 260), box(30, 30, 90, 120))
)
CORNER = Bin(size_mm=(300, 200), outline=((0, 0), (300, 0), (300, 120), (150, 200), (0, 200)))
FRAME = Item(id="frame", outline=box(140, 140), holes=(box(120, 120, 10, 10),), count=2)
CASES = {
    "an offcut": (stars(6, 2), [OFFCUT]),
    "clamps": (stars(6, 2), [CLAMPED]),
    "three offcuts": (stars(6, 3), [CORNER] * 3),
    "frames": ([FRAME, *stars(6, 2)], list(alike((400, 300), 1))),
}


@pytest.mark.parametrize("name", CASES)
def test_improvement_of_other_bins(benchmark: BenchmarkFixture, name: str) -> None:
    """Concave parts on offcuts, around clamps, and beside frames with room in them."""
    items, bins = CASES[name]
    standing = nest(items, bins, GAP_MM, resolution_mm=RESOLUTION_MM, effort=EFFORT)
    task = Task(items=items, bins=bins, gap_mm=GAP_MM)
    effort = Effort(seconds=60, portions=PORTIONS)
    better: Layout = timed(benchmark)(improved, (standing, task, effort), rounds=1)
    before, after = score_of(standing, items, bins), score_of(better, items, bins)
    assert after <= before
    assert layout_faults(better, items, bins, GAP_MM) == ()
    benchmark.extra_info["sheets"] = (before[1], after[1])
    benchmark.extra_info["won_percent"] = 100 * (1 - after[3] / before[3])
