"""Projects opened lately, on the start page and in the menu."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QMenu, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from fabsched.desktop import recent
from fabsched.desktop.icons import icon
from fabsched.desktop.recent import Recent

SHOWN = 4
"""How many the start page has room for in the smallest window."""

Open = Callable[[Path], object]
"""Opens a project folder."""


def _unmarked(text: str) -> str:
    """A name with its ampersands shown, not taken as marks of keys."""
    return text.replace("&", "&&")


class RecentList(QWidget):
    """A button for each, the first one large: to go on with what was done last."""

    def __init__(self, open_folder: Open, parent: QWidget | None = None) -> None:
        """Make it; it is hidden while there is none."""
        super().__init__(parent)
        self._open = open_folder
        self.buttons: list[QPushButton] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self.follow()

    def follow(self) -> None:
        """Show what the settings hold now."""
        for button in self.buttons:
            button.hide()
            button.deleteLater()
        entries = recent.recents()
        told = zip(entries, recent.names(entries), strict=True)
        self.buttons = [self._button(entry, name) for entry, name in tuple(told)[:SHOWN]]
        ready = next((button for button in self.buttons if button.isEnabled()), None)
        if ready is not None:
            self._make_large(ready)
        for button in self.buttons:
            self._column.addWidget(button)
        self.setVisible(bool(self.buttons))

    def _button(self, entry: Recent, name: str) -> QPushButton:
        there = entry.there
        away = "" if there else f" ({self.tr('not there now')})"
        button = QPushButton(f"{_unmarked(name)}{away}", self)
        button.setFlat(True)
        button.setEnabled(there)
        button.setToolTip(str(entry.folder))
        button.setAccessibleName(f"{name}{away}")
        button.setAutoDefault(True)
        button.clicked.connect(lambda: self._open(entry.folder))
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        return button

    def _make_large(self, button: QPushButton) -> None:
        name = button.accessibleName()
        button.setText(f" {self.tr('Go on with %s') % _unmarked(name)}")
        button.setAccessibleName(self.tr("Go on with %s") % name)
        button.setIcon(icon("open", self.palette()))
        button.setIconSize(QSize(24, 24))
        button.setMinimumHeight(56)
        button.setFlat(False)


def fill(menu: QMenu, open_folder: Open, forgotten: Callable[[], object]) -> None:
    """Fill a menu with the projects opened lately; those that are away are grey.

    Args:
        menu: is emptied first.
        open_folder: opens one.
        forgotten: called when those that are away were let go.
    """
    menu.clear()
    entries = recent.recents()
    for entry, name in zip(entries, recent.names(entries), strict=True):
        action = menu.addAction(_unmarked(name))
        action.setToolTip(str(entry.folder))
        action.setEnabled(entry.there)
        action.triggered.connect(lambda _checked, folder=entry.folder: open_folder(folder))
    if not all(entry.there for entry in entries):
        menu.addSeparator()
        forget = menu.addAction(menu.tr("Forget those that are not there"))
        forget.triggered.connect(lambda _checked: recent.forget_missing())
        forget.triggered.connect(lambda _checked: forgotten())
    menu.setEnabled(bool(entries))
