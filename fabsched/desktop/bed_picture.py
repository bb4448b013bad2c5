"""A bed or sheet seen from above, to scale: for pictures, for paper and for the window."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil
from pathlib import Path

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QImage,
    QPainter,
    QPainterPath,
    QPen,
)

from fabsched.desktop.offscreen import application, png_bytes
from fabsched.desktop.timeline.look import (
    BLUE,
    GREEN,
    LIGHT,
    VERMILLION,
    Scheme,
    faded,
    mixed,
    sized,
)
from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline
from fabsched.model.shop import Border
from fabsched.session.export_records import Laid, Sketch
from fabsched.session.wording import phrase

WIDTH_PX = 1200
"""Width of a picture; its height follows from the bed or sheet."""
MARGIN_PX, TITLE_PX, TEXT_PX = 32.0, 24, 15
GRID_MM = 50.0
"""Distance of the faint lines that show the scale."""
COLOURS = {
    Operation.CUT: VERMILLION,
    Operation.SCORE: BLUE,
    Operation.ENGRAVE: GREEN,
    Operation.IGNORE: GREEN,
}
DASHES = {Operation.CUT: Qt.PenStyle.SolidLine, Operation.SCORE: Qt.PenStyle.DashLine}
"""Operations differ in their lines as well, for those who do not see the colours."""
LABEL_STEPS = 48
"""So finely is looked for room for a label."""
LEAST_LABEL = 0.55
"""Labels shrink to this share of the font's height before they are left out."""


def save_sketch(sketch: Sketch, path: Path) -> None:
    """Draw a bed or sheet into a PNG file, which is written whole or not at all.

    Raises:
        InputError: the file cannot be written.
    """
    with application():
        data = png_bytes(_image(sketch))
    write_bytes_atomic(path, data)


def _image(sketch: Sketch) -> QImage:
    inner_px = WIDTH_PX - 2 * MARGIN_PX
    font = QGuiApplication.font()
    title, text = sized(font, TITLE_PX), sized(font, TEXT_PX)
    title.setWeight(QFont.Weight.DemiBold)
    top_px = MARGIN_PX + QFontMetricsF(title).height() + QFontMetricsF(text).height() + 12
    high_px = height_for(sketch, inner_px)
    image = QImage(WIDTH_PX, ceil(top_px + high_px + MARGIN_PX), QImage.Format.Format_RGB32)
    image.fill(QColor(LIGHT.ground))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QColor(LIGHT.ink))
    painter.setFont(title)
    painter.drawText(QPointF(MARGIN_PX, MARGIN_PX + QFontMetricsF(title).ascent()), sketch.title)
    note = phrase("with-grid", what=sketch.note, grid=GRID_MM)
    painter.setFont(text)
    painter.setPen(QColor(LIGHT.faint))
    painter.drawText(QPointF(MARGIN_PX, top_px - 14), note)
    draw_sketch(painter, sketch, QRectF(MARGIN_PX, top_px, inner_px, high_px), text)
    painter.end()
    return image


def height_for(sketch: Sketch, width: float) -> float:
    """How high a sketch of that width is."""
    return width * sketch.size_mm[1] / sketch.size_mm[0]


def draw_sketch(
    painter: QPainter, sketch: Sketch, rect: QRectF, font: QFont, scheme: Scheme = LIGHT
) -> None:
    """Draw a bed or sheet, as large as fits a rectangle, in its upper left.

    Args:
        painter: draws.
        sketch: the bed or sheet.
        rect: where, in the painter's units.
        font: of the labels, its height given in pixels.
        scheme: colours.
    """
    view = _view(sketch, rect)
    painter.save()
    _draw_ground(painter, sketch, view, scheme)
    for laid in sketch.laid:
        _draw_laid(painter, sketch, laid, view, scheme)
    for laid in sketch.laid:
        _draw_label(painter, sketch, laid, view, font, scheme)
    painter.restore()


@dataclass(frozen=True, slots=True)
class _View:
    """From mm to the painter's units, y turned.

    Attributes:
        origin: where the lower left corner of the bed or sheet is.
        scale: units for a mm.
        size: extent in the painter's units.
        hairline: width of a thin line.
    """

    origin: QPointF
    scale: float
    size: QSizeF
    hairline: float

    def point(self, x_mm: float, y_mm: float) -> QPointF:
        return self.origin + QPointF(x_mm * self.scale, -y_mm * self.scale)

    def path(self, outlines: Sequence[Outline]) -> QPainterPath:
        """Outlines as one path; what lies inside another is a hole."""
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        for outline in outlines:
            points = [self.point(x, y) for x, y in outline.points_mm.tolist()]
            path.moveTo(points[0])
            for point in points[1:]:
                path.lineTo(point)
            if outline.closed:
                path.closeSubpath()
        return path


