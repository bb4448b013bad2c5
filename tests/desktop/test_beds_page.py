"""Beds and sheets as they will lie, and saving their files."""

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMimeData
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Outline
from fabsched.model.weekend import Run
from fabsched.schedule.layouts import RunLayout
from fabsched.session.export_records import Card, Laid, RunSheet, Sketch, Written
from fabsched.session.export_request import ExportRequest, ExportResponse
from fabsched.session.improve_request import ImproveRequest, ImproveResponse
from fabsched.session.pool import Failed, Finished
from tests.desktop import made
from tests.desktop.fakes import FakeAsks, FakePool
from tests.desktop.hands import click

RUN = next(a for a in made.weekend().activities if isinstance(a, Run))
SQUARE = Outline(np.array([(20, 20), (60, 20), (60, 60), (20, 60)], np.float64), closed=True)


def response(request: ExportRequest, *, is_sheet: bool = False) -> ExportResponse:
    """One bed with a part and its files."""
    (request.target / "beds").mkdir(parents=True, exist_ok=True)
    files = tuple(request.target / "beds" / f"louvres{end}" for end in (".3mf", ".stl"))
    for file in files:
        file.write_bytes(b"made up")
    sketch = Sketch(
        title="Louvre plates",
        note="Large printer, 220 x 220 mm",
        size_mm=(220.0, 220.0),
        is_sheet=is_sheet,
        laid=(Laid("Louvre plate", (SQUARE,)),),
    )
    card = Card(
        run="louvres",
        title="Louvre plates",
        lines=("Large printer, Fri 18:10 to Sat 06:35", "6 x Louvre plate (PETG)"),
        picture="beds/louvres.png",
        sketch=sketch,
    )
    sheet = RunSheet(title="Station", lead=(), cautions=(), days=(), cards=(card,))
    calendar = request.target / "calendar.ics"
    calendar.write_bytes(b"made up")
    written = (
        *(Written(kind="bed", path=file, run="louvres") for file in files),
        Written(kind="calendar", path=calendar),
    )
    return ExportResponse(id=request.id, written=written, run_sheet=sheet)


def answer(pool: FakePool, *, is_sheet: bool = False) -> ExportRequest:
    """Answer the export that is asked for."""
    (request,) = [r for r, _ in pool.held.values() if isinstance(r, ExportRequest)]
    pool.end(request.id, Finished(request.id, response(request, is_sheet=is_sheet)))
    QApplication.processEvents()
    return request


@pytest.fixture
def beds(planned: MainWindow, pool: FakePool) -> MainWindow:
    """A window that shows its beds."""
    planned.actions_.beds.trigger()
    answer(pool)
    return planned


def test_beds_are_laid_out_when_they_are_looked_at(planned: MainWindow, pool: FakePool) -> None:
    """Nothing is asked for before; then a card for each, with what is to be known."""
    assert not pool.held
    planned.actions_.beds.trigger()
    assert "Laying out" in planned.beds.hint.text()
    answer(pool)
    (card,) = planned.beds.cards
    texts = [label.text() for label in card.findChildren(QLabel)]
    assert "6 x Louvre plate (PETG)" in texts
    assert card.sketch is not None
    assert card.sketch.accessibleDescription() == "Louvre plate"
    assert planned.beds.hint.text() == ""
    planned.actions_.lanes.trigger()
    planned.actions_.beds.trigger()
    assert not pool.held


def test_a_bed_takes_its_files_along(beds: MainWindow) -> None:
    """Dragged, it hands over files that are there; they go with the window."""
    (card,) = beds.beds.cards
    assert card.sketch is not None
    mime: QMimeData = card.sketch.carrying.mime()
    paths = [Path(url.toLocalFile()) for url in mime.urls()]
    assert [path.suffix for path in paths] == [".3mf", ".stl"]
    assert all(path.is_file() for path in paths)
    beds.close()
    assert not any(path.exists() for path in paths)


def test_another_plan_is_laid_out_anew(qtbot: QtBot, beds: MainWindow, pool: FakePool) -> None:
    """While it is worked out there is nothing to show; then the new one is asked for."""
    beds.actions_.plan.trigger()
    qtbot.waitUntil(lambda: bool(pool.held))
    pool.answer()
    QApplication.processEvents()
    answer(pool)
    assert len(beds.beds.cards) == 1


def test_all_files_are_saved_and_drawn(
    qtbot: QtBot, beds: MainWindow, pool: FakePool, asks: FakeAsks, tmp_path: Path
) -> None:
    """Asked where, then told how many: two of the bed, its picture, calendar, run sheet, timeline."""
    asks.path = tmp_path / "out"
    with qtbot.waitSignal(beds.saving.ended, timeout=20_000) as told:
        click(beds.beds.save)
        assert answer(pool).target == asks.path
    assert told.args == [asks.path, 6]
    names = sorted(path.name for path in asks.path.rglob("*") if path.is_file())
    assert names == [
        "calendar.ics",
        "louvres.3mf",
        "louvres.png",
        "louvres.stl",
        "run-sheet.pdf",
        "timeline.png",
    ]
    assert beds.strip.told.text().startswith("Files written: 6")


def test_what_cannot_be_saved_is_told(
    beds: MainWindow, pool: FakePool, asks: FakeAsks, tmp_path: Path
) -> None:
    """Why stands over the plan; nothing else happens."""
    asks.path = tmp_path / "out"
    beds.actions_.export.trigger()
    (request,) = [r for r, _ in pool.held.values() if isinstance(r, ExportRequest)]
    error = InputError(Fault.FILE_UNWRITABLE, str(asks.path), why="no space left")
    pool.end(request.id, Failed(request.id, error))
    QApplication.processEvents()
    assert "no space left" in beds.plan.trouble.text


def test_sheets_are_laid_out_better_while_one_looks_on(planned: MainWindow, pool: FakePool) -> None:
    """Shown at once; a better layout, once found, takes its place and goes into saved files."""
    planned.actions_.beds.trigger()
    first = answer(pool, is_sheet=True)
    assert first.layouts == ()
    assert len(planned.beds.cards) == 1
    assert "tighter" in planned.beds.hint.text()
    (request,) = [r for r, _ in pool.held.values() if isinstance(r, ImproveRequest)]
    better = (RunLayout(run=RUN, machine="large", size_mm=(220.0, 220.0)),)
    pool.end(request.id, Finished(request.id, ImproveResponse(id=request.id, layouts=better)))
    QApplication.processEvents()
    assert answer(pool, is_sheet=True).layouts == better
    assert planned.beds.hint.text() == ""
    assert planned.beds.layouts == better
    assert not pool.held
