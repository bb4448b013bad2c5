"""DXF files: closed forms, independence of unit and of how a shape is drawn, and every defect."""

import math
from collections import Counter
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.filemanagement import new
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.curves import CHORD_MM
from fabsched.files.dxf import UNIT_MM, read_dxf
from fabsched.files.guard import guarded
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline

FOLDER = Path(__file__).parent.parent / "data" / "outlines"
RADIUS_MM = 25.4


def read(name: str, unit: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read one of the tiny files."""
    return read_dxf(FOLDER / name, unit)


def area_mm2(outline: Outline) -> float:
    """Area by the shoelace formula, without sign."""
    x, y = outline.points_mm.T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


@pytest.mark.parametrize("drawn_as", ["circle_mm", "circle_inch", "circle_bulges", "circle_arcs"])
def test_a_circle_is_the_same_however_it_is_drawn(drawn_as: str) -> None:
    """One closed outline, all points on the circle, all chords within the chord error of it."""
    drawing, findings = read(f"{drawn_as}.dxf")
    (outline,) = drawing.outlines
    points = outline.points_mm
    middles = (points + np.roll(points, -1, axis=0)) / 2
    assert findings == ()
    assert outline.closed
    assert np.linalg.norm(points, axis=1) == pytest.approx(RADIUS_MM, abs=1e-9)
    assert (np.linalg.norm(middles, axis=1) >= RADIUS_MM - CHORD_MM).all()
    # The inscribed polygon of n chords has n sin(pi/n) cos(pi/n) r^2 and 2 n sin(pi/n) r, which
    # differ from the circle by less than the chord error on the radius.
    assert area_mm2(outline) == pytest.approx(math.pi * RADIUS_MM**2, rel=2 * CHORD_MM / RADIUS_MM)
    assert outline.length_mm == pytest.approx(math.tau * RADIUS_MM, rel=CHORD_MM / RADIUS_MM)


def test_full_circles_reach_their_extremes() -> None:
    """The box around a circle is as wide and as high as the circle."""
    low, high = read("circle_mm.dxf")[0].bounds_mm
    assert (*low, *high) == pytest.approx((-RADIUS_MM, -RADIUS_MM, RADIUS_MM, RADIUS_MM))


@pytest.mark.parametrize(
    ("number", "mm"),
    [
        # DXF reference, header variable $INSUNITS; metric prefixes and the inch are exact.
        *((1, 25.4), (2, 304.8), (3, 1609344), (4, 1), (5, 10), (6, 1000), (7, 1e6), (8, 25.4e-6)),
        *((9, 0.0254), (10, 914.4), (11, 1e-7), (12, 1e-6), (13, 1e-3), (14, 100), (15, 1e4)),
        # US survey foot 1200/3937 m (NIST SP 811, appendix B.6; from memory).
        *((16, 1e5), (21, 304.80061)),
    ],
)
def test_every_unit_of_the_format_has_its_length(number: int, mm: float) -> None:
    """One unit is so many millimetres."""
    assert UNIT_MM[number] == pytest.approx(mm, rel=1e-8)


def test_all_units_of_the_format_are_known() -> None:
    """Numbers 1 to 24 have a length; 0 means that there is none."""
    assert set(UNIT_MM) == set(range(1, 25))


@pytest.mark.parametrize("name", ["no_unit.dxf", "unit_zero.dxf"])
def test_a_file_without_unit_is_taken_in_mm_and_says_so(name: str) -> None:
    """Also where the library would fill in metres for the missing header."""
    drawing, findings = read(name)
    assert float(np.ptp(drawing.outlines[0].points_mm[:, 0])) in {4.0, 40.0}
    assert findings[0].code is Remark.UNIT_ASSUMED


def test_a_tiny_file_without_unit_is_suspected_to_be_in_inches() -> None:
    """4 by 3 mm is hardly a part; 4 by 3 inches is one."""
    assert [f.code for f in read("no_unit.dxf")[1]] == [Remark.UNIT_ASSUMED, Remark.UNIT_SUSPECT]


def test_the_unit_a_person_names_wins() -> None:
    """Over a missing one and over the file's own, in long and short form."""
    assert read("no_unit.dxf", "inch")[0].outlines[0].length_mm == pytest.approx(14 * 25.4)
    assert read("circle_inch.dxf", "mm")[0].outlines[0].length_mm == pytest.approx(
        math.tau, rel=0.01
    )
    assert read("no_unit.dxf", "inch")[1] == ()


def test_an_unknown_unit_is_refused() -> None:
    """With the unit named."""
    with pytest.raises(InputError) as caught:
        read("no_unit.dxf", "cubit")
    assert (caught.value.code, caught.value.facts) == (Fault.UNIT_UNKNOWN, {"unit": "cubit"})


def test_layers_tell_the_operation() -> None:
    """By the beginning of the name in any case; an unknown name is cut, an ignored one is gone."""
    outlines = read("layers.dxf")[0].outlines
    by_radius = {round(o.length_mm / math.tau): o.operation for o in outlines}
    assert by_radius == {
        10: Operation.CUT,
        5: Operation.SCORE,
        4: Operation.ENGRAVE,
        2: Operation.CUT,
    }


def test_a_caller_may_name_the_layers() -> None:
    """A name given counts as a whole in any case, before what the name itself asks for."""
    wanted = (("plain", Operation.SCORE), ("ENGRAVED", Operation.IGNORE))
    usual = Counter(o.operation for o in read("layers.dxf")[0].outlines)
    drawing, _ = read_dxf(FOLDER / "layers.dxf", None, wanted)
    counts = Counter(outline.operation for outline in drawing.outlines)
    assert counts[Operation.SCORE] == usual[Operation.SCORE] + 1
    assert counts[Operation.ENGRAVE] < usual[Operation.ENGRAVE]


def test_blocks_are_taken_apart() -> None:
    """Nested and repeated ones too; layer 0 inside a block takes the layer of the insertion."""
    outlines = read("blocks.dxf")[0].outlines
    holes = [outline for outline in outlines if outline.operation is Operation.SCORE]
    middles = {tuple(np.round(hole.points_mm.mean(axis=0), 6)) for hole in holes}
    assert middles == {(5 + 20 * i, 5 + 20 * j) for i in range(3) for j in range(2)}
    assert len(outlines) == 7


def test_lines_are_joined_into_outlines() -> None:
    """Ends a hundredth of a millimetre apart are one point."""
    drawing, findings = read("gap_joined.dxf")
    (outline,) = drawing.outlines
    assert outline.closed
    assert len(outline.points_mm) == 4
    assert area_mm2(outline) == pytest.approx(100, abs=0.2)
    assert findings == ()


def test_an_open_outline_is_told_with_its_gap() -> None:
    """A square that lacks half a millimetre."""
    drawing, findings = read("open.dxf")
    assert not drawing.outlines[0].closed
    assert [(f.code, dict(f.facts)) for f in findings] == [
        (Remark.OUTLINE_OPEN, {"count": 1, "gap": 0.5})
    ]


def test_lines_on_each_other_are_cut_once() -> None:
    """Two squares with a common side, one drawn twice: seven sides of 20 mm are left."""
    drawing, findings = read("twice.dxf")
    assert sum(outline.length_mm for outline in drawing.outlines) == pytest.approx(140)
    assert [(f.code, dict(f.facts)) for f in findings] == [(Remark.CUT_TWICE, {"count": 5})]


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("text", "TEXT"),
        ("tilted", "tilted LINE"),
        ("hidden_layer", "hidden CIRCLE"),
        ("stray_entity", "unreadable"),
    ],
)
def test_what_is_no_outline_is_left_out_and_told(name: str, kind: str) -> None:
    """Writing, lines out of the plane, layers switched off, and what lies outside all sections."""
    drawing, findings = read(f"{name}.dxf")
    assert len(drawing.outlines) == 1
    assert [(f.code, dict(f.facts)) for f in findings] == [
        (Remark.ENTITY_LEFT_OUT, {"count": 1, "kind": kind})
    ]


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("missing", Fault.FILE_MISSING),
        ("empty", Fault.FILE_EMPTY),
        ("junk", Fault.FILE_NOT_OF_KIND),
        ("no_end", Fault.FILE_NO_END),
        ("half", Fault.FILE_NO_END),
        ("bad_number", Fault.FILE_READER_FAILED),
        ("nan", Fault.NUMBER_NOT_FINITE),
        ("huge_radius", Fault.SIZE_ABSURD),
        ("huge", Fault.SIZE_ABSURD),
        ("text_only", Fault.NO_OUTLINES),
        ("block_in_itself", Fault.NESTED_IN_ITSELF),
        ("block_bomb", Fault.NESTING_TOO_DEEP),  # seven levels of ten: 10^7 circles
        ("array_bomb", Fault.NESTING_TOO_DEEP),  # one insertion, 30 000 by 30 000
    ],
)
def test_every_defect_has_its_word(name: str, code: Fault) -> None:
    """Refused at once, with the file named."""
    with pytest.raises(InputError) as caught:
        read(f"{name}.dxf")
    assert caught.value.code is code
    assert caught.value.where == str(FOLDER / f"{name}.dxf")


