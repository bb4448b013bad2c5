"""Icons: our own drawings, in the colour of the text beside them, sharp at any scale."""

from functools import cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPalette, QPixmap
from PySide6.QtSvg import QSvgRenderer

from fabsched.files.resources import resource

SIZES_PX = (16, 20, 24, 32, 48, 64)
"""Pixel sizes an icon is made in; these cover 16 to 32 at one and two pixels to a point."""

FAINT = 0.4
"""Opacity of the icon of something that cannot be used now."""


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


@cache
def _made(name: str, colour: str) -> QIcon:
    made = QIcon()
    for size in SIZES_PX:
        made.addPixmap(_pixmap(name, colour, size, 1.0), QIcon.Mode.Normal)
        made.addPixmap(_pixmap(name, colour, size, FAINT), QIcon.Mode.Disabled)
    return made


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
