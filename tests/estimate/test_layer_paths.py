"""What is laid in one layer: walls, lines, their order."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection, OpType

from fabsched.estimate.arrays import Loops, bundled
from fabsched.estimate.lines import Scan, common, filled, scanned
from fabsched.estimate.ordering import OUTER, SOLID, SPARSE, TRAVEL
from fabsched.estimate.placing import place
from fabsched.estimate.planes import planes_for
from fabsched.estimate.regions import Measure, covered_by, loops_of
from fabsched.estimate.sections import section_mesh
from fabsched.estimate.simplify import simplified
from fabsched.estimate.toolpath import Path, Paths
from fabsched.estimate.walls import walls_of
from fabsched.model.progress import UNWATCHED
from fabsched.model.shapes import Mesh, Points2
from fabsched.model.shop import Build
from tests.estimate import bodies
from tests.estimate.test_offsets import stars

BUILD = Build()
SQUARE = bundled([bodies.rectangle(40, 40)])


def paths_of(mesh: Mesh, build: Build = BUILD) -> list[Path]:
    """The path of every layer of a part."""
    placed = place(mesh, "part")
    planes = planes_for(placed.size_mm[2], build)
    paths = Paths(section_mesh(placed.mesh, planes, "part", UNWATCHED), build)
    return [paths.path(layer) for layer in range(len(planes))]


def laid_mm(path: Path, role: int) -> float:
    """Way of one role."""
    steps = np.hypot(np.diff(path.trail.x), np.diff(path.trail.y))
    return float(steps[path.trail.role[1:] == role].sum())


def test_walls_of_a_square() -> None:
    """Beads of 0.45 mm around 40 x 40 mm run 158.2 mm outside and 154.6 + 151.0 mm inside.

    Closed form: bead i is a square of side 40 - (2 i + 1) 0.45.
    """
    walls = walls_of(SQUARE, BUILD)
    lengths = [Measure(bundled([p])).length_mm for p in split(walls.beads)]
    assert lengths == pytest.approx([158.2, 154.6, 151.0], rel=1e-12)
    assert walls.outer == 1
    assert Measure(walls.inside).area_mm2 == pytest.approx((40 - 6 * 0.45) ** 2, rel=1e-12)
    assert walls.lost_mm2 == 0.0


def split(loops: Loops) -> list[Points2]:
    """Each polygon of a bundle."""
    points = np.stack([loops.x, loops.y], axis=1)
    return np.split(points, loops.starts[1:-1])


def test_fin_thinner_than_a_bead_is_lost() -> None:
    """A fin of 0.4 x 10 mm on a block finds no bead; what is lost is the fin and nothing else.

    The bead of the block reaches half a bead past its own border at the fin's root.
    """
    shape = loops_of(
        covered_by(bundled([bodies.rectangle(10, 10), bodies.rectangle(10, 0.4, (10, 5))]))
    )
    assert walls_of(shape, BUILD).lost_mm2 == pytest.approx(10 * 0.4, rel=1e-6)


@pytest.mark.parametrize("walls", [0, 1, 2, 5])
def test_number_of_walls(walls: int) -> None:
    """As many beads as asked for surround a section, and the inside begins behind them."""
    made = walls_of(SQUARE, Build(walls=walls))
    assert made.beads.starts.size - 1 == walls
    inside = (40 - 2 * walls * 0.45) ** 2
    assert Measure(made.inside).area_mm2 == pytest.approx(inside, rel=1e-12)


@given(st.lists(stars(), min_size=1, max_size=3), st.floats(0.0, 3.2))
def test_scan_measures_area(polygons: list[Points2], angle: float) -> None:
    """Line lengths times their distance give the area, however the lines run.

    The error of the trapezoid rule is below distance^2 times the number of corners.
    """
    region = loops_of(covered_by(bundled(polygons)))
    scan = scanned(region, angle, 0.1)
    lengths = scan.place[1::2] - scan.place[::2]
    assert (lengths >= 0).all()
    exact = Measure(region).area_mm2
    assert lengths.sum() * 0.1 == pytest.approx(exact, abs=0.1 + 0.01 * region.x.size, rel=0.02)


@given(stars(), stars(), st.integers(-30, 30))
def test_common_is_intersection(a: Points2, b: Points2, shift: int) -> None:
    """Stretches common to two regions are those of their intersection, in either order."""
    one, two = covered_by(bundled([a])), covered_by(bundled([b + np.array([shift, 0.0])]))
    scans = [scanned(loops_of(region), 0.7, 0.45) for region in (one, two)]
    both = Scan(*common(scans[0], scans[1]))
    lengths = both.place[1::2] - both.place[::2]
    meet = CrossSection.batch_boolean([one, two], OpType.Intersect)
    wanted = scanned(loops_of(meet), 0.7, 0.45)
    wanted_mm = float((wanted.place[1::2] - wanted.place[::2]).sum())
    assert lengths.sum() == pytest.approx(wanted_mm, abs=1e-3)
    swapped = Scan(*common(scans[1], scans[0]))
    assert np.array_equal(swapped.place, both.place)


@given(stars(), st.floats(0.05, 0.95))
def test_fill_shares(star: Points2, share: float) -> None:
    """Where all is closed nothing is solid, and the sparse lines are the share asked for."""
    region = scanned(bundled([star]), 0.7, 0.1)
    fill = filled(region, region, 0.7, 0.1, share)
    assert fill.solid.line.size == 0
    exact = float((region.place[1::2] - region.place[::2]).sum()) * 0.1
    assert fill.sparse_mm2 == pytest.approx(exact, rel=1e-9)
    length = np.hypot(*(fill.sparse.ends[:, 2:] - fill.sparse.ends[:, :2]).T).sum()
    trimmed = 0.1 * len(fill.sparse.line)
    lines_mm = 80.0  # one line more or less across the largest star
    assert length + trimmed == pytest.approx(exact * share / 0.1, abs=2 * lines_mm)


def test_block_has_skins_above_and_below() -> None:
    """A block is solid in its lowest and highest four layers, sparse between, exactly."""
    paths = paths_of(bodies.box(20, 20, 4))
    solid = [path.sparse_mm2 == 0.0 for path in paths]
    assert solid == [True] * 4 + [False] * 12 + [True] * 4
    inside = (20 - 2.7) ** 2
    assert paths[8].sparse_mm2 == pytest.approx(inside, rel=2e-3)
    assert laid_mm(paths[8], SOLID) == 0.0


def test_step_gets_skin_where_it_ends() -> None:
    """Below a step only the part that ends there is solid."""
    step = bodies.joined(bodies.box(40, 20, 4), bodies.box(20, 20, 8))
    paths = paths_of(step)
    ends = paths[18]
    covered = (20 - 1.35) * (20 - 2.7)
    assert ends.sparse_mm2 == pytest.approx(covered, rel=5e-3)
    open_mm2 = (40 - 2.7) * (20 - 2.7) - covered
    # Ends of lines at walls are cut back by half a bead, links between lines add about the same.
    assert laid_mm(ends, SOLID) * 0.45 == pytest.approx(open_mm2, rel=0.05)


@pytest.mark.parametrize("infill", [0.0, 0.15, 0.5, 1.0])
def test_infill(infill: float) -> None:
    """Sparse lines cover their share; none is left out at 0, all is solid at 1."""
    path = paths_of(bodies.box(30, 30, 4), Build(infill=infill))[9]
    inside = (30 - 2.7) ** 2
    if infill == 1.0:
        assert path.sparse_mm2 == 0.0
        assert laid_mm(path, SOLID) * 0.45 == pytest.approx(inside, rel=0.03)
    else:
        lines = laid_mm(path, SPARSE) * 0.45
        links = 0.3 * infill * inside  # the serpentine's turns, longest for few lines
        assert infill * inside * 0.93 <= lines <= infill * inside + links + 1e-9


def test_islands_are_finished_one_by_one() -> None:
    """Between two blocks the nozzle crosses over once a layer, not once for each kind of bead."""
    pair = bodies.joined(bodies.box(10, 10, 4), bodies.box(10, 10, 4, (60, 0, 0)))
    for path in paths_of(pair):
        x = path.trail.x
        assert int((np.abs(np.diff(x)) > 40).sum()) == 1


@given(st.lists(stars(), min_size=1, max_size=4), st.integers(0, 50))
def test_everything_is_laid_once(polygons: list[Points2], shift: int) -> None:
    """All walls and lines of a layer occur in its trail, and only travel joins them."""
    loops = bundled([p + np.array([shift * i, 0.0]) for i, p in enumerate(polygons)])
    section = loops_of(covered_by(loops))
    mesh = bodies.prism(split(section), 0.2)
    path = paths_of(mesh)[0]
    walls = walls_of(section, BUILD)
    beads = [Measure(bundled([p])).length_mm for p in split(walls.beads)] if walls.outer else []
    laid = laid_mm(path, OUTER) + laid_mm(path, 1)
    assert laid == pytest.approx(sum(beads), rel=2e-3, abs=1e-6)
    assert path.trail.x.size == 0 or path.trail.role[0] == TRAVEL


@given(stars(), st.floats(0.001, 1.0))
def test_simplified_stays_close(star: Points2, tolerance: float) -> None:
    """Corners left out lie within the tolerance of what remains, which begins canonically."""
    ends = zip(star, np.roll(star, -1, axis=0), strict=True)
    dense = np.concatenate([np.linspace(a, b, 7)[:-1] for a, b in ends])
    plain = simplified(bundled([dense]), tolerance)
    kept = np.stack([plain.x, plain.y], axis=1)
    assert tuple(kept[0]) == min(map(tuple, dense))
    assert max(distance(point, kept) for point in dense) <= tolerance * (1 + 1e-9)
    again = simplified(bundled([np.roll(dense, 5, axis=0)]), tolerance)
    assert np.array_equal(again.x, plain.x)


def distance(point: Points2, polygon: Points2) -> float:
    """Distance of a point from a closed polygon."""
    a, b = polygon, np.roll(polygon, -1, axis=0)
    u = ((point - a) * (b - a)).sum(axis=1) / np.maximum(((b - a) ** 2).sum(axis=1), 1e-30)
    near = a + np.clip(u, 0.0, 1.0)[:, None] * (b - a)
    return float(np.min(np.linalg.norm(point - near, axis=1)))


def test_lines_turn_by_90_degrees() -> None:
    """Solid lines of neighbouring layers cross at right angles."""
    paths = paths_of(bodies.box(20, 20, 0.4))
    slopes = []
    for path in paths:
        solid = np.flatnonzero(path.trail.role == SOLID)
        dx = path.trail.x[solid] - path.trail.x[solid - 1]
        dy = path.trail.y[solid] - path.trail.y[solid - 1]
        longest = int(np.argmax(np.hypot(dx, dy)))
        slopes.append(math.degrees(math.atan2(dy[longest], dx[longest])) % 180)
    assert sorted(slopes) == pytest.approx([45, 135], abs=1e-6)
