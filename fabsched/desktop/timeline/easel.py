"""Has the timeline drawn finely as soon as the view rests."""

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QPixmap

from fabsched.desktop.timeline.glide import Drawing, View

REST_MS = 90
"""The view rests when it has not moved for so long."""


class Easel(QObject):
    """Holds a drawing of the timeline.

    Attributes:
        drawing: what has been drawn.

    Signals:
        finer: what was shown can be shown finer now.
    """

    finer = Signal()

    def __init__(self, parent: QObject) -> None:
        """Nothing drawn yet."""
        super().__init__(parent)
        self.drawing = Drawing()
        self._wanted: View | None = None
        self._resting = QTimer(self, singleShot=True)
        self._resting.timeout.connect(self._go_on)

    def drawn(self, view: View) -> QPixmap:
        """A view drawn as finely as can be had at once; `finer` follows if that can be bettered."""
        pixmap = self.drawing.shown(view)
        if self.drawing.is_fine(view):
            self._resting.stop()
        elif view != self._wanted:
            self._resting.start(REST_MS)
        self._wanted = view
        return pixmap

    def _go_on(self) -> None:
        if self._wanted is None:
            return
        if self.drawing.ink(self._wanted):
            self.finer.emit()
        else:
            self._resting.start(0)
