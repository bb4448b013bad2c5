"""Numbers under narrow blocks, and the list that says what they stand for."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from fabsched.desktop.clock import day_text, span_text
from fabsched.desktop.timeline.canvas import LEAST_PX, Canvas, upright_marks
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import Look, faded
from fabsched.desktop.timeline.numbers import kept, spread
from fabsched.desktop.timeline.scene import Scene
from fabsched.model.plan import Block
from fabsched.session.clock import up

GAP_PX = 5.0
"""Between two numbers."""
FAR_PX = 42.0
"""A number that cannot stand so near to its block is left out (our own choice)."""
CROWDED = 1.5
"""With more than so many times the numbers a lane has room for, none is written (our own choice)."""
MOST_LINES = 36.0
"""Longer steps are cut: so wide is a column at most, in heights of its lines (our own choice)."""


def draw_numbers(canvas: Canvas, slot: Rect, nameless: Sequence[tuple[Block, float]]) -> None:
    """Write the numbers of some blocks under them, each with a line that leads to its block.

    Where most of them would find no place, they are left to a closer look. Where only a piece of
    the view is drawn they are left to the whole, since each makes room for all others.

    Args:
        canvas: where.
        slot: where the blocks of the lane lie.
        nameless: blocks without a name and their middles, in order of start.
    """
    room = canvas.scale.width_px / (canvas.look.small.width("00") + GAP_PX)
    if canvas.lit_s or len(nameless) > room * CROWDED:
        return
    for left, right in _gaps(canvas):
        here = [entry for entry in nameless if left <= entry[1] < right]
        _draw_row(canvas, slot, here, left, right)


def _gaps(canvas: Canvas) -> tuple[tuple[float, float], ...]:
    """The stretches between the edges of the view and its upright marks, without air."""
    scale = canvas.scale
    cuts = sorted((start + end) / 2 for start, end in upright_marks(canvas))
    inner = [cut for cut in cuts if scale.left_px < cut < scale.right_px]
    return tuple(pairwise([scale.left_px - LEAST_PX, *inner, scale.right_px + LEAST_PX]))


def _draw_row(
    canvas: Canvas, slot: Rect, nameless: Sequence[tuple[Block, float]], left: float, right: float
) -> None:
    """Write the numbers that stand between two x."""
    face = canvas.look.small
    texts = [str(canvas.scene.numbers[block.id]) for block, _ in nameless]
    middles = [middle for _, middle in nameless]
    widths = [face.width(text) + GAP_PX for text in texts]
    wanted = [middle - width / 2 for middle, width in zip(middles, widths, strict=True)]
    start, end = _clear_of_marks(canvas, left, right)
    order = kept(wanted, widths, FAR_PX, start, end)
    chosen = [(wanted[index], widths[index]) for index in order]
    lefts = spread([at for at, _ in chosen], [width for _, width in chosen], start, end)
    for index, at in zip(order, lefts, strict=True):
        number = Rect(x=at, y=slot.bottom, w=widths[index], h=canvas.sizes.rail)
        _number(canvas, texts[index], middles[index], number)


def _clear_of_marks(canvas: Canvas, left: float, right: float) -> tuple[float, float]:
    """The same stretch without what the marks at its ends take up."""
    for start, end in upright_marks(canvas):
        left = end if start <= left < end else left
        right = start if start < right <= end else right
    return left, right


def _number(canvas: Canvas, text: str, middle: float, rect: Rect) -> None:
    """One number, at the foot of its rectangle, and the line to its block."""
    look, top = canvas.look, rect.bottom - canvas.sizes.small
    plate = QRectF(rect.x + GAP_PX / 2 - 1, top + 1, rect.w - GAP_PX + 2, canvas.sizes.small - 1)
    canvas.painter.setPen(QPen(QColor(look.scheme.faint), 1.0))
    canvas.painter.drawLine(
        QPointF(middle, rect.y + 1), QPointF(rect.x + rect.w / 2, top + canvas.sizes.pad / 4)
    )
    canvas.painter.fillRect(plate, faded(look.scheme.lane, 0.75))
    canvas.text(rect.x + GAP_PX / 2, top, text, look.small, look.scheme.ink)


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of the list: a day, or a step with its number and times."""

    text: str
    number: str = ""
    times: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """The list laid out.

    Attributes:
        columns: lines of each column.
        width_px: of a column.
        height_px: of the list.
    """

    columns: tuple[tuple[_Line, ...], ...]
    width_px: float
    height_px: float


def key_of(scene: Scene, look: Look, width_px: float) -> Key:
    """Lay the list of all steps out in as many columns as fit a width."""
    lines = tuple(_lines(scene))
    longest = max((look.small.width(line.text) for line in lines), default=0.0)
    wanted = min(_indent(look) + longest + 2 * look.small.line, MOST_LINES * look.small.line)
    count = max(1, int(width_px // wanted))
    rows = ceil(len(lines) / count)
    columns = tuple(lines[start : start + rows] for start in range(0, len(lines), max(1, rows)))
    return Key(columns=columns, width_px=width_px / count, height_px=rows * _row_px(look))


def _row_px(look: Look) -> float:
    return round(look.small.line * 1.25)


def _lines(scene: Scene) -> Iterator[_Line]:
    """The steps, each day under its name."""
    last = ""
    for step in scene.steps:
        day = day_text(up(step.block.start_s), scene.zone)
        if day != last:
            yield _Line(day)
        last = day
        times = span_text(step.block.start_s, step.block.end_s, scene.zone)
        yield _Line(step.told, str(step.number), times)


def draw_key(painter: QPainter, look: Look, key: Key, x: float, top: float) -> None:
    """Draw the list with its upper left corner at a point."""
    for index, lines in enumerate(key.columns):
        for row, line in enumerate(lines):
            left, at = x + index * key.width_px, top + row * _row_px(look)
            _draw_line(painter, look, line, Rect(x=left, y=at, w=key.width_px, h=_row_px(look)))


def _indent(look: Look) -> float:
    """Where the steps stand: behind their numbers and times."""
    return look.small.width("000") + look.small.width("00:00\u201300:00") + look.small.line


def _draw_line(painter: QPainter, look: Look, line: _Line, rect: Rect) -> None:
    pad = look.small.line * 0.5
    first, second = look.small.width("000") + pad, _indent(look)
    base = rect.y + look.small.ascent
    if not line.number:
        painter.setFont(look.bold_small.font)
        painter.setPen(QColor(look.scheme.ink))
        painter.drawText(QPointF(rect.x, base), line.text)
        return
    painter.setFont(look.small.font)
    painter.setPen(QColor(look.scheme.ink))
    right = rect.x + first - pad - look.small.width(line.number)
    painter.drawText(QPointF(right, base), line.number)
    told = look.small.fitted(line.text, rect.w - second - pad)
    painter.drawText(QPointF(rect.x + second, base), told)
    painter.setPen(QColor(look.scheme.faint))
    painter.drawText(QPointF(rect.x + first, base), line.times)
