"""Blocks too narrow for a shape of their own, drawn a kind at a time: many are drawn at once."""

from collections import defaultdict

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import Look
from fabsched.model.plan import Block, Kind

SLIM_PX = 5.0
"""Narrower blocks are drawn without the shape of their kind: it could not be seen."""


class Crowd:
    """Slim blocks of one lane: a plate, a foot and two sides each, whatever their kind."""

    def __init__(self, slot: Rect) -> None:
        """Nobody yet.

        Args:
            slot: where the blocks of the lane lie.
        """
        self._top, self._high = slot.y, slot.h
        self._wholes: defaultdict[tuple[Kind, bool], list[QRectF]] = defaultdict(list)
        self._looks: dict[tuple[Kind, bool], Block] = {}

    def add(self, block: Block, x: float, width: float) -> None:
        """Take a block in, by its left edge and its width."""
        key = block.kind, block.attended
        self._wholes[key].append(QRectF(x, self._top, width, self._high))
        self._looks[key] = block

    def draw(self, painter: QPainter, look: Look, foot_px: float) -> None:
        """Draw everybody.

        Args:
            painter: where.
            look: colours.
            foot_px: height of a foot.
        """
        # Edges on whole pixels: sharp, and several times as quick to fill.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(Qt.PenStyle.NoPen)
        for key, whole in self._wholes.items():
            painter.setBrush(look.pure(self._looks[key]))
            painter.drawRects(whole)
            painter.setBrush(look.plate(self._looks[key]))
            painter.drawRects([rect.adjusted(1, 0, -1, -foot_px) for rect in whole])
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
