"""A sentence that leads somewhere: by pointer, and by keys like any control."""

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from fabsched.desktop.focus_frame import draw_focus_frame
from fabsched.desktop.prose import Prose

PRESSING = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)
"""Keys that press what has the focus."""


class SentenceLink(Prose):
    """A label that can be pressed.

    Signals:
        clicked: it was pressed.
    """

    clicked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one, which leads nowhere yet."""
        super().__init__(parent)
        self.set_leads(leads=False)

    def set_leads(self, *, leads: bool) -> None:
        """Whether there is something to lead to."""
        self._leads = leads
        policy = Qt.FocusPolicy.StrongFocus if leads else Qt.FocusPolicy.NoFocus
        self.setFocusPolicy(policy)
        shape = Qt.CursorShape.PointingHandCursor if leads else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)
        if not leads:
            self._underline(under=False)

    def _underline(self, *, under: bool) -> None:
        font = self.font()
        if font.underline() != under:
            font.setUnderline(under)
            self.setFont(font)

    def enterEvent(self, event: QEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Show that it leads somewhere."""
        super().enterEvent(event)
        self._underline(under=self._leads)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Look like a sentence again."""
        super().leaveEvent(event)
        self._underline(under=self._leads and self.hasFocus())

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show that it can be pressed."""
        super().focusInEvent(event)
        self._underline(under=self._leads)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Look like a sentence again."""
        super().focusOutEvent(event)
        self._underline(under=False)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Lead there."""
        if self._leads and event.button() == Qt.MouseButton.LeftButton:
            self.clicked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Lead there as well."""
        if self._leads and event.key() in PRESSING:
            self.clicked.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """The sentence, with a frame while it has the focus."""
        super().paintEvent(event)
        painter = QPainter(self)
        draw_focus_frame(painter, self)
        painter.end()
