"""When all is likely done: how many simulated weekends end when, and the deadline."""

from collections.abc import Iterator
from itertools import pairwise
from zoneinfo import ZoneInfo

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter

from fabsched.desktop.odds.plot import Plot, inner
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import SKY, VERMILLION, Look, faded
from fabsched.desktop.timeline.shapes import draw_wall, hatch, qrect
from fabsched.model.plan import Odds
from fabsched.model.units import HOUR_S
from fabsched.session.clock import short, up
from fabsched.session.wording import phrase, share

SHOWN = 0.99
"""The picture ends where so many of the weekends are done, or at the deadline."""
AFTER = 0.5
"""It goes on after the deadline for so much of what lies before it at most (our own choice)."""
WALL_PX = 12.0
"""Thickness of the wall at the deadline."""


def draw_spread(
    painter: QPainter, look: Look, rect: Rect, odds: Odds, deadline_s: int, zone: ZoneInfo
) -> None:
    """Draw the distribution of the finish.

    Args:
        painter: an active painter.
        look: colours and fonts.
        rect: where.
        odds: what was simulated.
        deadline_s: the wall.
        zone: of the times that are shown.
    """
    start_s, end_s = span_of(odds, deadline_s)
    area = inner(rect, look)
    plot = Plot(painter=painter, look=look, area=area, start_s=start_s, end_s=end_s, zone=zone)
    _bars(plot, odds, deadline_s)
    plot.draw_hours()
    _quantiles(plot, odds)
    _deadline(plot, rect, deadline_s)
    _beyond(plot, rect, odds)


def span_of(odds: Odds, deadline_s: int) -> tuple[int, int]:
    """From and to which moment the picture goes."""
    bins = odds.finishes_s
    if not bins:
        return deadline_s - 12 * HOUR_S, deadline_s + HOUR_S
    wide_s = bin_s(bins)
    pad_s = max(wide_s, HOUR_S)
    last_s = bins[-1][0]
    counted = 0
    for moment_s, count in bins:
        counted += count
        if counted >= SHOWN * odds.scenarios:
            last_s = moment_s
            break
    first_s = min(bins[0][0], deadline_s) - pad_s
    most_s = deadline_s + AFTER * (deadline_s - first_s)
    return first_s, round(min(max(last_s + wide_s, deadline_s), most_s)) + 2 * pad_s


def bin_s(bins: tuple[tuple[int, int], ...]) -> int:
    """Width of a bar: the smallest distance between two."""
    return min((after - before for (before, _), (after, _) in pairwise(bins)), default=HOUR_S)


def _bars(plot: Plot, odds: Odds, deadline_s: int) -> None:
    bins = odds.finishes_s
    if not bins:
        text = phrase("half-never")
        plot.text(plot.area.x, plot.area.y, text, plot.look.font, plot.look.scheme.ink)
        return
    tallest, wide_s = max(count for _, count in bins), bin_s(bins)
    for start_s, count in bins:
        high = plot.area.h * count / tallest
        for late, from_s, to_s in _split(start_s, min(start_s + wide_s, plot.end_s), deadline_s):
            left = plot.x(from_s)
            width = max(1.0, plot.x(to_s) - left - 0.6)
            _bar(plot, Rect(x=left, y=plot.area.bottom - high, w=width, h=high), late=late)


def _split(start_s: float, end_s: float, wall_s: int) -> Iterator[tuple[bool, float, float]]:
    """A bar in up to two pieces, before and after the deadline."""
    if start_s < wall_s:
        yield False, start_s, min(end_s, wall_s)
    if end_s > max(start_s, wall_s):
        yield True, max(start_s, wall_s), end_s


def _bar(plot: Plot, rect: Rect, *, late: bool) -> None:
    colour = QColor(VERMILLION if late else SKY)
    plot.painter.fillRect(qrect(rect), faded(colour, 0.25 if late else 0.85))
    if late:
        hatch(plot.painter, [rect], colour, 1.6)


def _quantiles(plot: Plot, odds: Odds) -> None:
    """Marks with texts above, each on the first of two lines where it has room, or moved aside."""
    look = plot.look
    marks = ((odds.p10_s, "one-in-ten"), (odds.p50_s, "half"), (odds.p90_s, "nine-in-ten"))
    seen = [(moment_s, code) for moment_s, code in marks if moment_s and plot.sees(moment_s)]
    for moment_s, code in seen:
        x = plot.x(moment_s)
        top = QPointF(x, plot.area.y - 4.0)
        width = 1.6 if code == "half" else 1.0
        plot.line(top, QPointF(x, plot.area.bottom), look.scheme.ink, width)
    ends = [plot.area.x - 12.0] * 2
    for moment_s, code in seen:
        since_s = int(plot.start_s)
        text = phrase(f"mark-{code}", by=short(up(moment_s), plot.zone, since_s))
        wide = look.small.width(text)
        left = min(max(plot.x(moment_s) - wide / 2, plot.area.x), plot.area.right - wide)
        row = next((row for row in (1, 0) if ends[row] + 10.0 <= left), ends.index(min(ends)))
        left = max(left, ends[row] + 10.0)
        ends[row] = left + wide
        plot.text(
            left, plot.area.y - 4.0 - (2 - row) * look.small.line, text, look.small, look.scheme.ink
        )


def _deadline(plot: Plot, rect: Rect, deadline_s: int) -> None:
    """The wall, and what it is."""
    look, x = plot.look, plot.x(deadline_s)
    draw_wall(plot.painter, look, Rect(x=x, y=plot.area.y, w=WALL_PX, h=plot.area.h))
    text = phrase("mark-deadline")
    left = min(x + WALL_PX + 4.0, rect.right - look.small.width(text))
    plot.painter.fillRect(
        qrect(Rect(x=left - 2, y=plot.area.y, w=look.small.width(text) + 4, h=look.small.line)),
        QColor(look.scheme.ground),
    )
    plot.text(left, plot.area.y, text, look.small, look.scheme.ink)


def _beyond(plot: Plot, rect: Rect, odds: Odds) -> None:
    """How many weekends end after what is shown."""
    seen = sum(count for moment_s, count in odds.finishes_s if moment_s < plot.end_s)
    left_out = 1 - seen / max(1, odds.scenarios)
    if odds.finishes_s and left_out > 0:
        text = phrase("mark-beyond", share=share(left_out))
        left = rect.right - plot.look.small.width(text)
        top = plot.area.y + plot.look.small.line + 2
        plot.text(left, top, text, plot.look.small, plot.look.scheme.faint)
