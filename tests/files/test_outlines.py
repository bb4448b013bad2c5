"""Raw paths into drawings: joining, lines on each other, and nothing lost on the way."""

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from ezdxf import units
from ezdxf.filemanagement import new
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.curves import CHORD_MM, bezier_points, bulge_points, turn_points
from fabsched.files.fanout import count_instances
from fabsched.files.joining import join_ends
from fabsched.files.layer_names import operation_of
from fabsched.files.outlines import JOIN_MM, Scale, outline, tidy
from fabsched.files.overlaps import cut_once
from fabsched.files.parts import read_part
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline, Points2

MM = Scale(1.0)


def line(*points: tuple[float, float], operation: Operation = Operation.CUT) -> Outline:
    """An outline through the given points."""
    return outline(np.array(points, dtype=np.float64), operation)


def total_mm(paths: Sequence[Outline]) -> float:
    """Length of all paths together."""
    return sum(path.length_mm for path in paths)


def area_mm2(points: Points2) -> float:
    """Area by the shoelace formula, without sign."""
    x, y = points.T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


@st.composite
def shuffled_polygons(draw: st.DrawFn) -> tuple[list[Outline], list[Points2]]:
    """Sides of one to three convex polygons apart, in any order and direction, and the polygons."""
    polygons = []
    for k in range(draw(st.integers(1, 3))):
        turns = sorted(draw(st.sets(st.integers(0, 119), min_size=3, max_size=8)))
        angles = np.array(turns) * math.tau / 120
        polygons.append(np.column_stack([100 * k + 40 * np.cos(angles), 40 * np.sin(angles)]))
    sides = [
        np.stack(pair) for p in polygons for pair in zip(p, np.roll(p, -1, axis=0), strict=True)
    ]
    mixed = draw(st.permutations(sides))
    ways = draw(st.lists(st.sampled_from((1, -1)), min_size=len(mixed), max_size=len(mixed)))
    return [outline(s[::w], Operation.CUT) for s, w in zip(mixed, ways, strict=True)], polygons


@given(shuffled_polygons())
def test_shuffled_sides_come_back_as_their_polygons(
    made: tuple[list[Outline], list[Points2]],
) -> None:
    """Order and direction of lines do not matter; every polygon closes and keeps its area."""
    sides, polygons = made
    drawing, findings = tidy(sides, MM, "x.dxf")
    assert findings == ()
    assert all(o.closed for o in drawing.outlines)
    assert sorted(area_mm2(o.points_mm) for o in drawing.outlines) == pytest.approx(
        sorted(area_mm2(p) for p in polygons)
    )


@given(shuffled_polygons(), st.data())
def test_drawing_lines_again_changes_nothing_but_is_told(
    made: tuple[list[Outline], list[Points2]], data: st.DataObject
) -> None:
    """Whatever is drawn a second time is cut once."""
    sides, polygons = made
    again = data.draw(st.lists(st.sampled_from(sides), min_size=1, max_size=5))
    drawing, findings = tidy([*sides, *again], MM, "x.dxf")
    assert [(f.code, dict(f.facts)) for f in findings] == [
        (Remark.CUT_TWICE, {"count": len(again)})
    ]
    assert total_mm(drawing.outlines) == pytest.approx(total_mm(sides))
    assert len(drawing.outlines) == len(polygons)


@given(
    st.lists(st.tuples(st.integers(0, 30), st.integers(1, 20)), min_size=1, max_size=8),
    st.floats(0, math.tau),
)
def test_lines_along_one_line_leave_their_union(
    stretches: list[tuple[int, int]], turn_rad: float
) -> None:
    """However stretches of a line overlap, each point of it is cut once."""
    along = np.array([math.cos(turn_rad), math.sin(turn_rad)])
    paths = [outline(np.outer([a, a + d], along), Operation.CUT) for a, d in stretches]
    covered = {mm for a, d in stretches for mm in range(a, a + d)}
    kept, _ = cut_once(paths, JOIN_MM)
    assert total_mm(kept) == pytest.approx(len(covered))


def test_a_circle_drawn_twice_is_found_whatever_its_chords() -> None:
    """The second one starts elsewhere and has its chords elsewhere."""
    x, y, origin = np.array([10.0, 0.0]), np.array([0.0, 10.0]), np.zeros(2)
    first, second = (
        outline(turn_points(origin, x, y, start, math.tau, CHORD_MM), Operation.CUT)
        for start in (0.0, 0.03)
    )
    kept, count = cut_once([first, second], JOIN_MM)
    assert (kept, count) == ((first,), 1)


