"""Pictures of parts for Qt: of solids as pixels, of flat parts as a path."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen

from fabsched.desktop.solid.shade import Pixels
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing


def image_of(pixels: Pixels) -> QImage:
    """A picture of its own; the pixels may go."""
    height, width = pixels.shape[:2]
    data = np.ascontiguousarray(pixels)
    shown = QImage(data.data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied)
    return shown.copy()


def outline_path(drawing: Drawing, rect: QRectF) -> QPainterPath:
    """The lines of a flat part, as large as fits a rectangle, in its middle; holes are holes."""
    low, high = drawing.bounds_mm
    span = np.maximum(high - low, 1e-9)
    scale = min(rect.width() / span[0], rect.height() / span[1])
    middle, centre = (low + high) / 2, rect.center()
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for outline in drawing.outlines:
        if outline.operation is Operation.IGNORE:
            continue
        shown = (outline.points_mm - middle) * (scale, -scale)
        points = [centre + QPointF(x, y) for x, y in shown.tolist()]
        path.moveTo(points[0])
        for point in points[1:]:
            path.lineTo(point)
        if outline.closed:
            path.closeSubpath()
    return path


def draw_flat(
    painter: QPainter, drawing: Drawing, rect: QRectF, colours: tuple[QColor, QColor]
) -> None:
    """Draw a flat part into a rectangle.

    Args:
        painter: where.
        drawing: the part.
        rect: where there.
        colours: of its inside, and of its lines.
    """
    path = outline_path(drawing, rect)
    painter.fillPath(path, colours[0])
    painter.setPen(QPen(colours[1], 1.4))
    painter.drawPath(path)


def flat_image(
    drawing: Drawing, rect: QRectF, ratio: float, colours: tuple[QColor, QColor]
) -> QImage:
    """A flat part as a picture; can be made on any thread.

    Args:
        drawing: the part.
        rect: where it lies in a view that begins at 0, 0 and ends as far behind it as it begins.
        ratio: pixels of the screen in one of the view.
        colours: as for `draw_flat`.
    """
    wide, high = rect.right() + rect.left(), rect.bottom() + rect.top()
    image = QImage(
        max(1, round(wide * ratio)),
        max(1, round(high * ratio)),
        QImage.Format.Format_ARGB32_Premultiplied,
    )
    image.setDevicePixelRatio(ratio)
    image.fill(QColor(0, 0, 0, 0))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    draw_flat(painter, drawing, rect, colours)
    painter.end()
    return image
