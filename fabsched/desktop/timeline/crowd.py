"""Blocks too narrow for a shape of their own, drawn a kind at a time: many are drawn at once."""

from collections import defaultdict

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QPainter

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import Look
from fabsched.model.plan import Block

SLIM_PX = 5.0
"""Narrower blocks are drawn without the shape of their kind: it could not be seen."""


class Crowd:
    """Slim blocks of one lane: a plate, a foot and two sides each, whatever their kind."""

    def __init__(self, slot: Rect) -> None:
        """Nobody yet.

        Args:
            slot: where the blocks of the lane lie.
        """
        self._top, self._bottom = round(slot.y), round(slot.bottom)
        self._wholes: defaultdict[int, list[QRect]] = defaultdict(list)
        self._looks: dict[int, Block] = {}

    def add(self, block: Block, sort: int, x: float, width: float) -> None:
        """Take a block in, by its left edge and its width; blocks of a sort look alike."""
        left, right = int(x + 0.5), int(x + width + 0.5)
        self._wholes[sort].append(QRect(left, self._top, right - left, self._bottom - self._top))
        self._looks[sort] = block

    def draw(self, painter: QPainter, look: Look, foot_px: float) -> None:
        """Draw everybody.

        Args:
            painter: where.
            look: colours.
            foot_px: height of a foot.
        """
        # Edges on whole pixels: sharp, and several times as quick to fill.
        low = -round(foot_px)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(Qt.PenStyle.NoPen)
        for sort, whole in self._wholes.items():
            painter.setBrush(look.pure(self._looks[sort]))
            painter.drawRects(whole)
            painter.setBrush(look.plate(self._looks[sort]))
            painter.drawRects([rect.adjusted(1, 0, -1, low) for rect in whole])
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
