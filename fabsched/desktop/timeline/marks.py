"""Marks over all lanes: the present moment, the deadline, and where the finish is likely."""

from collections.abc import Iterable
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QLinearGradient, QPainter, QPen

from fabsched.desktop.timeline.canvas import Canvas, trials_text, wall_px
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import SKY, VERMILLION, faded
from fabsched.desktop.timeline.shapes import draw_wall, hatch, qrect
from fabsched.model.units import HOUR_S
from fabsched.session.clock import short, up
from fabsched.session.wording import phrase

LIKELY = 0.34
"""Opacity of the band of likely finishes where it is strongest."""

BEYOND = 0.66
"""How much the time outside the weekend is dulled."""


def draw_beyond(canvas: Canvas) -> None:
    """Dull the time before the beginning and after the deadline: it cannot be used."""
    scene, scale = canvas.scene, canvas.scale
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    for start_s, end_s in (
        (scale.start_s, scene.begin_s),
        (scene.deadline_s, scale.end_s),
    ):
        if canvas.sees(start_s, end_s):
            rect = canvas.column(start_s, end_s, canvas.sizes.scale, canvas.frame.finish.y)
            canvas.painter.fillRect(qrect(rect), faded(canvas.look.scheme.ground, BEYOND))
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing)


def draw_finish(canvas: Canvas) -> None:
    """The strip under the lanes: how many weekends are done by when."""
    strip = canvas.frame.finish
    ground = canvas.column(canvas.scale.start_s, canvas.scale.end_s, strip.y, strip.bottom)
    canvas.painter.fillRect(qrect(ground), QColor(canvas.look.scheme.ground))
    base = strip.bottom - canvas.sizes.small - canvas.sizes.pad
    top = strip.y + canvas.sizes.pad
    _likely(canvas, top, base)
    _skyline(canvas, top, base)
    canvas.painter.setPen(QPen(QColor(canvas.look.scheme.faint), 1))
    canvas.painter.drawLine(
        QPointF(canvas.scale.left_px, base), QPointF(canvas.scale.right_px, base)
    )
    _quantiles(canvas, top, base)


def _likely(canvas: Canvas, top: float, base: float) -> None:
    """A soft band from the 10 % to the 90 % point of the finish, strongest at its middle."""
    odds, scale = canvas.scene.odds, canvas.scale
    if odds.p10_s is None:
        return
    end_s = canvas.scene.horizon_s if odds.p90_s is None else odds.p90_s
    middle_s = end_s if odds.p50_s is None else odds.p50_s
    if not canvas.sees(odds.p10_s, end_s):
        return
    fade = QLinearGradient(QPointF(scale.x(odds.p10_s), 0), QPointF(scale.x(end_s), 0))
    share = (middle_s - odds.p10_s) / max(1, end_s - odds.p10_s)
    for at, strength in ((0.0, 0.4), (min(max(share, 0.01), 0.99), 1.0), (1.0, 0.4)):
        fade.setColorAt(at, faded(SKY, LIKELY * strength))
    canvas.painter.fillRect(qrect(canvas.column(odds.p10_s, end_s, top, base)), fade)


def _skyline(canvas: Canvas, top: float, base: float) -> None:
    """A step for every bin of the histogram; those after the deadline are hatched."""
    bins = canvas.scene.odds.finishes_s
    if not bins:
        return
    wide_s = _bin_s(bins)
    tallest = max(count for _, count in bins)
    steps: dict[bool, list[Rect]] = {False: [], True: []}
    for start_s, count in bins:
        high = (base - top) * count / tallest
        for late, (from_s, to_s) in _split(start_s, start_s + wide_s, canvas.scene.deadline_s):
            if canvas.sees(from_s, to_s):
                steps[late].append(canvas.column(from_s, to_s, base - high, base))
    _steps(canvas, steps[False], faded(SKY, 0.85))
    _steps(canvas, steps[True], faded(VERMILLION, 0.25))
    hatch(canvas.painter, steps[True], QColor(VERMILLION), 1.6)


