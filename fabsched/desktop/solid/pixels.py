"""Pictures of parts for Qt: of solids as pixels, of flat parts as a path."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPainterPath

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
