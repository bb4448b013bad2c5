"""Icons: our own drawings, in the colour of the text beside them, sharp at any scale."""

from functools import cache

from PySide6.QtCore import QByteArray, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QIconEngine, QPainter, QPalette, QPixmap
from PySide6.QtSvg import QSvgRenderer

from fabsched.files.resources import resource

FAINT = 0.4
"""Opacity of the icon of something that cannot be used now."""
ON_MARKED = "#FFFFFF"
"""Colour on the ground of a marked row, as that of its text (`theme.palette`)."""


def icon(name: str, palette: QPalette) -> QIcon:
    """An icon in the colour of ordinary text.

    Args:
        name: file name in `resources/icons`, without ending.
        palette: whose text colour it takes.
    """
    return coloured(name, palette.color(QPalette.ColorRole.WindowText))


def coloured(name: str, colour: QColor) -> QIcon:
    """An icon in a colour of its own."""
    return _made(name, colour.name())


class Drawn(QIconEngine):
    """Draws an icon anew for every size and scale it is asked for."""

    def __init__(self, name: str, colour: str) -> None:
        """Draw that file in that colour."""
        super().__init__()
        self._name, self._colour = name, colour

    def clone(self) -> "Drawn":
        """Another that draws the same."""
        return Drawn(self._name, self._colour)

    def paint(self, painter: QPainter, rect: QRect, mode: QIcon.Mode, state: QIcon.State) -> None:
        """Draw it into the middle of a rectangle."""
        side = min(rect.width(), rect.height())
        square = QRect(0, 0, side, side)
        square.moveCenter(rect.center())
        scale = painter.device().devicePixelRatio()
        painter.drawPixmap(square, self.scaledPixmap(square.size(), mode, state, scale))

    def pixmap(self, size: QSize, mode: QIcon.Mode, state: QIcon.State) -> QPixmap:
        """Draw it in so many pixels."""
        return self.scaledPixmap(size, mode, state, 1.0)

    def scaledPixmap(  # noqa: N802 - Qt's name
        self,
        size: QSize,
        mode: QIcon.Mode,
        state: QIcon.State,  # noqa: ARG002 - ours look the same, on or off
        scale: float,
    ) -> QPixmap:
        """Draw it in so many points, of so many pixels each."""
        opacity = FAINT if mode is QIcon.Mode.Disabled else 1.0
        colour = ON_MARKED if mode is QIcon.Mode.Selected else self._colour
        side = round(min(size.width(), size.height()) * scale)
        return _pixmap(self._name, colour, side, opacity)


@cache
def _made(name: str, colour: str) -> QIcon:
    return QIcon(Drawn(name, colour))


@cache
def _pixmap(name: str, colour: str, size: int, opacity: float) -> QPixmap:
    drawing = _text(name).replace("currentColor", colour)
    renderer = QSvgRenderer(QByteArray(drawing.encode()))
    pixmap = QPixmap(size, size)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setOpacity(opacity)
    renderer.render(painter, QRectF(0, 0, size, size))
    painter.end()
    return pixmap


@cache
def _text(name: str) -> str:
    return resource(f"icons/{name}.svg").read_text("utf-8")