def _bin_s(bins: tuple[tuple[int, int], ...]) -> int:
    """Width of a bin: the smallest distance between two."""
    gaps = [after - before for (before, _), (after, _) in pairwise(bins)]
    return min(gaps, default=HOUR_S)


def _split(start_s: int, end_s: int, wall_s: int) -> Iterable[tuple[bool, tuple[int, int]]]:
    """A bin in up to two pieces, before and after the deadline."""
    if start_s < wall_s:
        yield False, (start_s, min(end_s, wall_s))
    if end_s > wall_s:
        yield True, (max(start_s, wall_s), end_s)


def _steps(canvas: Canvas, rects: list[Rect], colour: QColor) -> None:
    """Fill steps of one colour, on whole pixels: sharp, and several times as quick to fill."""
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    canvas.painter.setPen(Qt.PenStyle.NoPen)
    canvas.painter.setBrush(colour)
    canvas.painter.drawRects([qrect(rect) for rect in rects])
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing)


def _quantiles(canvas: Canvas, top: float, base: float) -> None:
    """Mark by when five, nine and one of ten weekends are done; texts without room are left."""
    odds, look = canvas.scene.odds, canvas.look
    taken: list[tuple[float, float]] = []
    for moment_s, code in (
        (odds.p50_s, "mark-half"),
        (odds.p90_s, "mark-nine-in-ten"),
        (odds.p10_s, "mark-one-in-ten"),
    ):
        if moment_s is None or not canvas.sees(moment_s, moment_s + 1):
            continue
        x = canvas.scale.x(moment_s)
        canvas.vertical(x, top, base + canvas.sizes.pad / 2, look.scheme.ink, 1.0)
        text = phrase(code, by=short(up(moment_s), canvas.scene.zone))
        left = _free_left(canvas, x, look.small.width(text), taken)
        if left is not None:
            taken.append((left, left + look.small.width(text)))
            canvas.text(left, base + canvas.sizes.pad / 2, text, look.small, look.scheme.ink)


def _free_left(
    canvas: Canvas, x: float, wide: float, taken: list[tuple[float, float]]
) -> float | None:
    """Where a text under a mark may begin: centred, or moved aside as long as it touches it."""
    least, most = canvas.scale.left_px, canvas.scale.right_px - wide
    gap = canvas.sizes.pad
    wanted = [x - wide / 2]
    wanted += [right + gap for _, right in taken] + [left - gap - wide for left, _ in taken]
    for left in (min(max(left, least), most) for left in wanted):
        apart = all(left + wide + gap <= a or b + gap <= left for a, b in taken)
        if apart and left <= x <= left + wide:
            return left
    return None


def finish_name(canvas: Canvas) -> None:
    """What the strip shows, on the left."""
    strip, sizes, look = canvas.frame.finish, canvas.sizes, canvas.look
    room = canvas.scale.left_px - 3 * sizes.pad
    top = strip.y + sizes.pad
    canvas.text(2 * sizes.pad, top, phrase("done-by"), look.bold, look.scheme.ink)
    note = trials_text(canvas.scene)
    short = look.small.fitted(note, room)
    canvas.text(2 * sizes.pad, top + sizes.line, short, look.small, look.scheme.faint)


def draw_deadline(canvas: Canvas) -> None:
    """The wall at the deadline, with its flag above the lanes."""
    scale, scene = canvas.scale, canvas.scene
    x = scale.x(scene.deadline_s)
    if not scale.left_px <= x <= scale.right_px:
        return
    top = canvas.sizes.scale - canvas.sizes.pad
    base = canvas.frame.finish.bottom - canvas.sizes.small - canvas.sizes.pad
    bottom = min(base, canvas.height_px)
    width = min(wall_px(canvas), scale.right_px - x)
    draw_wall(canvas.painter, canvas.look, Rect(x=x, y=top, w=width, h=bottom - top))
    _flag(canvas, _flag_rect(canvas, x, _deadline_text(canvas)), _deadline_text(canvas))


