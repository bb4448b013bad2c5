"""What is drawn over the timeline for one block: what it waits for, and how late it may start."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from fabsched.desktop.timeline.canvas import Canvas
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import faded
from fabsched.desktop.timeline.marks import draw_latest
from fabsched.desktop.timeline.paint import block_rect, inner
from fabsched.desktop.timeline.shapes import qrect
from fabsched.model.plan import Block
from fabsched.session.clock import short
from fabsched.session.wording import phrase

ARROW_PX = 5.0
"""Length of the head of an arrow."""


@dataclass(frozen=True, slots=True)
class Ghost:
    """A block held by hand.

    Attributes:
        ident: its id.
        start_s: when it would start.
        text: what is said of that.
        blocks: what would become of all blocks; empty while that is not known.
    """

    ident: str
    start_s: int
    text: str
    blocks: tuple[Block, ...] = ()


def paint_over(canvas: Canvas, selected: str, hovered: str, ghost: Ghost | None = None) -> None:
    """Mark the selected block by a ring, and show what hangs on the one that is looked at.

    Args:
        canvas: where everything else has been drawn.
        selected: id of a block; empty for none.
        hovered: id of the block under the pointer, which is looked at before the selected one.
        ghost: a block held by hand.
    """
    painter = canvas.painter
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setClipRect(inner(canvas))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if (block := canvas.scene.block(hovered or selected)) is not None:
        _needs(canvas, block)
        _last_start(canvas, block)
    if (rect := _rect_of(canvas, selected)) is not None:
        painter.setPen(QPen(QColor(canvas.look.scheme.ink), 2.0))
        painter.drawRoundedRect(qrect(rect).adjusted(-3, -3, 3, 3), 4, 4)
    if ghost is not None:
        _ghost(canvas, ghost)
    painter.restore()
    if block is not None and block.last_start_s is not None:
        # Above the lanes: in them it would cover the names and numbers of blocks.
        text = phrase("flag-latest", at=short(block.last_start_s, canvas.scene.zone, block.start_s))
        draw_latest(canvas, canvas.scale.x(block.last_start_s), text)


def _rect_of(canvas: Canvas, ident: str) -> Rect | None:
    """Where a block lies; None if there is none of that id."""
    index, block = canvas.scene.lane_of(ident), canvas.scene.block(ident)
    if index is None or block is None:
        return None
    return block_rect(canvas, canvas.frame.slot(index), block.start_s, block.end_s)


def _ghost(canvas: Canvas, ghost: Ghost) -> None:
    """Outlines of where blocks would come to lie, the one held by hand the strongest."""
    index, block = canvas.scene.lane_of(ghost.ident), canvas.scene.block(ghost.ident)
    if index is None or block is None:
        return
    lanes = {lane.id: number for number, lane in enumerate(canvas.scene.lanes)}
    canvas.painter.setPen(QPen(faded(canvas.look.scheme.ink, 0.55), 1.0, Qt.PenStyle.DotLine))
    for other in ghost.blocks:
        known = canvas.scene.block(other.id)
        if other.resource in lanes and (known is None or known.start_s != other.start_s):
            slot = canvas.frame.slot(lanes[other.resource])
            rect = block_rect(canvas, slot, other.start_s, other.end_s)
            canvas.painter.drawRect(qrect(rect))
    end_s = ghost.start_s + block.end_s - block.start_s
    slot = canvas.frame.slot(index)
    held = block_rect(canvas, slot, ghost.start_s, end_s)
    canvas.painter.setPen(QPen(QColor(canvas.look.scheme.ink), 2.0, Qt.PenStyle.DashLine))
    canvas.painter.setBrush(faded(canvas.look.pure(block), 0.25))
    canvas.painter.drawRect(qrect(held))
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    _tag(canvas, held.x, slot.y + canvas.sizes.small, ghost.text)


def _needs(canvas: Canvas, block: Block) -> None:
    """A curve with an arrow from the end of everything a block waits for."""
    target = _rect_of(canvas, block.id)
    ends = [canvas.scene.ends.get(activity, "") for activity in block.needs]
    for ident in ends:
        source = _rect_of(canvas, ident) if ident != block.id else None
        if source is not None and target is not None:
            _curve(canvas, source, target)


def _curve(canvas: Canvas, source: Rect, target: Rect) -> None:
    start = QPointF(source.right, source.y + source.h * 0.35)
    end = QPointF(target.x - 1, target.y + target.h * 0.35)
    reach = max(18.0, abs(end.x() - start.x()) * 0.4)
    path = QPainterPath(start)
    path.cubicTo(start + QPointF(reach, 0), end - QPointF(reach, 0), end)
    for colour, width in ((canvas.look.scheme.lane, 4.5), (canvas.look.scheme.ink, 1.6)):
        canvas.painter.setPen(QPen(faded(colour, 0.9), width))
        canvas.painter.drawPath(path)
    for side in (-1, 1):
        canvas.painter.drawLine(end, end + QPointF(-ARROW_PX, side * ARROW_PX * 0.7))


def _last_start(canvas: Canvas, block: Block) -> None:
    """A post at the latest start of a block, joined to the start that is planned."""
    index = canvas.scene.lane_of(block.id)
    if block.last_start_s is None or index is None:
        return
    slot, ink = canvas.frame.slot(index), QColor(canvas.look.scheme.ink)
    start, last = canvas.scale.x(block.start_s), canvas.scale.x(block.last_start_s)
    y = slot.y - canvas.sizes.pad / 2
    canvas.painter.setPen(QPen(ink, 1.2, Qt.PenStyle.DashLine))
    canvas.painter.drawLine(QPointF(start, y), QPointF(last, y))
    canvas.vertical(last, slot.y - canvas.sizes.pad, slot.bottom, canvas.look.scheme.ink, 2.0)
    canvas.painter.setPen(QPen(faded(ink, 0.6), 1.0, Qt.PenStyle.DotLine))
    canvas.painter.drawLine(QPointF(last, canvas.sizes.scale), QPointF(last, slot.y))


def _plate(canvas: Canvas, x: float, top: float, text: str) -> QRectF:
    """Where a text beside a post lies; to its left where the right edge is near."""
    face = canvas.look.small
    wide = face.width(text) + canvas.sizes.pad
    left = x + 2 if x + 2 + wide <= canvas.scale.right_px else x - 2 - wide
    return QRectF(left, top, wide, face.line)


def _tag(canvas: Canvas, x: float, top: float, text: str) -> None:
    """A text on a plate beside a post."""
    face, pad = canvas.look.small, canvas.sizes.pad
    plate = _plate(canvas, x, top, text)
    canvas.painter.fillRect(plate, faded(canvas.look.scheme.ground, 0.92))
    canvas.text(plate.left() + pad / 2, top, text, face, canvas.look.scheme.ink)
