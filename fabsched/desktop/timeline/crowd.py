"""Blocks too narrow for a shape of their own, drawn a kind at a time: many are drawn at once."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import Look
from fabsched.model.plan import Block, Kind

SLIM_PX = 5.0
"""Narrower blocks are drawn without the shape of their kind: it could not be seen."""


class Crowd:
    """Slim blocks of one lane: a plate, a foot and two sides each, whatever their kind."""

    def __init__(self) -> None:
        """Nobody yet."""
        self._kinds: dict[tuple[Kind, bool], tuple[Block, list[tuple[float, float]]]] = {}

    def add(self, block: Block, x: float, width: float) -> None:
        """Take a block in, by its left edge and its width."""
        key = (block.kind, block.attended)
        if key not in self._kinds:
            self._kinds[key] = (block, [])
        self._kinds[key][1].append((x, width))

    def draw(self, painter: QPainter, look: Look, slot: Rect, foot_px: float) -> None:
        """Draw everybody.

        Args:
            painter: where.
            look: colours.
            slot: where the blocks of the lane lie.
            foot_px: height of a foot.
        """
        high = slot.h - foot_px
        # Edges on whole pixels: sharp, and several times as quick to fill.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(Qt.PenStyle.NoPen)
        for block, spans in self._kinds.values():
            painter.setBrush(look.pure(block))
            painter.drawRects([QRectF(x, slot.y, w, slot.h) for x, w in spans])
            painter.setBrush(look.plate(block))
            painter.drawRects([QRectF(x + 1, slot.y, w - 2, high) for x, w in spans])
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
