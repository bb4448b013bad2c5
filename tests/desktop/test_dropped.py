"""What is let go over the window."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QLineEdit

from fabsched.desktop.dropped import sorted_out
from fabsched.desktop.line_field import LineField
from fabsched.desktop.window import MainWindow
from tests.desktop.fakes import STL, SVG, FakeAsks, drop
from tests.desktop.hands import click
from tests.desktop.test_window import said, session_of


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    """A folder with two part files, a text and a folder with another part."""
    folder = tmp_path / "drawn"
    (folder / "old").mkdir(parents=True)
    (folder / "lid.STL").write_bytes(STL.replace(b"9", b"8"))
    (folder / "panel.svg").write_bytes(SVG.replace(b"9", b"8"))
    (folder / "notes.txt").write_text("to do", "utf-8")
    (folder / "old" / "lid.stl").write_bytes(STL.replace(b"9", b"7"))
    return folder


def test_of_a_folder_the_part_files_right_in_it_are_taken(planned: MainWindow, parts: Path) -> None:
    """Neither the text nor what lies deeper comes in, and nothing is refused."""
    assert drop(planned, planned.plan.timeline, [parts])
    assert [row for row in planned.parts.rows.rows if row in {"lid", "panel"}] == ["lid", "panel"]
    assert len(session_of(planned).project.parts) == 5
    assert said(planned.parts.refusals) == ""


def test_folders_and_files_may_come_together(
    planned: MainWindow, parts: Path, tmp_path: Path
) -> None:
    """Whichever comes first; a project's folder among them is refused by name, not opened."""
    other = tmp_path / "arm.stl"
    other.write_bytes(STL.replace(b"9", b"6"))
    before = session_of(planned).folder
    drop(planned, planned.parts, [parts, other])
    assert {"lid", "panel", "arm"} <= set(planned.parts.rows.rows)
    (tmp_path / "another").mkdir()
    (tmp_path / "another" / "project.toml").write_text("", "utf-8")
    drop(planned, planned.parts, [tmp_path / "another", other])
    assert session_of(planned).folder == before
    assert "another: this is no file" in said(planned.parts.refusals)


def test_a_folder_of_parts_on_an_empty_window_makes_a_project(
    window: MainWindow, asks: FakeAsks, parts: Path, tmp_path: Path
) -> None:
    """As its files would, had they been dropped one by one."""
    asks.path = tmp_path / "mine"
    drop(window, window.start, [parts])
    assert list(window.parts.rows.rows) == ["lid", "panel"]


def test_a_folder_with_nothing_to_make_is_told_as_no_project(
    window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """It is not asked where to make a project of nothing."""
    (tmp_path / "empty").mkdir()
    drop(window, window.start, [tmp_path / "empty"])
    assert asks.asked == []
    assert "empty: there is no project.toml here" in said(window.start)


def test_what_is_away_stays_to_be_refused(tmp_path: Path) -> None:
    """A file that went while it was dragged is handed on, so that it is named."""
    gone = tmp_path / "gone.stl"
    assert sorted_out([gone]).files == (gone,)


def test_fields_leave_files_to_the_window(planned: MainWindow, tmp_path: Path) -> None:
    """No field writes the address of a file into itself: the file becomes a part, as anywhere."""
    fields = [field for field in planned.findChildren(QLineEdit) if field.acceptDrops()]
    assert len(fields) > 3
    assert [field for field in fields if not isinstance(field, LineField)] == []
    click(planned.work.add)
    lid = tmp_path / "lid.stl"
    lid.write_bytes(STL.replace(b"9", b"8"))
    field = planned.work.form.name
    assert drop(field, field, [lid])
    assert "lid" in planned.parts.rows.rows
    assert field.text() == ""


def test_fields_take_text(planned: MainWindow) -> None:
    """Words from another program can still be dragged into a name."""
    click(planned.work.add)
    field, mime = planned.work.form.name, QMimeData()
    mime.setText("wire")
    keys, button = Qt.KeyboardModifier.NoModifier, Qt.MouseButton.LeftButton
    copy = Qt.DropAction.CopyAction
    enter = QDragEnterEvent(QPoint(3, 3), copy, mime, button, keys)
    QApplication.sendEvent(field, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(field, QDropEvent(QPointF(3, 3), copy, mime, button, keys))
    assert field.text() == "wire"
