"""A column of widgets that scrolls up and down, and is never narrower than what stands in it."""

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget


class SideColumn(QScrollArea):
    """Holds one widget; there is no way to scroll sideways, and no need to."""

    def __init__(self, inside: QWidget, parent: QWidget | None = None) -> None:
        """Take a widget in."""
        super().__init__(parent)
        self._inside = inside
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inside.installEventFilter(self)
        self._fit()

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As wide as what stands in it, its bar included."""
        wide = self._inside.minimumSizeHint().width() + self.verticalScrollBar().sizeHint().width()
        return QSize(wide, super().minimumSizeHint().height())

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As high as what stands in it, if there is room."""
        return QSize(self.minimumSizeHint().width(), self._inside.sizeHint().height())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Follow what stands in it."""
        if watched is self._inside and event.type() == QEvent.Type.LayoutRequest:
            self._fit()
        return super().eventFilter(watched, event)

    def _fit(self) -> None:
        self.updateGeometry()
        wide = self.minimumSizeHint().width()
        if self.minimumWidth() != wide:
            self.setMinimumWidth(wide)
