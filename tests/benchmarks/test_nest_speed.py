"""How long flat parts take: reading them, timing their cut, nesting them."""

import math

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.estimate.cutting import estimate_cut
from fabsched.files.outlines import Scale, outline, tidy
from fabsched.model.materials import CutSetting, Cutting, SheetMaterial
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from fabsched.model.shop import Laser
from fabsched.model.spread import Spread
from fabsched.nest.place import nest
from fabsched.nest.records import Item, alike

LASER = Laser(id="laser", name="Laser", place="here", bed_mm=(600, 400))
SETTING = CutSetting(
    thickness_mm=3.0,
    power_w=60.0,
    feed_mm_s=Spread(10, 12.5, 15),
    pierce_s=0.3,
    passes=1,
    kerf_mm=0.2,
)
SHEET = SheetMaterial(id="sheet", cutting=Cutting.ALLOWED, settings=(SETTING,))


def circle(x: float, y: float, radius: float) -> Outline:
    """A circle of 40 chords."""
    turn = np.linspace(0, math.tau, 41)
    points = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
    return outline(points, Operation.CUT)


def plate(columns: int, rows: int) -> list[Outline]:
    """A plate with many holes."""
    holes = [circle(8 + 7 * i, 8 + 7 * j, 2) for i in range(columns) for j in range(rows)]
    wide, high = 7 * columns + 9, 7 * rows + 9
    corners = np.array([(0, 0), (wide, 0), (wide, high), (0, high), (0, 0)], dtype=np.float64)
    return [*holes, outline(corners, Operation.CUT)]


def star(kind: int) -> Item:
    """One of eleven concave parts of 20 to 90 mm, six copies each."""
    random = np.random.default_rng(kind)
    radii = random.uniform(10, 45, size=40)
    turn = np.arange(40) * math.tau / 40
    smooth = np.convolve(np.tile(radii, 3), np.ones(5) / 5, mode="same")[40:80]
    points = np.column_stack([smooth * np.cos(turn), smooth * np.sin(turn)])
    return Item(id=f"star{kind}", outline=tuple(map(tuple, points.tolist())), count=6)


@pytest.mark.parametrize("holes", [(10, 6), (50, 20)])
def test_tidy_speed(benchmark: BenchmarkFixture, holes: tuple[int, int]) -> None:
    """Joining and looking for lines on each other."""
    drawing, findings = benchmark(tidy, plate(*holes), Scale(1.0), "plate.dxf")
    assert len(drawing.outlines) == holes[0] * holes[1] + 1
    assert findings == ()


@pytest.mark.parametrize("holes", [(10, 6), (50, 20)])
def test_cut_speed(benchmark: BenchmarkFixture, holes: tuple[int, int]) -> None:
    """Kerf, order, webs and three runs of the motion planner."""
    drawing = Drawing(tuple(plate(*holes)))
    found = benchmark(estimate_cut, drawing, LASER, SHEET, 3.0, where="plate.dxf")
    assert found.pierces == holes[0] * holes[1] + 1


@pytest.mark.parametrize("resolution_mm", [1.0, 0.5])
def test_nest_speed(benchmark: BenchmarkFixture, resolution_mm: float) -> None:
    """66 concave parts in four turns on sheets of 400 by 300 mm."""
    items = [star(kind) for kind in range(11)]
    layout = benchmark(nest, items, alike((400, 300), 9), 2.0, resolution_mm=resolution_mm)
    assert layout.unplaced == ()


def test_capacity_speed(benchmark: BenchmarkFixture) -> None:
    """How many circles of 10 mm fit a bed."""
    ring = circle(0, 0, 5).points_mm
    item = Item(id="circle", outline=tuple(map(tuple, ring.tolist())), count=600)
    layout = benchmark(nest, [item], alike((256, 256), 1), 2.0)
    assert len(layout.placements) > 300
