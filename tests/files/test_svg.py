"""SVG files: closed forms, sameness with DXF, transforms and groups, and every defect."""

import math
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.dxf import read_dxf
from fabsched.files.guard import guarded
from fabsched.files.svg import read_svg
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing

FOLDER = Path(__file__).parent.parent / "data" / "outlines"


def read(name: str, unit: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read one of the tiny files."""
    return read_svg(FOLDER / name, unit)


def boxes(drawing: Drawing) -> list[tuple[float, ...]]:
    """Corners of the box around each outline, in thousandths of a millimetre."""
    return [
        tuple(np.round([*o.points_mm.min(axis=0), *o.points_mm.max(axis=0)], 3) + 0.0)
        for o in drawing.outlines
    ]


@pytest.mark.parametrize("name", ["circle_mm", "circle_path", "circle_inch"])
def test_a_circle_is_the_same_as_in_a_dxf_file(name: str) -> None:
    """Length and box, whether drawn in mm or inches, as a circle or as two arcs."""
    drawing, findings = read(f"{name}.svg")
    (outline,) = drawing.outlines
    (wanted,) = read_dxf(FOLDER / "circle_mm.dxf")[0].outlines
    low, high = drawing.bounds_mm
    assert findings == ()
    assert outline.closed
    assert outline.length_mm == pytest.approx(wanted.length_mm, rel=1e-6)
    assert high - low == pytest.approx((50.8, 50.8))


def test_y_points_upwards() -> None:
    """What is at the top of the page has the largest y, counted from its lower edge."""
    assert boxes(read("used.svg")[0])[0] == (0, 80 - 14, 4, 80 - 10)


def test_ids_and_classes_tell_the_operation() -> None:
    """The nearest one counts; an ignored group is gone."""
    drawing, _ = read("layers.svg")
    assert [outline.operation for outline in drawing.outlines] == [
        Operation.SCORE,
        Operation.CUT,
        Operation.ENGRAVE,
    ]


def test_a_caller_may_name_the_groups() -> None:
    """By id, label or class in any case; what the project says goes before the names inside."""
    wanted = (("SCORE-lines", Operation.ENGRAVE), ("engrave", Operation.IGNORE))
    drawing, _ = read_svg(FOLDER / "layers.svg", None, wanted)
    assert [outline.operation for outline in drawing.outlines] == [Operation.ENGRAVE] * 2


@pytest.mark.parametrize("name", ["aria-label", "id", "class", "k:label"])
def test_groups_are_known_by_label_id_or_class(name: str, tmp_path: Path) -> None:
    """A label may come from WAI-ARIA or from whatever drew the file; all layers are listed."""
    head = '<svg xmlns:k="urn:drawing" width="99mm" height="99mm" viewBox="0 0 99 99">'
    rect = '<rect width="9" height="9"/>'
    text = f'{head}<g {name}="Words">{rect}</g><g id="g7"><circle r="30"/></g></svg>'
    (tmp_path / "plate.svg").write_text(text)
    plain, findings = read_svg(tmp_path / "plate.svg")
    assert {o.operation for o in plain.outlines} == {Operation.CUT}
    (told,) = (f for f in findings if f.code is Remark.LAYERS_FOUND)
    assert told.facts["layers"] == "Words (cut), g7 (cut)"
    drawing, findings = read_svg(tmp_path / "plate.svg", None, (("words", Operation.ENGRAVE),))
    assert [o.operation for o in drawing.outlines] == [Operation.ENGRAVE, Operation.CUT]
    with pytest.raises(InputError) as caught:
        read_svg(tmp_path / "plate.svg", None, (("word", Operation.ENGRAVE),))
    assert (caught.value.code, caught.value.facts["known"]) == (Fault.NAME_UNKNOWN, "Words, g7")


def test_what_is_not_displayed_is_not_cut() -> None:
    """By attribute and by style sheet; what is merely invisible is told."""
    drawing, findings = read("hidden.svg")
    assert boxes(drawing) == [(0, 70, 10, 80)]
    assert [dict(f.facts) for f in findings] == [{"count": 1, "kind": "hidden rect"}]


@pytest.mark.parametrize(
    ("media", "count"),
    [("print", 1), ("speech", 1), ("screen", 0), ("print, screen", 0), ("(min-width: 1px)", 0)],
)
def test_a_drawing_is_taken_as_it_looks_on_a_screen(media: str, count: int, tmp_path: Path) -> None:
    """What is hidden on paper alone is cut; what is hidden on a screen is not."""
    sheet = (
        f"@media {media} {{ #a {{ display: none }} .b {{ display: none }} }} .c {{ display: none }}"
    )
    shapes = "".join(
        f"<rect id='{i}' class='{i}' x='{9 * k}' width='5' height='5'/>"
        for k, i in enumerate("acd")
    )
    path = tmp_path / "screen.svg"
    path.write_text(
        f"<svg width='99mm' height='99mm' viewBox='0 0 99 99'><style>{sheet}</style>{shapes}</svg>"
    )
    drawing, _ = read_svg(path)
    assert len(drawing.outlines) == 1 + count


def test_style_sheets_are_read_in_one_pass(tmp_path: Path) -> None:
    """Comments and groups of rules do not hide a rule; three megabytes of rubbish take no time."""
    sheet = "/* .b{display:none} */ @media all { .a , .x {display:none} } .c{display:none"
    shapes = "".join(
        f'<rect class="{c}" width="9" height="9" x="{x}"/>' for x, c in enumerate("abc")
    )
    for more in ("", "a" * 3_000_000, "/*" * 1_000_000, "{" * 1_000_000):
        text = f"<svg width='99mm' height='99mm' viewBox='0 0 99 99'><style>{more}*/;}} {sheet}</style>{shapes}</svg>"
        (tmp_path / "sheet.svg").write_text(text)
        drawing, _ = read_svg(tmp_path / "sheet.svg")
        assert [round(o.points_mm[:, 0].min(), 6) for o in drawing.outlines] == [1.0]


def test_transforms_apply_from_the_inside_out() -> None:
    """Scaled by two, turned by a quarter clockwise on the screen, moved to (10, 20)."""
    assert boxes(read("turned.svg")[0]) == [(10 - 10, 80 - 40, 10, 80 - 20)]


def test_use_draws_again_elsewhere() -> None:
    """Nested references, both spellings of the attribute, x and y and transforms."""
    assert boxes(read("used.svg")[0]) == [
        (0, 66, 4, 70),
        (10, 66, 14, 70),
        (0, 46, 4, 50),
        (10, 46, 14, 50),
    ]


def test_a_symbol_is_drawn_only_where_it_is_used() -> None:
    """Scaled from its view box to the size it is used with."""
    assert boxes(read("symbol.svg")[0]) == [(10, 50, 30, 70)]


def test_without_a_size_a_user_unit_is_a_96th_of_an_inch() -> None:
    """As CSS has it, and with a word about it."""
    drawing, findings = read("no_size.svg")
    assert drawing.outlines[0].length_mm == pytest.approx(3 * 25.4)
    assert [(f.code, dict(f.facts)) for f in findings] == [
        (Remark.UNIT_ASSUMED, {"unit": "1/96 inch"})
    ]


def test_a_page_without_unit_is_told() -> None:
    """Its size is in user units, and so says nothing about millimetres."""
    assert [f.code for f in read("no_page_unit.svg")[1]] == [Remark.UNIT_ASSUMED]


def test_the_unit_a_person_names_wins() -> None:
    """It is the length of one user unit."""
    drawing, findings = read("no_size.svg", "mm")
    assert drawing.outlines[0].length_mm == pytest.approx(288)
    assert findings == ()


def test_writing_is_left_out_and_told() -> None:
    """Letters are no outlines until they are turned into paths."""
    assert [dict(f.facts) for f in read("text.svg")[1]] == [{"count": 1, "kind": "text"}]


def test_a_plain_document_type_is_no_danger() -> None:
    """Many programs write one; only its declarations would be refused."""
    assert len(read("doctype.svg")[0].outlines) == 1


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("missing", Fault.FILE_MISSING),
        ("empty", Fault.FILE_EMPTY),
        ("junk", Fault.FILE_NOT_OF_KIND),
        ("page", Fault.FILE_NOT_OF_KIND),
        ("no_end", Fault.FILE_NO_END),
        ("unbalanced", Fault.FILE_READER_FAILED),
        ("entities", Fault.XML_ENTITIES),
        ("outside_entity", Fault.XML_ENTITIES),
        ("use_bomb", Fault.NESTING_TOO_DEEP),  # seven levels of ten: 10^7 circles
        ("use_in_itself", Fault.NESTED_IN_ITSELF),
        ("bad_path", Fault.NUMBER_MALFORMED),
        ("odd_path", Fault.NUMBER_MALFORMED),
        ("no_move", Fault.NUMBER_MALFORMED),
        ("bad_points", Fault.NUMBER_MALFORMED),
        ("bad_transform", Fault.NUMBER_MALFORMED),
        ("percent", Fault.NUMBER_MALFORMED),
        ("nan", Fault.NUMBER_MALFORMED),
        ("not_finite", Fault.NUMBER_NOT_FINITE),
        ("huge", Fault.SIZE_ABSURD),
        ("text_only", Fault.NO_OUTLINES),
    ],
)
def test_every_defect_has_its_word(name: str, code: Fault) -> None:
    """Refused at once, with the file named."""
    with pytest.raises(InputError) as caught:
        read(f"{name}.svg")
    assert caught.value.code is code
    assert caught.value.where == str(FOLDER / f"{name}.svg")


def test_twenty_thousand_nested_groups_are_refused(tmp_path: Path) -> None:
    """Before anything runs out of stack."""
    path = tmp_path / "deep.svg"
    depth = 20_000
    path.write_text(f'<svg>{"<g>" * depth}<circle r="5"/>{"</g>" * depth}</svg>')
    with pytest.raises(InputError, match="nesting-too-deep"):
        read_svg(path)


@pytest.mark.parametrize(
    ("data", "length_mm"),
    [
        ("M0 0h10v10h-10z", 40),
        ("M0,0 10,0 10,10", 20),  # lines may follow a move without a letter
        ("m0 0 1e1.5 0 9.5", 19.5125),  # 1e1 and .5: a number takes all the digits it can
        (
            "M0 0A5 5 0 1150 0",
            25 * math.pi,
        ),  # flags may touch each other; the arc is a half circle of r 25
        ("M0 0Q10 0 10 10", 16.2323),
        ("M0 0L30 40M0 0z", 50),
        ("M0 0H10zM20 0h5", 15),
        ("M0 0A0 5 0 0 1 30 40", 50),  # an arc without radius is a line
    ],
)
def test_path_data_follows_its_grammar(data: str, length_mm: float, tmp_path: Path) -> None:
    """Length of each path against its closed form.

    The quadratic curve's is 10 (sqrt(2) + asinh(1)) / sqrt(2), a parabola's arc.
    """
    path = tmp_path / "path.svg"
    path.write_text(f'<svg width="99mm" height="99mm" viewBox="0 0 99 99"><path d="{data}"/></svg>')
    drawing, _ = read_svg(path)
    assert sum(o.length_mm for o in drawing.outlines) == pytest.approx(length_mm, rel=1e-3)


@settings(max_examples=200)
@given(
    st.sampled_from(sorted(path.name for path in FOLDER.glob("*.svg"))),
    st.lists(
        st.tuples(
            st.floats(0, 1),
            st.integers(0, 6),
            st.sampled_from((b"", b"<g>", b"0", b"-1", b"1e300", b"A", b"#", b'"', b"\xff")),
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
    path = tmp_path_factory.mktemp("damaged") / "damaged.svg"
    path.write_bytes(data)
    with suppress(InputError):
        drawing, _ = read_svg(path)
        assert all(np.isfinite(outline.points_mm).all() for outline in drawing.outlines)


@pytest.mark.parametrize(
    "text",
    [
        '<svg><g id="a"><use xlink:href="#a" xmlns:xlink="elsewhere"/><circle r="5"/></g></svg>',
        '<svg><use/><circle r="5"/></svg>',
        '<svg><use href="#nothing"/><circle r="5"/></svg>',
        '<svg><use href=""/><g id=""><circle r="5"/></g></svg>',
    ],
)
def test_a_reference_to_nothing_is_left_out(text: str, tmp_path: Path) -> None:
    """It must not be taken for one to the whole drawing, which would never end."""
    path = tmp_path / "reference.svg"
    path.write_text(text)
    drawing, findings = read_svg(path)
    assert len(drawing.outlines) == 1
    assert {"count": 1, "kind": "use"} in [dict(finding.facts) for finding in findings]


def test_the_reader_runs_in_a_child_process() -> None:
    """Reader, drawing and errors cross the border of a process."""
    drawing, findings = guarded(read_svg, FOLDER / "layers.svg", None)
    assert (len(drawing.outlines), findings) == (3, ())
    with pytest.raises(InputError, match="xml-entities"):
        guarded(read_svg, FOLDER / "entities.svg", None)
