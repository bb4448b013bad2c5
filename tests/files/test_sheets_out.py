"""Sheets as DXF and SVG: independent readers find what was written, ours leaves the border out."""

import math
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from ezdxf.bbox import extents
from ezdxf.document import Drawing as Document
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile
from hypothesis import given
from hypothesis import strategies as st
from svgelements import SVG

from fabsched.files.dxf import read_dxf
from fabsched.files.dxf_out import dxf_bytes, write_dxf
from fabsched.files.svg import read_svg
from fabsched.files.svg_out import svg_bytes, write_svg
from fabsched.model.errors import Fault, InputError
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline

SIZE_MM = (300.0, 200.0)
PX_MM = 25.4 / 96
"""A CSS pixel (CSS Values and Units 3, 5.2)."""


def path(
    points: list[tuple[float, float]], operation: Operation, *, closed: bool = True
) -> Outline:
    """An outline from corners."""
    return Outline(np.array(points, dtype=np.float64), closed=closed, operation=operation)


DRAWING = Drawing(
    (
        path([(20, 20), (40, 20), (40, 30)], Operation.ENGRAVE),
        path([(60.5, 20), (80.25, 42.125)], Operation.SCORE, closed=False),
        path([(30, 60), (50, 60), (50, 80), (30, 80)], Operation.CUT),
        path([(10, 10), (120.1, 10), (120.1, 150.3), (10, 150.3)], Operation.CUT),
    )
)


def lengths(drawing: Drawing) -> dict[str, float]:
    """Length of all paths by operation."""
    found: dict[str, float] = {}
    for outline in drawing.outlines:
        found[outline.operation] = found.get(outline.operation, 0.0) + outline.length_mm
    return found


def polylines(document: Document) -> list[LWPolyline]:
    """Everything in a document, which holds nothing but polylines."""
    found = list(document.modelspace())
    lines = [entity for entity in found if isinstance(entity, LWPolyline)]
    assert len(lines) == len(found)
    return lines


def test_dxf_is_read_the_same_by_another_library(tmp_path: Path) -> None:
    """Millimetres, a layer for each operation, paths in order; the border is not plotted."""
    write_dxf(tmp_path / "sheet.dxf", DRAWING, SIZE_MM)
    document = readfile(tmp_path / "sheet.dxf")
    assert document.header["$INSUNITS"] == 4  # millimetres (DXF reference, HEADER section)
    plotted = {layer.dxf.name: bool(layer.dxf.plot) for layer in document.layers}
    assert {name for name, on in plotted.items() if on} >= {"cut", "score", "engrave"}
    assert not plotted["ignore"]
    found = [line for line in polylines(document) if line.dxf.layer != "ignore"]
    assert [e.dxf.layer for e in found] == [p.operation for p in DRAWING.outlines]
    for entity, outline in zip(found, DRAWING.outlines, strict=True):
        assert np.allclose([p[:2] for p in entity.get_points()], outline.points_mm)
        assert entity.closed is outline.closed
    assert not document.audit().has_errors


@pytest.mark.parametrize("marks", [(), (((-12.5, 5.0), (-2.0, 5.0), (-2.0, 9.0)),)])
def test_the_header_tells_the_extents_of_all_that_is_drawn(
    tmp_path: Path, marks: tuple[tuple[tuple[float, float], ...], ...]
) -> None:
    """$EXTMIN and $EXTMAX (DXF reference, HEADER section) hold the sheet and what lies beside it."""
    write_dxf(tmp_path / "sheet.dxf", DRAWING, SIZE_MM, marks)
    document = readfile(tmp_path / "sheet.dxf")
    box = extents(document.modelspace())
    assert tuple(document.header["$EXTMIN"]) == tuple(box.extmin)
    assert tuple(document.header["$EXTMAX"]) == tuple(box.extmax)
    assert tuple(box.extmax)[:2] == SIZE_MM
    assert box.extmin.x == min([0.0, *(x for ring in marks for x, _ in ring)])


def test_svg_is_read_the_same_by_other_libraries(tmp_path: Path) -> None:
    """As large as the sheet, a group for each operation, paths in order, lengths as drawn."""
    write_svg(tmp_path / "sheet.svg", DRAWING, SIZE_MM)
    root = ET.parse(tmp_path / "sheet.svg").getroot()  # noqa: S314 - our own file
    assert (root.get("width"), root.get("height")) == ("300mm", "200mm")
    assert root.get("viewBox") == "0 0 300 200"
    assert [group.get("id") for group in root] == ["ignore", "engrave", "score", "cut"]
    drawn = SVG.parse(tmp_path / "sheet.svg")
    found = [e for e in drawn.elements() if type(e).__name__ == "Path"]
    for shape, outline in zip(found, DRAWING.outlines, strict=True):
        assert shape.length() * PX_MM == pytest.approx(outline.length_mm, rel=1e-6)


@pytest.mark.parametrize("kind", ["dxf", "svg"])
def test_our_own_reader_finds_the_paths_and_no_border(kind: str, tmp_path: Path) -> None:
    """Written and read again, every operation has the length and place it had."""
    file = tmp_path / f"sheet.{kind}"
    if kind == "dxf":
        write_dxf(file, DRAWING, SIZE_MM)
        drawing, findings = read_dxf(file)
    else:
        write_svg(file, DRAWING, SIZE_MM)
        drawing, findings = read_svg(file)
    assert not [finding for finding in findings if finding.code != "outline-open"]
    assert lengths(drawing) == pytest.approx(lengths(DRAWING), abs=1e-4)
    assert np.allclose(drawing.bounds_mm, DRAWING.bounds_mm, atol=1e-4)


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(0, 200)), min_size=2, max_size=20))
def test_svg_coordinates_survive_with_y_downwards(points: list[tuple[float, float]]) -> None:
    """Every coordinate comes back to a hundredth of a micron; the page has its origin at the top."""
    text = svg_bytes(Drawing((path(points, Operation.CUT),)), SIZE_MM).decode()
    found = re.search(r'd="M (.*?) Z"', text)
    assert found is not None
    pairs = [tuple(map(float, pair.split())) for pair in found[1].split(" L ")]
    assert np.allclose(pairs, [(x, SIZE_MM[1] - y) for x, y in points], atol=1e-5)


def test_the_same_sheet_gives_the_same_bytes() -> None:
    """No date, no random number."""
    assert dxf_bytes(DRAWING, SIZE_MM) == dxf_bytes(DRAWING, SIZE_MM)
    assert svg_bytes(DRAWING, SIZE_MM) == svg_bytes(DRAWING, SIZE_MM)


def test_the_border_is_drawn_as_large_as_the_sheet(tmp_path: Path) -> None:
    """It shows where the sheet lies: a closed rectangle on the layer `ignore`."""
    write_dxf(tmp_path / "sheet.dxf", DRAWING, SIZE_MM)
    (border,) = (x for x in polylines(readfile(tmp_path / "sheet.dxf")) if x.dxf.layer == "ignore")
    corners = [(p[0], p[1]) for p in border.get_points()]
    around = [*corners, corners[0]]
    assert sum(math.dist(a, b) for a, b in pairwise(around)) == pytest.approx(2 * sum(SIZE_MM))


def test_a_sheet_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """The error names the file."""
    for write in (write_dxf, write_svg):
        with pytest.raises(InputError) as caught:
            write(tmp_path / "nowhere" / "sheet", DRAWING, SIZE_MM)
        assert caught.value.code is Fault.FILE_UNWRITABLE