def _saved(path: Path, *entities: tuple[str, tuple[object, ...], dict[str, object]]) -> Path:
    document = new()
    document.header["$INSUNITS"] = 4
    for kind, arguments, options in entities:
        entity: DXFGraphic = getattr(document.modelspace(), f"add_{kind}")(*arguments, **options)
        assert entity.is_alive
    document.saveas(path)
    return path


def test_an_ellipse_has_its_area(tmp_path: Path) -> None:
    """Pi a b, whichever way it lies."""
    path = _saved(tmp_path / "e.dxf", ("ellipse", ((5, 5), (0, 30), 0.4), {}))
    (outline,) = read_dxf(path)[0].outlines
    assert area_mm2(outline) == pytest.approx(math.pi * 30 * 12, rel=1e-3)


def test_a_spline_follows_its_curve(tmp_path: Path) -> None:
    """A quadratic spline on three control points is the parabola y = x - x^2/40 from 0 to 40."""
    path = _saved(
        tmp_path / "s.dxf",
        ("open_spline", ([(0, 0), (20, 20), (40, 0)],), {"degree": 2}),
        ("line", ((40, 0), (0, 0)), {}),
    )
    (outline,) = read_dxf(path)[0].outlines
    x, y = outline.points_mm.T
    assert np.abs(y - (x - x**2 / 40)).max() == pytest.approx(0, abs=1e-9)
    assert area_mm2(outline) == pytest.approx(40**2 / 6, abs=40 * CHORD_MM)