def draw_now(canvas: Canvas) -> None:
    """A line at the present moment, with its flag above the lanes."""
    scale = canvas.scale
    x = scale.x(canvas.now_s)
    if not scale.left_px <= x <= scale.right_px:
        return
    bottom = min(canvas.frame.finish.y, canvas.height_px)
    canvas.vertical(x, canvas.sizes.scale - canvas.sizes.pad, bottom, canvas.look.scheme.ink, 2.0)
    _flag(canvas, _flag_rect(canvas, x, _now_text(canvas)), _now_text(canvas), filled=True)


def draw_latest(canvas: Canvas, x: float, text: str) -> None:
    """A flag above the lanes, where it covers no name and no number, for a post in one of them.

    Args:
        canvas: where.
        x: where the post stands; no flag where that is out of sight.
        text: what the flag says.
    """
    if canvas.scale.left_px <= x <= canvas.scale.right_px:
        _flag(canvas, latest_rect(canvas, x, text), text)


def latest_rect(canvas: Canvas, x: float, text: str) -> QRectF:
    """Where such a flag hangs: on its post, or as near to it as the other flags let it."""
    rect, taken = _flag_rect(canvas, x, text), flag_rects(canvas)
    gap, wide = canvas.sizes.pad / 2, rect.width()
    wanted = [rect.left(), x - wide]
    wanted += [other.right() + gap for other in taken]
    wanted += [other.left() - gap - wide for other in taken]
    free = [
        left
        for left in wanted
        if canvas.scale.left_px <= left <= canvas.scale.right_px - wide
        and not any(other.intersects(QRectF(left, rect.top(), wide, 1)) for other in taken)
    ]
    rect.moveLeft(
        min(free, key=lambda left: max(left - x, x - left - wide, 0), default=rect.left())
    )
    return rect


def flag_rects(canvas: Canvas) -> list[QRectF]:
    """Where the flags of the present moment and the deadline hang, as far as they are in sight."""
    marks = (
        (canvas.now_s, _now_text(canvas)),
        (canvas.scene.deadline_s, _deadline_text(canvas)),
    )
    return [
        _flag_rect(canvas, x, text)
        for moment_s, text in marks
        if canvas.scale.left_px <= (x := canvas.scale.x(moment_s)) <= canvas.scale.right_px
    ]


def _deadline_text(canvas: Canvas) -> str:
    return phrase("flag-deadline", at=short(canvas.scene.deadline_s, canvas.scene.zone))


def _now_text(canvas: Canvas) -> str:
    return phrase("mark-now", at=short(canvas.now_s, canvas.scene.zone))


def _flag_rect(canvas: Canvas, x: float, text: str) -> QRectF:
    """Where a flag hangs on a mark: to its right, or to its left where the edge is near."""
    sizes = canvas.sizes
    width = canvas.look.small.width(text) + 2 * sizes.pad
    left = x if x + width <= canvas.scale.right_px else x - width
    high = sizes.small + sizes.pad / 2
    return QRectF(left, sizes.scale - sizes.pad / 2 - high, width, high)


def _flag(canvas: Canvas, rect: QRectF, text: str, *, filled: bool = False) -> None:
    """A label that hangs on a mark."""
    look, sizes = canvas.look, canvas.sizes
    ink, ground = QColor(look.scheme.ink), QColor(look.scheme.ground)
    canvas.painter.fillRect(rect, ink if filled else ground)
    if not filled:
        canvas.painter.setPen(QPen(ink, 1.4))
        canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
        canvas.painter.drawRect(rect)
    colour = look.scheme.ground if filled else look.scheme.ink
    canvas.text(rect.left() + sizes.pad, rect.top() + sizes.pad / 4, text, look.small, colour)
