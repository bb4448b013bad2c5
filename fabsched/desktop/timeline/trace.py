"""Marks over blocks: the chain that decides the finish, and what is pinned."""

from itertools import pairwise

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen

from fabsched.desktop.timeline.canvas import Canvas
from fabsched.desktop.timeline.geometry import Rect

BAR_PX, LINK_PX = 3.0, 1.4
"""How strong the trace is on a block and between two."""
PIN_PX = 4.5
"""Size of the head of a pin."""
BEND_PX = 10.0
"""How far before the next block the trace goes over to its lane."""


def draw_links(canvas: Canvas, rects: dict[str, Rect]) -> None:
    """Draw lines from each block of the chain to the next; they belong under blocks and names.

    Args:
        canvas: where.
        rects: where the blocks of the chain lie, by id; those out of sight may be missing.
    """
    canvas.painter.setPen(QPen(QColor(canvas.look.scheme.ink), LINK_PX, Qt.PenStyle.DotLine))
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    for first, then in pairwise(_seen(canvas, rects)):
        canvas.painter.drawPath(_link(first, then))


def draw_chain(canvas: Canvas, rects: dict[str, Rect]) -> None:
    """Draw a bar along the top of every block of the chain.

    Args:
        canvas: where.
        rects: where the blocks of the chain lie, by id; those out of sight may be missing.
    """
    ink = QColor(canvas.look.scheme.ink)
    canvas.painter.setPen(QPen(ink, BAR_PX, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
    canvas.painter.drawLines([QLineF(r.x, r.y, r.right, r.y) for r in _seen(canvas, rects)])


def _seen(canvas: Canvas, rects: dict[str, Rect]) -> list[Rect]:
    return [rects[ident] for ident in canvas.scene.chain if ident in rects]


def _link(first: Rect, then: Rect) -> QPainterPath:
    """From the end of a bar to the beginning of the next, along the first lane, then over."""
    turn = max(first.right, then.x - BEND_PX)
    path = QPainterPath(QPointF(first.right, first.y))
    path.lineTo(QPointF(turn, first.y))
    path.lineTo(QPointF(then.x, then.y))
    return path


def draw_pins(canvas: Canvas, rects: dict[str, Rect]) -> None:
    """Draw a pin in the upper left corner of every block that is pinned.

    Args:
        canvas: where.
        rects: where the pinned blocks lie, by id.
    """
    ink, ground = QColor(canvas.look.scheme.ink), QColor(canvas.look.scheme.lane)
    for rect in rects.values():
        head = QPointF(rect.x + PIN_PX, rect.y + PIN_PX)
        canvas.painter.setPen(QPen(ink, 1.6))
        canvas.painter.drawLine(head, head + QPointF(0, 2.2 * PIN_PX))
        canvas.painter.setBrush(ground)
        canvas.painter.drawEllipse(head, PIN_PX * 0.8, PIN_PX * 0.8)
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