def _view(sketch: Sketch, rect: QRectF) -> _View:
    wide, high = sketch.size_mm
    scale = min(rect.width() / wide, rect.height() / high)
    size = QSizeF(wide * scale, high * scale)
    origin = QPointF(rect.left(), rect.top() + size.height())
    return _View(origin, scale, size, hairline=rect.width() / 900)


def _draw_ground(painter: QPainter, sketch: Sketch, view: _View, scheme: Scheme) -> None:
    whole = QRectF(view.point(0, sketch.size_mm[1]), view.size)
    painter.fillRect(whole, QColor(scheme.lane))
    painter.setPen(QPen(QColor(scheme.line), view.hairline))
    wide, high = sketch.size_mm
    for step in range(1, ceil(max(wide, high) / GRID_MM)):
        at_mm = step * GRID_MM
        if at_mm < wide:
            painter.drawLine(view.point(at_mm, 0), view.point(at_mm, high))
        if at_mm < high:
            painter.drawLine(view.point(0, at_mm), view.point(wide, at_mm))
    _draw_free(painter, sketch, view, scheme)
    painter.setPen(QPen(QColor(scheme.faint), 2 * view.hairline))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(whole)
    if sketch.outline:
        painter.setPen(QPen(QColor(scheme.ink), 2 * view.hairline))
        painter.drawPath(view.path([_ring(sketch.outline)]))


def _draw_free(painter: QPainter, sketch: Sketch, view: _View, scheme: Scheme) -> None:
    """Hatch what is not there of an offcut, and what stays free."""
    wide, high = sketch.size_mm
    rings = [_ring(ring) for ring in sketch.keep_out]
    paths = [view.path([ring]) for ring in rings]
    if sketch.outline:
        corners = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
        paths.append(view.path([_ring(corners), _ring(sketch.outline)]))
    painter.setPen(QPen(QColor(scheme.faint), view.hairline))
    painter.setBrush(QBrush(QColor(scheme.faint), Qt.BrushStyle.BDiagPattern))
    for path in paths:
        painter.drawPath(path)


def _ring(border: Border) -> Outline:
    return Outline(np.array(border, dtype=np.float64), closed=True)


def _draw_laid(painter: QPainter, sketch: Sketch, laid: Laid, view: _View, scheme: Scheme) -> None:
    """One copy: its area, then its lines by operation."""
    pure = QColor(VERMILLION if sketch.is_sheet else BLUE)
    painter.fillPath(_body(sketch, laid, view), mixed(QColor(scheme.lane), pure, scheme.tint))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for operation in Operation:
        lines = [outline for outline in laid.outlines if outline.operation is operation]
        colour = QColor(COLOURS[operation]) if sketch.is_sheet else pure
        style = DASHES.get(operation, Qt.PenStyle.DotLine)
        painter.setPen(QPen(colour, 1.6 * view.hairline, style))
        painter.drawPath(view.path(lines))


def _body(sketch: Sketch, laid: Laid, view: _View) -> QPainterPath:
    """The area of one copy."""
    return view.path([each for each in laid.outlines if each.closed and _is_border(each, sketch)])


def _is_border(outline: Outline, sketch: Sketch) -> bool:
    return outline.operation is Operation.CUT or not sketch.is_sheet


def label_spot(body: QPainterPath) -> QPointF:
    """Where the name of a part stands: in its middle, or on it above or below an opening there.

    In the opening another part may lie, whose name stands there.
    """
    box = body.boundingRect()
    middle = box.center()
    if body.contains(middle):
        return middle
    steps = [box.top() + box.height() * (i + 0.5) / LABEL_STEPS for i in range(LABEL_STEPS)]
    crossed = groupby(steps, lambda y: body.contains(QPointF(middle.x(), y)))
    spans = [list(span) for on_it, span in crossed if on_it]
    widest = max(reversed(spans), key=len, default=[middle.y()])
    return QPointF(middle.x(), (widest[0] + widest[-1]) / 2)


def _draw_label(
    painter: QPainter, sketch: Sketch, laid: Laid, view: _View, font: QFont, scheme: Scheme
) -> None:
    """The part's name on it, smaller where there is little room."""
    if not laid.name:
        return
    box = view.path(laid.outlines).boundingRect()
    metrics = QFontMetricsF(font)
    wide = metrics.horizontalAdvance(laid.name) * 1.1
    share = min(1.0, box.width() / wide, box.height() / metrics.height())
    if share < LEAST_LABEL:
        return
    painter.setFont(sized(font, max(1, round(font.pixelSize() * share))))
    plate = QRectF(0, 0, wide * share, metrics.height() * share)
    plate.moveCenter(label_spot(_body(sketch, laid, view)))
    painter.fillRect(plate, faded(scheme.lane, 0.7))
    painter.setPen(QColor(scheme.ink))
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, laid.name)
