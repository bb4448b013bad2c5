"""What is drawn of an export: the run sheet on paper, and beds and sheets from above."""

import io
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from PySide6.QtGui import QColor, QImage

from fabsched.desktop.bed_picture import save_sketch
from fabsched.desktop.paper import illustrate
from fabsched.desktop.paper_items import Item
from fabsched.desktop.run_sheet import pages_of, print_run_sheet
from fabsched.desktop.timeline.look import LIGHT
from fabsched.model.errors import Fault, InputError
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline
from fabsched.session.export_records import Card, DayRows, Laid, Row, RunSheet, Sketch
from tests.desktop import made

pytestmark = pytest.mark.usefixtures("qapp")

A4_PT = (595.0, 842.0)
"""210 x 297 mm (ISO 216) in points of 1/72 inch, to the nearest."""


def outline(x: float, y: float, wide: float, high: float, operation: Operation) -> Outline:
    """A rectangle."""
    points = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
    return Outline(np.array(points, dtype=np.float64), closed=True, operation=operation)


def sketch(*, is_sheet: bool = True) -> Sketch:
    """A plate with a window in the lower left of a bed or sheet."""
    outlines = (
        outline(0, 0, 200, 100, Operation.CUT),
        outline(20, 20, 40, 40, Operation.CUT),
        outline(150, 20, 20, 20, Operation.SCORE),
    )
    return Sketch(
        title="plywood 3 mm",
        note="Laser, sheet of 600 x 300 mm",
        size_mm=(600.0, 300.0),
        is_sheet=is_sheet,
        laid=(Laid("Back", outlines),),
    )


def sheet(rows: int = 60) -> RunSheet:
    """A run sheet with so many things to do."""
    made_rows = tuple(
        Row(
            start="10:00",
            end="10:30",
            what=f"Deed number {i} of many",
            who="Mira",
            place="Home",
            notes=("Waits for the one before.",),
        )
        for i in range(rows)
    )
    cards = (
        Card(
            run="s",
            title="Sheet card",
            lines=("2 x Back",),
            picture="sheets/s.png",
            sketch=sketch(),
        ),
        Card(run="m", title="Minutes card", lines=("1 x Odd",), picture="", sketch=None),
    )
    return RunSheet(
        title="Größte Lampe",
        lead=("You will very likely be done.",),
        cautions=("Laser: stay beside it.",),
        days=(DayRows(title="Saturday 2026-03-14", rows=made_rows),),
        cards=cards,
    )


def text_of(path: Path) -> list[str]:
    """The text of every page, as another library reads it; any space is a space."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def test_the_run_sheet_is_a4_and_says_everything_once(tmp_path: Path) -> None:
    """Several numbered pages; every deed, heading, caution and card is there as text."""
    path = tmp_path / "run-sheet.pdf"
    print_run_sheet(sheet(), path, now_s=made.BEGIN)
    pages = PdfReader(path).pages
    assert len(pages) > 2
    for page in pages:
        assert (page.mediabox.width, page.mediabox.height) == pytest.approx(A4_PT, abs=1.0)
    texts = text_of(path)
    whole = " ".join(texts)
    for i in range(60):
        assert whole.count(f"Deed number {i} of many") == 1
    for word in ("Größte Lampe", "stay beside it", "Saturday 2026-03-14", "Sheet card", "Odd"):
        assert word in whole
    for number, text in enumerate(texts, start=1):
        assert f"{number} / {len(pages)}" in text


def test_the_same_sheet_gives_the_same_file(tmp_path: Path) -> None:
    """It is dated with the moment given, not with that of its making."""
    for name in ("a.pdf", "b.pdf"):
        print_run_sheet(sheet(3), tmp_path / name, now_s=made.BEGIN)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    reader = PdfReader(io.BytesIO((tmp_path / "a.pdf").read_bytes()), strict=True)
    assert reader.metadata is not None
    assert reader.metadata.title == "Größte Lampe"
    created = reader.metadata.creation_date
    assert created is not None
    assert int(created.timestamp()) == made.BEGIN


@given(st.lists(st.tuples(st.floats(1, 60), st.booleans()), max_size=40))
def test_pages_hold_everything_in_order_and_part_no_heading(
    given_items: list[tuple[float, bool]],
) -> None:
    """No page is too full unless by one group alone; what leads stays with what follows."""
    items = [Item(height, lambda *_: None, leads=leads) for height, leads in given_items]
    pages = pages_of(items, 100.0)
    assert [item for page in pages for item in page] == items
    for number, page in enumerate(pages):
        first_end = next((i for i, item in enumerate(page) if not item.leads), len(page))
        rest = page[first_end + 1 :]
        assert sum(item.height for item in page) <= 100.0 + 1e-9 or not rest
        assert number == len(pages) - 1 or not page[-1].leads


def test_a_sheet_is_drawn_to_scale(tmp_path: Path) -> None:
    """The plate is tinted, its window and the rest of the sheet are bare, lines have their colours."""
    save_sketch(sketch(), tmp_path / "sheet.png")
    image = QImage(str(tmp_path / "sheet.png"))
    inner = image.width() - 64
    scale, bottom = inner / 600, image.height() - 32

    def colour(x_mm: float, y_mm: float) -> QColor:
        return image.pixelColor(round(32 + x_mm * scale), round(bottom - y_mm * scale))

    lane = QColor(LIGHT.lane)
    assert colour(310, 110) == lane
    assert colour(40, 35) == lane
    assert colour(10, 90) != lane
    assert colour(10, 90) == colour(130, 90)
    assert image.height() > inner / 2


def test_everything_is_drawn_into_its_place(tmp_path: Path) -> None:
    """Run sheet, timeline and one picture for each run whose shape is known."""
    (tmp_path / "sheets").mkdir()
    written = illustrate(made.weekend(), made.answer(), sheet(3), tmp_path, now_s=made.BEGIN)
    names = {file.path.relative_to(tmp_path).as_posix(): file.kind for file in written}
    assert names == {
        "run-sheet.pdf": "run-sheet",
        "timeline.png": "timeline",
        "sheets/s.png": "picture",
    }
    assert all(file.path.stat().st_size > 1000 for file in written)


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """The error names it."""
    with pytest.raises(InputError) as caught:
        print_run_sheet(sheet(1), tmp_path / "no" / "run-sheet.pdf", now_s=0)
    assert caught.value.code is Fault.FILE_UNWRITABLE
    with pytest.raises(InputError) as caught:
        save_sketch(sketch(), tmp_path / "no" / "sheet.png")
    assert caught.value.code is Fault.FILE_UNWRITABLE
