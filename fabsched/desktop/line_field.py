"""A line of text to type in that leaves files held over it to the window."""

from PySide6.QtGui import QDragEnterEvent
from PySide6.QtWidgets import QLineEdit


class LineField(QLineEdit):
    """Takes text that is dragged to it, but no files: Qt would write their addresses into it."""

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Let files pass to what it lies in."""
        if event.mimeData().hasUrls():
            event.ignore()
        else:
            super().dragEnterEvent(event)
