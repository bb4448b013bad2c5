"""Files carried out of the window: dragged with the mouse, or copied by key to be pasted elsewhere."""

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, QObject, QPoint, Qt, QUrl, Signal
from PySide6.QtGui import QDrag, QGuiApplication, QKeySequence, QMouseEvent, QPixmap, QShortcut
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from fabsched.desktop.rows import IconButton

GRIP_PX = 96
"""Width of what is seen of files while they are dragged, at most."""


class Carrying(QObject):
    """Lets a widget hand files to other programs.

    Signals:
        taken: files were taken, one way or the other.
    """

    taken = Signal()

    def __init__(self, widget: QWidget, files: Callable[[], Sequence[Path]]) -> None:
        """Let a widget be dragged, and copied while it has the focus.

        Args:
            widget: what is taken hold of; it becomes the owner.
            files: tells the files of then; without any nothing happens.
        """
        super().__init__(widget)
        self._widget, self._files = widget, files
        self._from: QPoint | None = None
        widget.installEventFilter(self)
        keys, mine = QKeySequence(QKeySequence.StandardKey.Copy), Qt.ShortcutContext.WidgetShortcut
        QShortcut(keys, widget, context=mine).activated.connect(self.copy)

    def mime(self) -> QMimeData:
        """The files, as file managers and other programs take them."""
        mime = QMimeData()
        mime.setUrls([QUrl.fromLocalFile(str(path)) for path in self._files()])
        self.taken.emit()
        return mime

    def copy(self) -> None:
        """Put the files on the clipboard."""
        if self._files():
            QGuiApplication.clipboard().setMimeData(self.mime())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Take hold when the mouse goes down, and carry away when it has moved far enough."""
        if isinstance(event, QMouseEvent):
            here = event.position().toPoint()
            if event.type() == QEvent.Type.MouseButtonPress:
                self._from = here
            elif event.type() == QEvent.Type.MouseMove and self._far(here):
                self._carry()
                return True
        return super().eventFilter(watched, event)

    def _far(self, here: QPoint) -> bool:
        held = self._from
        least = QApplication.startDragDistance()
        return held is not None and (here - held).manhattanLength() >= least

    def _carry(self) -> None:
        self._from = None
        if not self._files():
            return
        drag = QDrag(self._widget)
        drag.setMimeData(self.mime())
        drag.setPixmap(_small(self._widget.grab()))
        drag.exec(Qt.DropAction.CopyAction)
        if isinstance(self._widget, QAbstractButton):  # it never hears of the mouse going up
            self._widget.setDown(False)


def _small(seen: QPixmap) -> QPixmap:
    """No wider than what is dragged should be, and as sharp as it was."""
    ratio = seen.devicePixelRatio()
    if seen.deviceIndependentSize().width() <= GRIP_PX:
        return seen
    smooth = Qt.TransformationMode.SmoothTransformation
    small = seen.scaledToWidth(round(GRIP_PX * ratio), smooth)
    small.setDevicePixelRatio(ratio)
    return small


class FileGrip(IconButton):
    """A button that stands for one file: dragged it hands it over, clicked it copies it."""

    def __init__(self, icon: str, text: str, parent: QWidget) -> None:
        """Make one without a file.

        Args:
            icon: name of its icon.
            text: what the file is.
            parent: Qt owner.
        """
        super().__init__(icon, parent)
        self.file: Path | None = None
        self.setText(text)
        self.setAccessibleName(text)
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.carrying = Carrying(self, lambda: () if self.file is None else (self.file,))
        self.clicked.connect(lambda _checked: self.carrying.copy())
        self.show_file(None)

    def show_file(self, file: Path | None) -> None:
        """Stand for another file, or for none yet."""
        self.file = file
        self.setEnabled(file is not None)
