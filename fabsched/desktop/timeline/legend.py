"""What the shapes mean, in as many rows as the width asks for."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QLineF
from PySide6.QtGui import QColor, QPainter, QPen

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import BLUE, PURPLE, SKY, Look, faded
from fabsched.desktop.timeline.shapes import draw_block, draw_hold, draw_tail, qrect
from fabsched.desktop.timeline.trace import BAR_PX
from fabsched.model.plan import Block, Kind
from fabsched.session.wording import phrase

SAMPLE_PX, FOOT_PX = 30.0, 6.0
"""Width of a sample and height of its foot."""

Sample = Callable[[QPainter, Look, Rect], None]


def _block(kind: Kind, *, attended: bool = False) -> Sample:
    block = Block(
        id="", activity="", kind=kind, what="", resource="", place="", start_s=0, end_s=1,
        attended=attended,
    )  # fmt: skip

    def draw(painter: QPainter, look: Look, rect: Rect) -> None:
        draw_block(painter, look, block, rect, FOOT_PX)

    return draw


def _tend(painter: QPainter, look: Look, rect: Rect) -> None:
    """A tab with its thread."""
    _block(Kind.TEND)(painter, look, Rect(x=rect.x + 8, y=rect.y + 5, w=14, h=rect.h - 5))
    painter.setPen(QPen(QColor(PURPLE), 1.4))
    painter.drawLine(QLineF(rect.x + 15, rect.y - 2, rect.x + 15, rect.y + 5))


def _hold(painter: QPainter, look: Look, rect: Rect) -> None:
    draw_hold(painter, look, rect, rect.h, clearing=True)


def _shade(painter: QPainter, look: Look, rect: Rect) -> None:
    painter.fillRect(qrect(rect), QColor(look.scheme.shut))
    painter.setPen(QPen(QColor(look.scheme.line), 1))
    painter.drawRect(qrect(rect))


def _skyline(painter: QPainter, look: Look, rect: Rect) -> None:
    del look
    for i, share in enumerate((0.35, 0.95, 0.6, 0.25)):
        wide = rect.w / 4
        high = rect.h * share
        step = Rect(x=rect.x + i * wide, y=rect.bottom - high, w=wide, h=high)
        painter.fillRect(qrect(step), faded(SKY, 0.85))


def _chain(painter: QPainter, look: Look, rect: Rect) -> None:
    """A bar over a plate."""
    painter.fillRect(qrect(rect), QColor(look.scheme.lane))
    painter.setPen(QPen(QColor(look.scheme.ink), BAR_PX))
    painter.drawLine(QLineF(rect.x, rect.y + 1, rect.right, rect.y + 1))


def _tail(painter: QPainter, look: Look, rect: Rect) -> None:
    """A foot that fades."""
    del look
    draw_tail(painter, QColor(BLUE), rect, rect.h / 2)


ENTRIES: tuple[tuple[Sample, str], ...] = (
    (_block(Kind.RUN), "legend-run"),
    (_block(Kind.RUN, attended=True), "legend-attended"),
    (_hold, "legend-hold"),
    (_tend, "legend-tend"),
    (_block(Kind.WORK), "legend-work"),
    (_block(Kind.GATE), "legend-gate"),
    (_block(Kind.TRAVEL), "legend-travel"),
    (_shade, "legend-shade"),
    (_chain, "legend-chain"),
    (_tail, "legend-tail"),
    (_skyline, "legend-skyline"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    sample: Sample
    text: str
    x: float
    row: int


def _places(look: Look, width_px: float) -> tuple[_Place, ...]:
    pad = look.small.line * 0.45
    places: list[_Place] = []
    x, row = 0.0, 0
    for sample, code in ENTRIES:
        text = phrase(code)
        wide = SAMPLE_PX + pad + look.small.width(text)
        if x and x + wide > width_px:
            x, row = 0.0, row + 1
        places.append(_Place(sample=sample, text=text, x=x, row=row))
        x += wide + 2.2 * pad
    return tuple(places)


def _row_px(look: Look) -> float:
    return round(look.small.line * 1.7)


def legend_px(look: Look, width_px: float) -> float:
    """Height it takes at that width."""
    return (_places(look, width_px)[-1].row + 1) * _row_px(look)


def draw_legend(painter: QPainter, look: Look, rect: Rect) -> None:
    """Draw it into a rectangle at least `legend_px` high."""
    row, line = _row_px(look), look.small.line
    high = line * 1.15
    for place in _places(look, rect.w):
        top = rect.y + place.row * row + (row - high) / 2
        left = rect.x + place.x
        place.sample(painter, look, Rect(x=left, y=top, w=SAMPLE_PX, h=high))
        painter.setFont(look.small.font)
        painter.setPen(QColor(look.scheme.ink))
        base = top + (high - line) / 2 + look.small.ascent
        painter.drawText(round(left + SAMPLE_PX + line * 0.45), round(base), place.text)
