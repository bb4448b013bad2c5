"""The shapes of blocks: each kind is told by its outline and its foot, whatever its colour.

A block is a soft plate for its label over a foot. The foot says where the hands are: filled while
hands are with it, hatched while a machine runs alone. Runs are square, work is rounded, gates are
pointed at both ends, tending is a tab that points up to its machine, ways lean forward.
"""

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import Look
from fabsched.model.plan import Block, Kind

HATCH_PX = 6.0
"""Distance between hatching lines along x."""


def qrect(rect: Rect) -> QRectF:
    """The same rectangle for Qt."""
    return QRectF(rect.x, rect.y, rect.w, rect.h)


def outline(kind: Kind, rect: Rect) -> QPainterPath:
    """The outline of a block of that kind that fills a rectangle."""
    path = QPainterPath()
    match kind:
        case Kind.WORK:
            radius = min(7.0, rect.w / 2)
            path.addRoundedRect(qrect(rect), radius, radius)
        case Kind.GATE:
            path.addPolygon(_pointed(rect))
        case Kind.TEND:
            path.addPolygon(_tab(rect))
        case Kind.TRAVEL:
            path.addPolygon(_leaning(rect))
        case Kind.RUN:
            path.addRect(qrect(rect))
    path.closeSubpath()
    return path


def _pointed(rect: Rect) -> QPolygonF:
    tip = min(9.0, rect.w / 2)
    middle = rect.y + rect.h / 2
    return QPolygonF(
        [
            QPointF(rect.x, middle),
            QPointF(rect.x + tip, rect.y),
            QPointF(rect.right - tip, rect.y),
            QPointF(rect.right, middle),
            QPointF(rect.right - tip, rect.bottom),
            QPointF(rect.x + tip, rect.bottom),
        ]
    )


def _tab(rect: Rect) -> QPolygonF:
    roof = min(7.0, rect.w / 2)
    return QPolygonF(
        [
            QPointF(rect.x, rect.y + roof),
            QPointF(rect.x + roof, rect.y),
            QPointF(rect.right - roof, rect.y),
            QPointF(rect.right, rect.y + roof),
            QPointF(rect.right, rect.bottom),
            QPointF(rect.x, rect.bottom),
        ]
    )


def _leaning(rect: Rect) -> QPolygonF:
    lean = min(8.0, rect.w / 2)
    return QPolygonF(
        [
            QPointF(rect.x + lean, rect.y),
            QPointF(rect.right, rect.y),
            QPointF(rect.right - lean, rect.bottom),
            QPointF(rect.x, rect.bottom),
        ]
    )


def draw_block(painter: QPainter, look: Look, block: Block, rect: Rect, foot_px: float) -> None:
    """Draw a block without its label.

    Args:
        painter: where.
        look: colours.
        block: what.
        rect: the space it fills.
        foot_px: height of its foot.
    """
    pure = look.pure(block)
    path = outline(block.kind, rect)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.fillPath(path, look.plate(pure))
    foot = Rect(x=rect.x, y=rect.bottom - foot_px, w=rect.w, h=foot_px)
    if block.kind == Kind.RUN and not block.attended:
        hatch(painter, foot, pure, 2.4)
    else:
        painter.fillPath(path.intersected(_path(foot)), pure)
    painter.setPen(QPen(pure, 1.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)


def _path(rect: Rect) -> QPainterPath:
    path = QPainterPath()
    path.addRect(qrect(rect))
    return path


def hatch(painter: QPainter, rect: Rect, colour: QColor, width_px: float) -> None:
    """Fill a rectangle with slanting lines, each cut at its edges.

    Lines of their own rather than a pattern brush: they look alike on screen and in a picture made
    of vectors, at any size. They hang on x = 0, so that they stand still while blocks grow.
    """
    if rect.w <= 0 or rect.h <= 0:
        return
    first = int((rect.x - rect.h) // HATCH_PX)
    last = int(rect.right // HATCH_PX) + 1
    lines = [line for i in range(first, last + 1) if (line := _slant(rect, i * HATCH_PX))]
    painter.setPen(QPen(colour, width_px, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
    painter.drawLines(lines)


def _slant(rect: Rect, foot_x: float) -> QLineF | None:
    """The part inside the rectangle of the line that rises rightwards from (foot_x, bottom)."""
    low = max(0.0, rect.x - foot_x)
    high = min(rect.h, rect.right - foot_x)
    if high <= low:
        return None
    return QLineF(foot_x + low, rect.bottom - low, foot_x + high, rect.bottom - high)


def draw_hold(painter: QPainter, look: Look, rect: Rect, foot_px: float, *, clearing: bool) -> None:
    """Draw a stretch on which a machine is held: a thin rail at foot height.

    While a finished run waits to be cleared the rail is dotted, while one is set up it is whole.
    """
    pen = QPen(QColor(look.scheme.travel), 2.0)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setStyle(Qt.PenStyle.DotLine if clearing else Qt.PenStyle.SolidLine)
    painter.setPen(pen)
    middle = rect.bottom - foot_px / 2
    painter.drawLine(QPointF(rect.x, middle), QPointF(rect.right, middle))
    painter.setPen(QPen(QColor(look.scheme.travel), 2.0))
    end = rect.right if clearing else rect.x
    painter.drawLine(QPointF(end, middle - foot_px / 2), QPointF(end, middle + foot_px / 2))


def draw_wall(painter: QPainter, look: Look, rect: Rect) -> None:
    """Draw the deadline: a wall of two bricks a course, its face towards the time that is left."""
    ink, ground = QColor(look.scheme.ink), QColor(look.scheme.ground)
    painter.fillRect(qrect(rect), ground)
    count = max(1, round(rect.h / (rect.w * 0.62)))
    course, gap, face = rect.h / count, 1.6, 3.0
    for i in range(count):
        joint = rect.x + face + (rect.w - face) * (0.36 if i % 2 else 0.7)
        y, high = rect.y + i * course, course - gap
        for left, right in ((rect.x + face, joint - gap), (joint, rect.right)):
            painter.fillRect(QRectF(left, y, right - left, high), look.brick)
    painter.fillRect(QRectF(rect.x, rect.y, face, rect.h), ink)
