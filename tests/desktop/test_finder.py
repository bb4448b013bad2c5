"""The list of everything the window can do."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from fabsched.desktop.finder import Finder, meant, plain
from fabsched.desktop.window import MainWindow
from tests.desktop.hands import press, write

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")
"""Qt without a screen says so of every dialog; it is no fault of ours."""


def found(window: MainWindow) -> Finder:
    """The list, opened by its key."""
    press(window, Qt.Key.Key_F3)
    finder = window.findChild(Finder)
    assert finder is not None
    assert finder.isVisible()
    return finder


def texts(finder: Finder) -> list[str]:
    """What is listed."""
    return [finder.found.item(row).text() for row in range(finder.found.count())]


def test_everything_that_can_be_done_is_listed(planned: MainWindow) -> None:
    """Each action that is enabled can be found with its keys; a second time too."""
    finder = found(planned)
    able = [a for a in planned.actions_.all if a.isEnabled() and a is not planned.actions_.find]
    assert [text.partition("   (")[0] for text in texts(finder)] == [plain(a) for a in able]
    assert any(text.endswith("(F5)") for text in texts(finder))
    finder.close()


def test_typing_and_enter_do_what_is_meant(planned: MainWindow) -> None:
    """Two words of the explanation are enough; the plan shows as a list and the finder is gone."""
    finder = found(planned)
    write(finder.typed, "list reasons")
    assert texts(finder) == ["Step by step   (Ctrl+2)"]
    press(finder.typed, Qt.Key.Key_Return)
    assert planned.plan.steps.isVisible()
    QApplication.processEvents()
    assert not [f for f in planned.findChildren(Finder) if f.isVisible()]


def test_arrows_choose_while_typing(planned: MainWindow) -> None:
    """Down marks the second entry though the text has the focus."""
    finder = found(planned)
    write(finder.typed, "show")
    assert finder.found.count() > 2
    press(finder.typed, Qt.Key.Key_Down)
    assert finder.found.currentRow() == 1
    press(finder.typed, Qt.Key.Key_Escape)
    assert not finder.isVisible()


def test_nothing_is_done_where_nothing_is_found(planned: MainWindow) -> None:
    """Enter on an empty list leaves the list open."""
    finder = found(planned)
    write(finder.typed, "zzz")
    assert texts(finder) == []
    assert finder.nothing.isVisible()
    press(finder.typed, Qt.Key.Key_Return)
    assert finder.isVisible()
    finder.typed.clear()
    assert not finder.nothing.isVisible()
    finder.close()


@pytest.mark.parametrize(("typed", "first"), [("und", "Undo"), ("plan", "Plan now")])
def test_names_come_before_explanations(planned: MainWindow, typed: str, first: str) -> None:
    """What begins with the typed text stands first."""
    planned.actions_.undo.setEnabled(True)
    assert plain(meant(planned.actions_.all, typed)[0]) == first


def test_what_cannot_be_done_now_is_listed_in_grey(planned: MainWindow) -> None:
    """One learns that it is there, and Enter does nothing."""
    assert not planned.actions_.undo.isEnabled()
    finder = found(planned)
    write(finder.typed, "undo")
    (item,) = (finder.found.item(row) for row in range(finder.found.count()))
    assert item.text() == "Undo   (Ctrl+Z), not now"
    assert not item.flags() & Qt.ItemFlag.ItemIsEnabled
    press(finder.typed, Qt.Key.Key_Return)
    assert finder.isVisible()
    finder.close()
