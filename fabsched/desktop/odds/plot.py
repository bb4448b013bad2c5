"""A picture with time along x: where moments lie, and the marks under them."""

from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from fabsched.desktop.timeline.face import Face
from fabsched.desktop.timeline.geometry import Rect, step_s, ticks
from fabsched.desktop.timeline.look import Look
from fabsched.session.clock import short

MARK_PX = 74.0
"""Marks of hours lie at least so far apart (our own choice)."""
LEFT_PX, RIGHT_PX = 8.0, 26.0
"""Room beside what is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A painter with what lies where.

    Attributes:
        painter: an active painter.
        look: colours and fonts.
        area: where things are drawn; marks and texts lie around it.
        start_s, end_s: moments at its left and right edge.
        zone: of the times that are shown.
    """

    painter: QPainter
    look: Look
    area: Rect
    start_s: float
    end_s: float
    zone: ZoneInfo

    @property
    def px_s(self) -> float:
        """Pixels in a second."""
        return self.area.w / max(1.0, self.end_s - self.start_s)

    def x(self, moment_s: float) -> float:
        """Where a moment lies."""
        return self.area.x + (moment_s - self.start_s) * self.px_s

    def sees(self, moment_s: float) -> bool:
        """Whether a moment lies inside."""
        return self.start_s <= moment_s <= self.end_s

    def text(self, x: float, top: float, text: str, face: Face, colour: str) -> None:
        """Write a line of text."""
        self.painter.setFont(face.font)
        self.painter.setPen(QColor(colour))
        self.painter.drawText(QPointF(x, top + face.ascent), text)

    def line(self, start: QPointF, end: QPointF, colour: str | QColor, width: float) -> None:
        """Draw a straight line."""
        cap = Qt.PenCapStyle.FlatCap
        self.painter.setPen(QPen(QColor(colour), width, Qt.PenStyle.SolidLine, cap))
        self.painter.drawLine(start, end)

    def vertical(self, moment_s: float, colour: str | QColor, width: float) -> None:
        """A line from top to bottom at a moment."""
        x = self.x(moment_s)
        self.line(QPointF(x, self.area.y), QPointF(x, self.area.bottom), colour, width)

    def draw_hours(self) -> None:
        """Marks of round hours under the picture."""
        look, base = self.look, self.area.bottom
        self.line(
            QPointF(self.area.x, base), QPointF(self.area.right, base), look.scheme.faint, 1.0
        )
        end = self.area.x - LEFT_PX
        for moment_s, text in self._marks():
            x = self.x(moment_s)
            self.line(QPointF(x, base), QPointF(x, base + 4), look.scheme.faint, 1.0)
            left = x - look.small.width(text) / 2
            if left >= end and x + look.small.width(text) / 2 <= self.area.right + RIGHT_PX:
                self.text(left, base + 5, text, look.small, look.scheme.faint)
                end = left + look.small.width(text) + 8

    def _marks(self) -> Iterator[tuple[int, str]]:
        every_s = step_s(self.px_s, MARK_PX)
        for tick in ticks(self.zone, self.start_s, self.end_s, every_s):
            yield tick.moment_s, short(tick.moment_s, self.zone)


def inner(rect: Rect, look: Look, *, left_px: float = LEFT_PX, lines: int = 2) -> Rect:
    """The area of a plot inside a rectangle.

    Args:
        rect: all of it.
        look: whose fonts are used.
        left_px: room on the left.
        lines: lines of small text above; one is below.
    """
    top = lines * look.small.line + 6.0
    foot = look.small.line + 8.0
    high = max(10.0, rect.h - top - foot)
    return Rect(
        x=rect.x + left_px, y=rect.y + top, w=max(10.0, rect.w - left_px - RIGHT_PX), h=high
    )