@pytest.mark.parametrize(
    "other",
    [
        line((0, 10), (50, 10)),  # runs beside it, 10 mm away
        line((0, 0.1), (50, 0.1)),  # beside it, a tenth of a millimetre away
        line((0, -1), (50, 1)),  # crosses it at two degrees
        line((50, 0), (90, 0)),  # goes on where it ends
        line((25, 0), (25, 40)),  # stands on it
        line((0, 0), (50, 0), operation=Operation.SCORE),  # lies on it, but is scored
    ],
)
def test_lines_that_do_not_lie_on_each_other_stay(other: Outline) -> None:
    """Nothing is lost of lines that are near, cross, touch or serve another purpose."""
    both = [line((0, 0), (50, 0)), other]
    assert cut_once(both, JOIN_MM) == (tuple(both), 0)


def test_a_line_run_forth_and_back_is_cut_once() -> None:
    """A path that turns around on itself."""
    kept, count = cut_once([line((0, 0), (20, 0), (5, 0))], JOIN_MM)
    assert count == 1
    assert total_mm(kept) == pytest.approx(20)


def test_a_closed_outline_that_loses_a_side_stays_in_one_piece() -> None:
    """Also where the piece goes on over its first point."""
    square = line((0, 0), (20, 0), (20, 20), (0, 20), (0, 0))
    kept, _ = cut_once([line((20, 0), (20, 20)), square], JOIN_MM)
    assert [len(path.points_mm) for path in kept] == [2, 4]


def test_a_side_shared_with_a_neighbour_is_no_open_end() -> None:
    """The rest of the second square ends on the first one and parts the sheet all the same."""
    squares = [line((x, 0), (x + 20, 0), (x + 20, 20), (x, 20), (x, 0)) for x in (0, 20)]
    _, findings = tidy(squares, MM, "x.svg")
    assert [finding.code for finding in findings] == [Remark.CUT_TWICE]


def test_many_loose_lines_are_looked_at_at_once() -> None:
    """A comb of three thousand teeth that end on a common back, one of them too short."""
    teeth = [line((k, 0), (k, 10 if k else 9)) for k in range(3000)]
    back = [line((-1, 10), (3000, 10)), line((-1, 0), (3000, 0)), line((-1, 0), (-1, 10))]
    _, findings = tidy([*teeth, *back, line((3000, 0), (3000, 10))], MM, "x.dxf")
    assert [(f.code, dict(f.facts)) for f in findings] == [
        (Remark.OUTLINE_OPEN, {"count": 1, "gap": 9.0})
    ]


def test_squares_that_touch_in_a_corner_stay_apart() -> None:
    """Four ends meet there; every walk comes back with one square."""
    sides = [
        line(*pair)
        for x in (0.0, 10.0)
        for pair in (
            ((x, x), (x + 10, x)),
            ((x + 10, x), (x + 10, x + 10)),
            ((x + 10, x + 10), (x, x + 10)),
            ((x, x + 10), (x, x)),
        )
    ]
    for order in (sides, sides[::2] + sides[1::2], sides[::-1]):
        joined = join_ends(order, JOIN_MM)
        assert [area_mm2(path.points_mm) for path in joined] == pytest.approx([100, 100])


def test_only_lines_of_one_operation_are_joined() -> None:
    """A cut does not go on as a score."""
    paths = [line((0, 0), (9, 0)), line((9, 0), (9, 9), operation=Operation.SCORE)]
    assert len(join_ends(paths, JOIN_MM)) == 2


def test_open_score_lines_are_no_fault() -> None:
    """Only cuts have to close."""
    drawing, findings = tidy([line((0, 0), (9, 5), operation=Operation.SCORE)], MM, "x.svg")
    assert isinstance(drawing, Drawing)
    assert findings == ()


@pytest.mark.parametrize(
    ("paths", "code"),
    [
        ([], Fault.NO_OUTLINES),
        ([line((0, 0), (9, 0), operation=Operation.IGNORE)], Fault.NO_OUTLINES),
        ([line((0, 0), (0, 0))], Fault.NO_OUTLINES),
        ([line((0, 0), (0.01, 0))], Fault.SIZE_ABSURD),
        ([line((0, 0), (2e5, 0))], Fault.SIZE_ABSURD),
        ([line((5e6, 0), (5e6, 10))], Fault.SIZE_ABSURD),
        ([line((0, 0), (math.nan, 0), (5, 5))], Fault.NUMBER_NOT_FINITE),
    ],
)
def test_what_is_no_drawing_is_refused(paths: list[Outline], code: Fault) -> None:
    """Nothing left, far too small or large, far away, or not finite."""
    with pytest.raises(InputError) as caught:
        tidy(paths, MM, "x.svg")
    assert caught.value.code is code


@pytest.mark.parametrize(
    ("name", "operation"),
    [
        ("cut", Operation.CUT),
        ("CUT-outside", Operation.CUT),
        ("Scored", Operation.SCORE),
        ("engraving", None),  # no key begins it: "engrave" does not
        ("engrave_1", Operation.ENGRAVE),
        ("my cut", None),
        ("", None),
    ],
)
def test_names_ask_for_operations_by_their_beginning(
    name: str, operation: Operation | None
) -> None:
    """In any case; anything else asks for nothing."""
    assert operation_of(name) is operation