@settings(max_examples=150)
@given(
    st.sampled_from(sorted(path.name for path in FOLDER.glob("*.dxf") if "bomb" not in path.name)),
    st.lists(
        st.tuples(
            st.floats(0, 1),
            st.integers(0, 6),
            st.sampled_from((b"", b"\n", b"0", b"-1", b"1e300", b"nan", b"INSERT", b"\xff")),
        ),
        max_size=3,
    ),
)
def test_damaged_files_are_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, name: str, damage: list[tuple[float, int, bytes]]
) -> None:
    """Whatever is cut out or put in: never anything but an answer or an error of ours."""
    data = (FOLDER / name).read_bytes()
    for share, length, extra in damage:
        at = int(share * len(data))
        data = data[:at] + extra + data[at + length :]
    path = tmp_path_factory.mktemp("damaged") / "damaged.dxf"
    path.write_bytes(data)
    with suppress(InputError):
        drawing, _ = read_dxf(path)
        assert all(np.isfinite(outline.points_mm).all() for outline in drawing.outlines)


def test_the_reader_runs_in_a_child_process() -> None:
    """Reader, drawing and errors cross the border of a process."""
    drawing, findings = guarded(read_dxf, FOLDER / "circle_inch.dxf", None)
    assert np.array_equal(
        drawing.outlines[0].points_mm, read("circle_inch.dxf")[0].outlines[0].points_mm
    )
    assert findings == ()
    with pytest.raises(InputError, match="nested-in-itself"):
        guarded(read_dxf, FOLDER / "block_in_itself.dxf", None)
