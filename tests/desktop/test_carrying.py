"""Files carried out of the window: dragged by real mouse moves, copied by click and key."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt, QUrl
from PySide6.QtGui import QDrag, QDragEnterEvent, QDragLeaveEvent, QGuiApplication, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop.beds_page import BedsPage
from fabsched.desktop.carrying import GRIP_PX, FileGrip
from fabsched.desktop.window import MainWindow
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click
from tests.desktop.test_beds_page import answer


def names(mime: QMimeData | None) -> list[str]:
    """Names of the files something takes along; all of them must be there."""
    paths = [Path(url.toLocalFile()) for url in mime.urls()] if mime else []
    assert all(path.is_file() for path in paths)
    return [path.name for path in paths]


@pytest.fixture
def dragged(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Names of the files of each drag that was begun, instead of waiting for its end."""
    seen: list[list[str]] = []

    def begun(drag: QDrag, actions: Qt.DropAction) -> Qt.DropAction:
        assert actions is Qt.DropAction.CopyAction
        assert 0 < drag.pixmap().deviceIndependentSize().width() <= GRIP_PX
        seen.append(names(drag.mimeData()))
        return actions

    monkeypatch.setattr(QDrag, "exec", begun)
    return seen


@pytest.fixture
def beds(qtbot: QtBot, planned: MainWindow, pool: FakePool) -> Iterator[BedsPage]:
    """The page of beds with everything on it."""
    planned.actions_.beds.trigger()
    answer(pool)
    qtbot.waitUntil(planned.beds.paper.isEnabled)
    yield planned.beds
    QGuiApplication.clipboard().clear()


def drag(widget: QWidget, far: int) -> None:
    """Hold a widget, move the mouse, and let go."""
    start = QPoint(8, 8)
    QTest.mousePress(widget, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(widget, start + QPoint(far, 0))
    QApplication.processEvents()
    QTest.mouseRelease(widget, Qt.MouseButton.LeftButton, pos=start + QPoint(far, 0))


def test_calendar_run_sheet_and_beds_are_dragged_out(
    beds: BedsPage, dragged: list[list[str]]
) -> None:
    """Each takes its own files along, which are there."""
    sketch = beds.cards[0].sketch
    assert sketch is not None
    for widget in (beds.calendar, beds.paper, sketch):
        drag(widget, 3 * QApplication.startDragDistance())
    assert dragged == [["calendar.ics"], ["run-sheet.pdf"], ["louvres.3mf", "louvres.stl"]]
    assert not beds.calendar.isDown()


def test_a_small_tremble_drags_nothing(beds: BedsPage, dragged: list[list[str]]) -> None:
    """A click with a shaking hand is a click: the calendar is copied."""
    drag(beds.calendar, 2)
    assert dragged == []
    assert names(QGuiApplication.clipboard().mimeData()) == ["calendar.ics"]


def test_files_are_copied_without_a_mouse(beds: BedsPage) -> None:
    """With the focus on a bed or a file, the platform's key for copying puts files on the clipboard."""
    copy = QKeySequence(QKeySequence.StandardKey.Copy)
    sketch = beds.cards[0].sketch
    assert sketch is not None
    for widget, wanted in (
        (sketch, ["louvres.3mf", "louvres.stl"]),
        (beds.paper, ["run-sheet.pdf"]),
    ):
        widget.setFocus()
        QTest.keySequence(widget, copy)
        assert names(QGuiApplication.clipboard().mimeData()) == wanted


def test_without_a_file_there_is_nothing_to_take(
    qtbot: QtBot, dressed: QApplication, dragged: list[list[str]]
) -> None:
    """A grip waits, greyed out, until its file is there."""
    del dressed
    owner = QWidget()
    qtbot.addWidget(owner)
    grip = FileGrip("calendar", "Calendar", owner)
    assert not grip.isEnabled()
    drag(grip, 100)
    click(grip)
    assert dragged == []


def test_the_run_sheet_goes_with_its_plan(planned: MainWindow, beds: BedsPage) -> None:
    """While another plan is worked out neither calendar nor run sheet can be taken."""
    planned.parts.rows.rows["louvre"].copies.stepUp()
    assert not beds.calendar.isEnabled()
    assert not beds.paper.isEnabled()


def test_files_of_our_own_are_not_taken_in(
    monkeypatch: pytest.MonkeyPatch, planned: MainWindow, beds: BedsPage
) -> None:
    """What is let go over the window it came from is no new part; files from elsewhere are welcome."""
    source: list[QWidget | None] = [beds.calendar]
    mime = beds.calendar.carrying.mime()
    monkeypatch.setattr(QDragEnterEvent, "source", lambda _event: source[0])
    for other, welcome in ((beds.calendar, False), (None, True)):
        source[0] = other
        event = QDragEnterEvent(
            QPoint(),
            Qt.DropAction.CopyAction,
            mime,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
        event.ignore()
        planned.dragEnterEvent(event)
        assert event.isAccepted() is welcome
    planned.parts.welcome(files=False)


def test_the_target_shows_that_files_may_be_let_go(window: MainWindow) -> None:
    """Held over the window, files change how the target looks; gone again, it is as before."""
    before = window.start.target.grab().toImage()
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile("/lid.stl")])
    window.dragEnterEvent(
        QDragEnterEvent(
            QPoint(),
            Qt.DropAction.CopyAction,
            mime,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
    )
    assert window.start.target.grab().toImage() != before
    window.dragLeaveEvent(QDragLeaveEvent())
    assert window.start.target.grab().toImage() == before
