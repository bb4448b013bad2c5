"""What setbacks cost, as bars."""

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter, QPen

from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import VERMILLION, Look, mixed
from fabsched.desktop.timeline.shapes import qrect
from fabsched.session.odds_words import points_text


def draw_cost(
    painter: QPainter, look: Look, rect: Rect, cost: float, most: float, name: str = VERMILLION
) -> None:
    """Draw a bar with its number behind it.

    Args:
        painter: an active painter.
        look: colours and fonts.
        rect: where.
        cost: chance lost, 0 to 1.
        most: the cost whose bar takes all there is.
        name: its colour.
    """
    text = cost_text(cost)
    room = rect.w - look.small.width(widest()) - 12
    wide = max(2.0, room * max(0.0, cost) / max(most, 1e-9))
    high = min(rect.h, look.small.line)
    bar = Rect(x=rect.x, y=rect.y + (rect.h - high) / 2, w=wide, h=high)
    colour = mixed(QColor(name), QColor("#FFFFFF"), look.scheme.lift)
    painter.fillRect(qrect(bar), mixed(QColor(look.scheme.ground), colour, 0.75))
    painter.setPen(QPen(colour, 1.2))
    painter.drawRect(qrect(bar))
    painter.setFont(look.small.font)
    painter.setPen(QColor(look.scheme.ink))
    painter.drawText(QPointF(bar.right + 6, bar.y + look.small.ascent), text)


def widest() -> str:
    """The longest number a cost can have, in the language that is spoken."""
    return points_text(1.0)


def cost_text(cost: float) -> str:
    """A cost in points of a hundred.

    >>> cost_text(0.034), cost_text(0.012)
    ('3 points', '1 point')
    """
    return points_text(cost)
