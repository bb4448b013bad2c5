"""Time needed, setbacks included, against time left over the weekend: large, or at a glance."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from fabsched.desktop.odds.plot import Plot, inner
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import BLUE, SKY, VERMILLION, Look, faded, mixed
from fabsched.desktop.timeline.shapes import hatch, qrect
from fabsched.model.units import HOUR_S
from fabsched.odds.told import Outlook
from fabsched.session.clock import hour
from fabsched.session.wording import phrase

STEPS_H = (1, 2, 3, 6, 12, 24, 48, 96, 168)
"""Distances between marks of hours on the left."""
KEY = ("key-left", "key-half", "key-band", "key-late")
"""What the picture is explained by."""
SAMPLE_PX, TEXT_PX, APART_PX = 22, 28, 16
"""A sample in the key; where its text begins; between two of them."""
AIR = 1.12
"""The picture is so much higher than the most time that is needed or left."""


def draw_needed(
    painter: QPainter,
    look: Look,
    rect: Rect,
    outlooks: Sequence[Outlook],
    now_s: int,
    zone: ZoneInfo,
) -> None:
    """Draw time needed against time left.

    The band holds eight of ten weekends; where it lies above the line of time left it is late.

    Args:
        painter: an active painter.
        look: colours and fonts.
        rect: where.
        outlooks: in order, two at least.
        now_s: the present moment.
        zone: of the times that are shown.
    """
    if len(outlooks) < 2:
        return
    left_px = look.small.width("000 h") + 12.0
    places = key_places(look, rect.x + left_px, rect.right)
    area = inner(rect, look, left_px=left_px, lines=places[-1][1] + 1)
    plot = _plot(painter, look, area, outlooks, zone)
    top_s = most_s(outlooks)
    _hours(plot, top_s)
    _draw(plot, outlooks, top_s, width_px=2.2)
    _now(plot, now_s)
    plot.draw_hours()
    _key(plot, rect, places)


def draw_glance(
    painter: QPainter, look: Look, rect: Rect, outlooks: Sequence[Outlook], now_s: int
) -> None:
    """The same without words, to be seen at a glance."""
    if len(outlooks) < 2:
        return
    plot = _plot(painter, look, rect, outlooks, ZoneInfo("UTC"))
    _draw(plot, outlooks, most_s(outlooks), width_px=1.6)
    plot.line(QPointF(rect.x, rect.bottom), QPointF(rect.right, rect.bottom), look.scheme.line, 1.0)
    if plot.sees(now_s):
        plot.vertical(now_s, look.scheme.ink, 1.4)


def _plot(
    painter: QPainter, look: Look, area: Rect, outlooks: Sequence[Outlook], zone: ZoneInfo
) -> Plot:
    """From the first moment to the deadline, or to the last moment if that is later."""
    first, last = outlooks[0], outlooks[-1]
    end_s = max(first.moment_s + first.left_s, last.moment_s, first.moment_s + HOUR_S)
    return Plot(
        painter=painter, look=look, area=area, start_s=first.moment_s, end_s=end_s, zone=zone
    )


def most_s(outlooks: Sequence[Outlook]) -> float:
    """What the height of the picture stands for."""
    needed = [each.p90_s or 0 for each in outlooks]
    halves = [each.p50_s or 0 for each in outlooks]
    # a long tail must not press everything else flat
    most = max(min(max(needed), 1.4 * outlooks[0].left_s), *halves, outlooks[0].left_s)
    return AIR * max(most, HOUR_S)


def _draw(plot: Plot, outlooks: Sequence[Outlook], top_s: float, width_px: float) -> None:
    painter, look = plot.painter, plot.look
    painter.save()
    painter.setClipRect(qrect(plot.area), Qt.ClipOperation.IntersectClip)
    band = _band(plot, outlooks, top_s)
    path = QPainterPath()
    path.addPolygon(band)
    painter.fillPath(path, faded(SKY, 0.5))
    _late(plot, outlooks, path, top_s)
    lift = mixed(QColor(BLUE), QColor("#FFFFFF"), look.scheme.lift)
    painter.setPen(QPen(lift, width_px))
    painter.drawPolyline(_line(plot, outlooks, "p50_s", top_s))
    painter.setPen(QPen(QColor(look.scheme.ink), width_px))
    painter.drawLine(*_left(plot, outlooks, top_s))
    painter.restore()


def _y(plot: Plot, seconds: float, top_s: float) -> float:
    return plot.area.bottom - plot.area.h * seconds / top_s


def _line(plot: Plot, outlooks: Sequence[Outlook], name: str, top_s: float) -> list[QPointF]:
    """One of the points over time; what is never done lies above everything."""
    points = []
    for each in outlooks:
        seconds = getattr(each, name)
        y = _y(plot, 2 * top_s if seconds is None else max(0, seconds), top_s)
        points.append(QPointF(plot.x(each.moment_s), y))
    return points


def _band(plot: Plot, outlooks: Sequence[Outlook], top_s: float) -> QPolygonF:
    low, high = (_line(plot, outlooks, name, top_s) for name in ("p10_s", "p90_s"))
    return QPolygonF([*low, *reversed(high)])


def _left(plot: Plot, outlooks: Sequence[Outlook], top_s: float) -> tuple[QPointF, QPointF]:
    """Time left: it runs out evenly."""
    first = outlooks[0]
    end_s = first.moment_s + max(0, first.left_s)
    start = QPointF(plot.x(first.moment_s), _y(plot, max(0, first.left_s), top_s))
    return start, QPointF(plot.x(end_s), plot.area.bottom)


def _late(plot: Plot, outlooks: Sequence[Outlook], band: QPainterPath, top_s: float) -> None:
    """Hatch what of the band lies above the line of time left."""
    start, end = _left(plot, outlooks, top_s)
    area = plot.area
    above = QPainterPath()
    corners = [start, end, QPointF(area.right, area.bottom), QPointF(area.right, area.y)]
    above.addPolygon(QPolygonF([*corners, QPointF(area.x, area.y)]))
    plot.painter.save()
    plot.painter.setClipPath(band.intersected(above), Qt.ClipOperation.IntersectClip)
    plot.painter.fillRect(qrect(area), faded(VERMILLION, 0.25))
    hatch(plot.painter, [area], QColor(VERMILLION), 1.4)
    plot.painter.restore()


def _hours(plot: Plot, top_s: float) -> None:
    """Lines across at round hours, with their texts on the left."""
    look = plot.look
    room = plot.area.h / (1.6 * look.small.line)
    step = next((each for each in STEPS_H if top_s / HOUR_S / each <= room), STEPS_H[-1])
    for hours in range(0, int(top_s / HOUR_S) + 1, step):
        y = _y(plot, hours * HOUR_S, top_s)
        plot.line(QPointF(plot.area.x, y), QPointF(plot.area.right, y), look.scheme.line, 1.0)
        text = f"{hours} h"
        left = plot.area.x - 6 - look.small.width(text)
        plot.text(left, y - look.small.line / 2, text, look.small, look.scheme.faint)


def _now(plot: Plot, now_s: int) -> None:
    if not plot.sees(now_s):
        return
    plot.vertical(now_s, plot.look.scheme.ink, 2.0)
    look = plot.look
    text = phrase("mark-now", at=hour(now_s, plot.zone))
    wide = look.small.width(text) + 8
    x = plot.x(now_s)
    left = x if x + wide <= plot.area.right else x - wide
    rect = Rect(x=left, y=plot.area.y, w=wide, h=look.small.line + 2)
    plot.painter.fillRect(qrect(rect), QColor(look.scheme.ink))
    plot.text(left + 4, plot.area.y + 1, text, look.small, look.scheme.ground)


def key_places(look: Look, left: float, right: float) -> list[tuple[float, int]]:
    """Where each sample of the key begins, and in which row: as many rows as it needs."""
    x, row, places = left, 0, []
    for code in KEY:
        wide = TEXT_PX + look.small.width(phrase(code))
        if x > left and x + wide > right:
            x, row = left, row + 1
        places.append((x, row))
        x += wide + APART_PX
    return places


def _key(plot: Plot, rect: Rect, places: Sequence[tuple[float, int]]) -> None:
    """What the lines are, above the picture."""
    look = plot.look
    blue = mixed(QColor(BLUE), QColor("#FFFFFF"), look.scheme.lift)
    thick = look.small.line * 0.7
    styles = ((QColor(look.scheme.ink), 2.2), (blue, 2.2), (faded(SKY, 0.6), thick))
    for code, (x, row), style in zip(KEY, places, (*styles, None), strict=True):
        top = rect.y + row * look.small.line
        middle = top + look.small.line / 2
        if style is None:
            box = Rect(x=x, y=middle - thick / 2, w=SAMPLE_PX, h=thick)
            plot.painter.fillRect(qrect(box), faded(VERMILLION, 0.25))
            hatch(plot.painter, [box], QColor(VERMILLION), 1.4)
        else:
            plot.line(QPointF(x, middle), QPointF(x + SAMPLE_PX, middle), *style)
        plot.text(x + TEXT_PX, top, phrase(code), look.small, look.scheme.ink)