def test_the_longest_fitting_name_counts() -> None:
    """A more special layer name wins over a more general one."""
    keys = {"top": Operation.CUT, "top-text": Operation.ENGRAVE}
    assert operation_of("Top-Text 1", keys) is Operation.ENGRAVE


@given(st.floats(0.05, 500), st.floats(0.05, 500), st.floats(-6.28, 6.28), st.floats(0.01, 6.28))
def test_chords_of_an_ellipse_keep_their_distance(
    wide: float, high: float, start: float, sweep: float
) -> None:
    """No point of the curve is farther from its chord than the chord error."""
    across, along = np.array([wide, 0]), np.array([0, high])
    points = turn_points(np.zeros(2), across, along, start, sweep, CHORD_MM)
    t = start + sweep * (np.arange(len(points) - 1)[:, None] + np.linspace(0, 1, 9)) / (
        len(points) - 1
    )
    curve = across * np.cos(t)[..., None] + along * np.sin(t)[..., None]
    assert _farthest(points, curve) <= CHORD_MM * 1.001


@given(st.lists(st.tuples(st.floats(-99, 99), st.floats(-99, 99)), min_size=2, max_size=4))
def test_chords_of_a_bezier_curve_keep_their_distance(
    controls: list[tuple[float, float]],
) -> None:
    """Lines, quadratic and cubic curves, measured against Bernstein polynomials."""
    nodes = np.array(controls)
    points = bezier_points(nodes, CHORD_MM)
    degree, steps = len(nodes) - 1, len(points) - 1
    t = ((np.arange(steps)[:, None] + np.linspace(0, 1, 9)) / steps)[..., None]
    curve = sum(
        (
            math.comb(degree, k) * t**k * (1 - t) ** (degree - k) * nodes[k]
            for k in range(degree + 1)
        ),
        start=np.zeros(1),
    )
    assert _farthest(points, curve) <= CHORD_MM * 1.001


def _farthest(points: Points2, curve: np.ndarray) -> float:
    """Largest distance of (n - 1, k, 2) curve points from their chords."""
    span = np.diff(points, axis=0)[:, None]
    away = curve - points[:-1, None]
    share = np.clip((away * span).sum(-1) / np.maximum((span**2).sum(-1), 1e-30), 0, 1)
    return float(np.linalg.norm(away - share[..., None] * span, axis=-1).max())


@pytest.mark.parametrize("bulge", [1.0, -1.0, 0.4142135623730951, 3.0, 0.01])
def test_a_bulge_is_a_quarter_of_its_angle(bulge: float) -> None:
    """tan(angle / 4), so 1 is a half circle and tan(22.5 degrees) a quarter; left is positive."""
    start, end = np.array([0.0, 0.0]), np.array([20.0, 0.0])
    points = bulge_points(start, end, bulge, CHORD_MM)
    angle = 4 * math.atan(abs(bulge))
    radius = 10 / math.sin(angle / 2)
    centre = np.array([10, math.copysign(1, bulge) * radius * math.cos(angle / 2)])
    assert np.array_equal(points[[0, -1]], [start, end])
    assert np.linalg.norm(points - centre, axis=1) == pytest.approx(abs(radius))
    assert math.copysign(1, points[len(points) // 2, 1]) == -math.copysign(1, bulge)


def test_nesting_is_counted_without_expanding() -> None:
    """Sixty doublings are 2^60 entities and cost sixty steps."""

    def contents(name: str) -> tuple[int, dict[str, int]]:
        level = int(name)
        return (1, {}) if level == 0 else (2, {str(level - 1): 2})

    assert count_instances("3", contents, 100, "x") == 2**3 + 2 * (2**4 - 2)
    with pytest.raises(InputError, match="nesting-too-deep"):
        count_instances("60", contents, 100, "x")


def test_a_drawing_tells_its_layers(tmp_path: Path) -> None:
    """By name, with what is done along each, also where that is nothing."""
    document = new("R2010", units=units.MM)
    space = document.modelspace()
    for name, x in (("border", 0.0), ("engrave logo", 50.0), ("notes", 100.0)):
        document.layers.add(name)
        corners = [(x, 0), (x + 20, 0), (x + 20, 20)]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": name})
    document.saveas(tmp_path / "plate.dxf")
    drawing, _ = read_part(tmp_path / "plate.dxf", layers=(("NOTES", Operation.IGNORE),))
    assert isinstance(drawing, Drawing)
    assert drawing.layers == (
        ("border", Operation.CUT),
        ("engrave logo", Operation.ENGRAVE),
        ("notes", Operation.IGNORE),
    )
