"""The shapes of blocks: each kind is told by its outline and its foot, whatever its colour.

A block is a soft plate for its label over a foot. The foot says where the hands are: filled while
hands are with it, hatched while a machine runs alone. Runs are square, work is rounded, gates are
pointed at both ends, tending is a tab that points up to its machine, ways lean forward.
"""

from collections.abc import Iterable, Iterator

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QLinearGradient, QPainter, QPainterPath, QPen, QPolygonF

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import Look, faded
from fabsched.model.plan import Block, Kind

HATCH_PX = 6.0
"""Distance between hatching lines along x."""

PAST = 0.5
"""How much what lies behind is dulled."""


def qrect(rect: Rect) -> QRectF:
    """The same rectangle for Qt."""
    return QRectF(rect.x, rect.y, rect.w, rect.h)


def draw_block(painter: QPainter, look: Look, block: Block, rect: Rect, foot_px: float) -> None:
    """Draw a block without its label.

    Args:
        painter: where.
        look: colours.
        block: what.
        rect: the space it fills.
        foot_px: height of its foot.
    """
    pure, plate = look.pure(block), look.plate(block)
    foot = Rect(x=rect.x, y=rect.bottom - foot_px, w=rect.w, h=foot_px)
    if block.kind == Kind.RUN:
        painter.fillRect(qrect(rect), plate)
        _run_foot(painter, block, foot, pure)
        painter.setPen(QPen(pure, 1.2))
        painter.drawPolyline(_corners(rect))
    elif block.kind == Kind.WORK:
        _rounded(painter, rect, foot, pure, plate)
    else:
        whole, below = _SHAPES[block.kind](rect, foot_px)
        painter.setPen(Qt.PenStyle.NoPen)
        for colour, shape in ((plate, whole), (pure, below)):
            painter.setBrush(colour)
            painter.drawConvexPolygon(shape)
        painter.setPen(QPen(pure, 1.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawConvexPolygon(whole)


def _run_foot(painter: QPainter, block: Block, foot: Rect, pure: QColor) -> None:
    if block.attended:
        painter.fillRect(qrect(foot), pure)
    else:
        hatch(painter, [foot], pure, 2.4)


def _corners(rect: Rect) -> QPolygonF:
    """A rectangle as a closed line; unlike a rectangle it may be of no width."""
    return _polygon(
        (rect.x, rect.y),
        (rect.right, rect.y),
        (rect.right, rect.bottom),
        (rect.x, rect.bottom),
        (rect.x, rect.y),
    )


def _rounded(painter: QPainter, rect: Rect, foot: Rect, pure: QColor, plate: QColor) -> None:
    """A plate with round corners; its foot is what lies low enough of it."""
    radius = min(7.0, rect.w / 2)
    path = QPainterPath()
    path.addRoundedRect(qrect(rect), radius, radius)
    painter.fillPath(path, plate)
    painter.save()
    painter.setClipRect(qrect(foot), Qt.ClipOperation.IntersectClip)
    painter.fillPath(path, pure)
    painter.restore()
    painter.setPen(QPen(pure, 1.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)


Shapes = tuple[QPolygonF, QPolygonF]
"""A block's outline, and its foot."""


def _polygon(*points: tuple[float, float]) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in points])


def _pointed(rect: Rect, foot_px: float) -> Shapes:
    """Pointed at both ends."""
    tip, middle = min(9.0, rect.w / 2), rect.y + rect.h / 2
    low, inner = rect.bottom - foot_px, tip * max(0.0, 1 - 2 * foot_px / rect.h)
    whole = _polygon(
        (rect.x, middle),
        (rect.x + tip, rect.y),
        (rect.right - tip, rect.y),
        (rect.right, middle),
        (rect.right - tip, rect.bottom),
        (rect.x + tip, rect.bottom),
    )
    foot = _polygon(
        (rect.x + inner, low),
        (rect.right - inner, low),
        (rect.right - tip, rect.bottom),
        (rect.x + tip, rect.bottom),
    )
    return whole, foot


def _tab(rect: Rect, foot_px: float) -> Shapes:
    """Roofed, towards the machine above."""
    roof = min(7.0, rect.w / 2)
    low = rect.bottom - foot_px
    whole = _polygon(
        (rect.x, rect.y + roof),
        (rect.x + roof, rect.y),
        (rect.right - roof, rect.y),
        (rect.right, rect.y + roof),
        (rect.right, rect.bottom),
        (rect.x, rect.bottom),
    )
    foot = _polygon(
        (rect.x, low), (rect.right, low), (rect.right, rect.bottom), (rect.x, rect.bottom)
    )
    return whole, foot


def _leaning(rect: Rect, foot_px: float) -> Shapes:
    """Leaning forward."""
    lean = min(8.0, rect.w / 2)
    low, inner = rect.bottom - foot_px, lean * foot_px / rect.h
    whole = _polygon(
        (rect.x + lean, rect.y),
        (rect.right, rect.y),
        (rect.right - lean, rect.bottom),
        (rect.x, rect.bottom),
    )
    foot = _polygon(
        (rect.x + inner, low),
        (rect.right - lean + inner, low),
        (rect.right - lean, rect.bottom),
        (rect.x, rect.bottom),
    )
    return whole, foot


_SHAPES = {Kind.GATE: _pointed, Kind.TEND: _tab, Kind.TRAVEL: _leaning}
"""Outline and foot of the kinds with straight edges."""


def hatch(painter: QPainter, rects: Iterable[Rect], colour: QColor, width_px: float) -> None:
    """Fill rectangles with slanting lines, each cut at their edges.

    Lines of their own rather than a pattern brush: they look alike on screen and in a picture made
    of vectors, at any size. They hang on x = 0, so that they stand still while blocks grow.
    """
    painter.setPen(QPen(colour, width_px, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
    painter.drawLines([line for rect in rects for line in _slants(rect)])


def _slants(rect: Rect) -> Iterator[QLineF]:
    if rect.w <= 0 or rect.h <= 0:
        return
    first = int((rect.x - rect.h) // HATCH_PX)
    last = int(rect.right // HATCH_PX) + 1
    for i in range(first, last + 1):
        if line := _slant(rect, i * HATCH_PX):
            yield line


def _slant(rect: Rect, foot_x: float) -> QLineF | None:
    """The part inside the rectangle of the line that rises rightwards from (foot_x, bottom)."""
    low = max(0.0, rect.x - foot_x)
    high = min(rect.h, rect.right - foot_x)
    if high <= low:
        return None
    return QLineF(foot_x + low, rect.bottom - low, foot_x + high, rect.bottom - high)


def draw_tail(painter: QPainter, colour: QColor, rect: Rect, foot_px: float) -> None:
    """Draw what a block may take longer: a foot that fades away, with its edge drawn out."""
    foot = QRectF(rect.x, rect.bottom - foot_px, rect.w, foot_px)
    fade = QLinearGradient(foot.topLeft(), foot.topRight())
    for at, strength in ((0.0, 0.55), (1.0, 0.0)):
        fade.setColorAt(at, faded(colour, strength))
    painter.fillRect(foot, fade)


def draw_past(painter: QPainter, look: Look, rect: Rect, *, in_vain: bool) -> None:
    """Dull a block that lies behind; strike out one that came to nothing."""
    painter.fillRect(qrect(rect), faded(look.scheme.ground, PAST))
    if in_vain:
        painter.setPen(QPen(QColor(look.scheme.ink), 1.6))
        painter.drawLine(QLineF(rect.x, rect.bottom, rect.right, rect.y))


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
    bricks = []
    for i in range(count):
        joint = rect.x + face + (rect.w - face) * (0.36 if i % 2 else 0.7)
        y, high = rect.y + i * course, course - gap
        for left, right in ((rect.x + face, joint - gap), (joint, rect.right)):
            bricks.append(QRectF(left, y, right - left, high))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(look.brick)
    painter.drawRects(bricks)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.fillRect(QRectF(rect.x, rect.y, face, rect.h), ink)
