"""Lets the keys of undo and redo reach the window from within fields that have nothing to take back.

A field of Qt's keeps these keys for itself for as long as it has the focus, even with nothing typed in it;
then a figure that was stepped or entered could not be taken back where it was changed.
"""

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QLineEdit, QWidget

UNDO, REDO = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo


class UndoKeys(QObject):
    """Watches the one widget that has the focus."""

    def __init__(self, window: QWidget) -> None:
        """Watch those within a window."""
        super().__init__(window)
        self._window = window
        self._watched: QWidget | None = None
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._follow)

    def _follow(self, _old: QWidget | None, new: QWidget | None) -> None:
        if self._watched is not None:
            self._watched.removeEventFilter(self)
        within = new is not None and new.window() is self._window
        self._watched = new if within and isinstance(new, QLineEdit | QAbstractSpinBox) else None
        if self._watched is not None:
            self._watched.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Leave the keys to the window unless something was typed that is not taken over yet."""
        override = event.type() == QEvent.Type.ShortcutOverride
        if override and isinstance(event, QKeyEvent) and not _typed(watched):
            undoes = event.matches(UNDO) or event.matches(REDO)
            if undoes:
                event.ignore()
            return undoes
        return super().eventFilter(watched, event)


def _typed(field: QObject) -> bool:
    """Whether a field holds something typed that it has not handed on yet."""
    if isinstance(field, QAbstractSpinBox):
        line = field.lineEdit()
        return not field.keyboardTracking() and line.isModified() and line.isUndoAvailable()
    return isinstance(field, QLineEdit) and field.isModified()
