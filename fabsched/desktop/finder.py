"""Everything the window can do in one list, narrowed by typing."""

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QDialog, QLabel, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from fabsched.desktop.line_field import LineField

WIDE, HIGH = 460, 380
"""Size of the list in pixels (our own choice)."""
TO_LIST = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
"""Keys pressed while typing that are meant for the list."""


def plain(action: QAction) -> str:
    """What an action is called, without the mark of its key."""
    return action.text().replace("&", "").rstrip("\u2026")


def meant(actions: Iterable[QAction], typed: str, *, able: bool = True) -> list[QAction]:
    """Actions whose name or explanation holds every word that was typed.

    Those whose name begins with the text come first, then those with all words in the name.

    Args:
        actions: what is looked through.
        typed: words, in any order.
        able: whether those that can be done now are meant, or those that cannot.
    """
    words = typed.casefold().split()
    ranked = []
    for place, action in enumerate(actions):
        name = plain(action).casefold()
        told = f"{name} {action.statusTip().casefold()}"
        if action.isEnabled() is able and all(word in told for word in words):
            first = name.startswith(typed.casefold().strip())
            ranked.append((not first, not all(word in name for word in words), place, action))
    return [action for *_, action in sorted(ranked, key=lambda entry: entry[:3])]


class Finder(QDialog):
    """Asks what to do, and does it; what cannot be done now is listed in grey where it is looked for."""

    def __init__(self, actions: Sequence[QAction], parent: QWidget | None = None) -> None:
        """Make it; open it with `open`.

        Args:
            actions: what can be found.
            parent: the window they belong to.
        """
        super().__init__(parent)
        self._actions = actions
        self.setWindowTitle(self.tr("Find an action"))
        self.resize(WIDE, HIGH)
        self.typed = LineField(self)
        self.typed.setPlaceholderText(self.tr("What do you want to do?"))
        self.typed.setAccessibleName(self.tr("Words of the action"))
        self.typed.setToolTip(self.tr("Type words, move with the arrows, press Enter"))
        self.typed.setClearButtonEnabled(True)
        self.found = QListWidget(self)
        self.found.setAccessibleName(self.tr("Actions found"))
        self.nothing = QLabel(self.tr("Nothing is called that; try another word."), self)
        column = QVBoxLayout(self)
        for widget in (self.typed, self.nothing, self.found):
            column.addWidget(widget)
        self.typed.textChanged.connect(self._narrow)
        self.typed.returnPressed.connect(self._do)
        self.found.itemActivated.connect(self._do)
        self.typed.installEventFilter(self)
        self._narrow("")

    def _narrow(self, typed: str) -> None:
        """List what is meant so far."""
        self.found.clear()
        for action in meant(self._actions, typed):
            self._list(action).setData(Qt.ItemDataRole.UserRole, self._actions.index(action))
        able = self.found.count()
        for action in meant(self._actions, typed, able=False) if typed.strip() else ():
            item = self._list(action)
            item.setText(self.tr("%s, not now") % item.text())
            item.setFlags(Qt.ItemFlag.NoItemFlags)
        self.found.setCurrentRow(0 if able else -1)
        self.nothing.setVisible(not self.found.count())

    def _list(self, action: QAction) -> QListWidgetItem:
        """Put an action at the end of the list, with its keys."""
        keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        text = f"{plain(action)}   ({keys})" if keys else plain(action)
        item = QListWidgetItem(action.icon(), text, self.found)
        item.setToolTip(action.statusTip())
        return item

    def _do(self) -> None:
        """Close, then do what is marked."""
        item = self.found.currentItem()
        if item is not None:
            action = self._actions[item.data(Qt.ItemDataRole.UserRole)]
            self.accept()
            action.trigger()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Let arrows move in the list while typing."""
        to_list = isinstance(event, QKeyEvent) and event.key() in TO_LIST
        if watched is self.typed and to_list and event.type() == QEvent.Type.KeyPress:
            self.found.event(event)
            return True
        return super().eventFilter(watched, event)
