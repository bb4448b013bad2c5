"""Asking for files and folders with real dialogs that do not stop the program."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop.asking import Dialogs

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")
"""Qt without a screen says so of every dialog; it is no fault of ours."""

Ask = Callable[[Dialogs, list[Path]], None]


@pytest.fixture
def owner(qtbot: QtBot) -> QWidget:
    """The window the dialogs belong to."""
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.show()
    return widget


def the_dialog(owner: QWidget) -> QFileDialog:
    """The one dialog that is open."""
    (dialog,) = owner.findChildren(QFileDialog)
    return dialog


@pytest.mark.parametrize(
    "ask",
    [
        lambda dialogs, got: dialogs.new_folder("New", "mine", got.append),
        lambda dialogs, got: dialogs.folder("Open", got.append),
        lambda dialogs, got: dialogs.picture_file("Save", "a.png", got.append),
        lambda dialogs, got: dialogs.busy_file("Read", got.append),
        lambda dialogs, got: dialogs.part_files("Add", got.extend),
    ],
)
def test_the_answer_comes_when_the_user_gives_it(
    qtbot: QtBot, owner: QWidget, tmp_path: Path, ask: Ask
) -> None:
    """Asking returns at once; the choice is handed on; the dialog is gone after it."""
    got: list[Path] = []
    ask(Dialogs(owner, (".stl",)), got)
    assert got == []
    dialog = the_dialog(owner)
    qtbot.waitUntil(dialog.isVisible)
    dialog.fileSelected.emit(str(tmp_path / "x"))
    dialog.filesSelected.emit([str(tmp_path / "x")])
    assert got == [tmp_path / "x"]
    dialog.reject()
    qtbot.waitUntil(lambda: not owner.findChildren(QFileDialog))


def test_leaving_a_dialog_answers_nothing(qtbot: QtBot, owner: QWidget) -> None:
    """Cancel is no answer."""
    got: list[Path] = []
    Dialogs(owner, (".stl",)).folder("Open", got.append)
    the_dialog(owner).reject()
    qtbot.waitUntil(lambda: not owner.findChildren(QFileDialog))
    assert got == []


def test_a_picture_gets_the_ending_of_the_kind_that_is_chosen(qtbot: QtBot, owner: QWidget) -> None:
    """Choosing drawings makes svg the ending that is added."""
    Dialogs(owner, ()).picture_file("Save", "a", lambda _path: None)
    dialog = the_dialog(owner)
    assert dialog.defaultSuffix() == "png"
    dialog.filterSelected.emit(dialog.nameFilters()[1])
    assert dialog.defaultSuffix() == "svg"
    dialog.reject()
    qtbot.waitUntil(lambda: not owner.findChildren(QFileDialog))
