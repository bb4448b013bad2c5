"""The one drawing of the timeline: for the window, for pictures and for paper."""

from collections.abc import Iterator
from dataclasses import replace

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from fabsched.desktop.clock import day_text, hour_text
from fabsched.desktop.timeline.canvas import LEAST_PX, Canvas
from fabsched.desktop.timeline.crowd import SLIM_PX, Crowd
from fabsched.desktop.timeline.geometry import Rect, Tick, days, step_s, stretch, ticks
from fabsched.desktop.timeline.key import draw_numbers
from fabsched.desktop.timeline.labels import draw_label, room_px
from fabsched.desktop.timeline.look import PURPLE, faded
from fabsched.desktop.timeline.marks import (
    draw_beyond,
    draw_deadline,
    draw_finish,
    draw_now,
    finish_name,
)
from fabsched.desktop.timeline.scene import Lane, LaneKind
from fabsched.desktop.timeline.shapes import draw_block, draw_hold, draw_past, draw_tail, qrect
from fabsched.desktop.timeline.trace import draw_chain, draw_links, draw_pins
from fabsched.model.plan import Block
from fabsched.model.units import DAY_S
from fabsched.session.clock import local
from fabsched.session.wording import day_name

AT_ONCE = 30
"""So many blocks are drawn in a step."""


def paint(canvas: Canvas) -> None:
    """Draw everything but what is selected."""
    for _ in paint_steps(canvas):
        pass
    paint_marks(canvas)


def paint_steps(canvas: Canvas) -> Iterator[None]:
    """Draw everything but the marks, in steps that take a few milliseconds each."""
    paint_ground(canvas)
    yield from _inside_steps(canvas)
    paint_edges(canvas)


def paint_inside(canvas: Canvas) -> None:
    """Draw the lanes with what lies on them, and the strip of likely finishes."""
    for _ in _inside_steps(canvas):
        pass


def _inside_steps(canvas: Canvas) -> Iterator[None]:
    """The same in steps; between them the painter is as it was and may be begun anew."""
    pieces, left = _inside(canvas), True
    while left:
        canvas.painter.save()
        canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        canvas.painter.setClipRect(inner(canvas))
        left = next(pieces, canvas) is None
        canvas.painter.restore()
        yield


def _inside(canvas: Canvas) -> Iterator[None]:
    _lanes(canvas)
    draw_finish(canvas)
    draw_beyond(canvas)
    yield from _blocks(canvas)


def paint_edges(canvas: Canvas) -> None:
    """Draw what lies beside and above the lanes: names and hours."""
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _names(canvas)
    _hours(canvas)


def paint_marks(canvas: Canvas) -> None:
    """Draw what stands on everything: the deadline and the present moment."""
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    draw_deadline(canvas)
    draw_now(canvas)


def inner(canvas: Canvas) -> QRectF:
    """Where lanes are seen: right of their names and below the hours."""
    top = canvas.sizes.scale
    high = max(0.0, canvas.height_px - top)
    left, right = (canvas.scale.x(moment_s) for moment_s in canvas.span_s)
    return QRectF(left, top, right - left, high)


def paint_ground(canvas: Canvas) -> None:
    """Draw what everything lies on."""
    canvas.painter.fillRect(
        QRectF(0, 0, canvas.frame.width_px, canvas.height_px), QColor(canvas.look.scheme.ground)
    )


def _lanes(canvas: Canvas) -> None:
    """Lanes with their closed hours, on whole pixels, and the hours' hairlines."""
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    for index, lane in enumerate(canvas.scene.lanes):
        inner = lane_rect(canvas, index)
        whole = inner.between(canvas.scale.left_px, canvas.scale.right_px)
        canvas.painter.fillRect(qrect(whole), QColor(canvas.look.scheme.lane))
        _shades(canvas, lane, inner)
    _hairlines(canvas)
    canvas.painter.setRenderHint(QPainter.RenderHint.Antialiasing)


def lane_rect(canvas: Canvas, index: int) -> Rect:
    """A lane without the gap to the next one."""
    rect = canvas.frame.lane(index)
    gap = canvas.sizes.pad / 2
    return replace(rect, y=rect.y + gap / 2, h=rect.h - gap)


def _shades(canvas: Canvas, lane: Lane, inner: Rect) -> None:
    for shade in lane.shades:
        if canvas.sees(shade.start_s, shade.end_s):
            rect = canvas.column(shade.start_s, shade.end_s, inner.y, inner.bottom)
            canvas.painter.fillRect(qrect(rect), QColor(canvas.look.scheme.shut))


def _hairlines(canvas: Canvas) -> None:
    """A line at each labelled hour, a stronger one where a day begins."""
    scheme, top = canvas.look.scheme, canvas.sizes.scale
    bottom = min(canvas.lanes_bottom_px, canvas.height_px)
    lines: dict[bool, list[QLineF]] = {False: [], True: []}
    for tick in _labelled(canvas):
        x = round(canvas.scale.x(tick.moment_s)) + 0.5
        lines[tick.midnight].append(QLineF(x, top, x, bottom))
    for midnight, colour in ((False, faded(scheme.line, 0.55)), (True, faded(scheme.faint, 0.7))):
        canvas.painter.setPen(QPen(colour, 1))
        canvas.painter.drawLines(lines[midnight])


def _blocks(canvas: Canvas) -> Iterator[None]:
    """What joins and follows blocks first, so that they lie on it; then blocks with their labels."""
    chained = _rects(canvas, frozenset(canvas.scene.chain))
    _threads(canvas)
    draw_links(canvas, chained)
    for index, lane in enumerate(canvas.scene.lanes):
        _holds(canvas, index, lane)
    _tails(canvas)
    for index, lane in enumerate(canvas.scene.lanes):
        yield
        if canvas.plain:
            _rough_blocks(canvas, index, lane)
        else:
            yield from _lane_blocks(canvas, index, lane)
    yield
    draw_chain(canvas, chained)
    draw_pins(canvas, _rects(canvas, canvas.scene.pinned))


def _rects(canvas: Canvas, wanted: frozenset[str]) -> dict[str, Rect]:
    """Where some blocks lie, as far as they can be seen."""
    if not wanted:
        return {}
    return {
        block.id: block_rect(canvas, canvas.frame.slot(index), block.start_s, block.end_s)
        for index, lane in enumerate(canvas.scene.lanes)
        for block in lane.blocks
        if block.id in wanted and canvas.sees(block.start_s, block.end_s)
    }


def _rough_blocks(canvas: Canvas, index: int, lane: Lane) -> None:
    """The blocks of a lane that are in sight, all of them as if they were slim."""
    crowd = Crowd(canvas.frame.slot(index))
    for place, x, width in _in_sight(canvas, lane):
        crowd.add(lane.blocks[place], lane.sorts[place], x, width)
    crowd.draw(canvas.painter, canvas.look, canvas.sizes.foot)


def _lane_blocks(canvas: Canvas, index: int, lane: Lane) -> Iterator[None]:
    """The blocks of a lane that are in sight, with their names or numbers."""
    slot = canvas.frame.slot(index)
    crowd = Crowd(slot)
    nameless: list[tuple[Block, float]] = []
    for count, (place, x, width) in enumerate(_in_sight(canvas, lane), 1):
        if count % AT_ONCE == 0:
            yield
        block = lane.blocks[place]
        if width < SLIM_PX:
            crowd.add(block, lane.sorts[place], x, width)
        else:
            rect = block_rect(canvas, slot, block.start_s, block.end_s)
            draw_block(canvas.painter, canvas.look, block, rect, canvas.sizes.foot)
            if (past := canvas.scene.past.get(block.id)) is not None:
                draw_past(canvas.painter, canvas.look, rect, in_vain=past.in_vain)
        if not _labelled_block(canvas, slot, lane, place, width):
            nameless.append((block, x + width / 2))
    yield
    crowd.draw(canvas.painter, canvas.look, canvas.sizes.foot)
    draw_numbers(canvas, slot, nameless)


def _in_sight(canvas: Canvas, lane: Lane) -> Iterator[tuple[int, float, float]]:
    """Place in the lane, left edge and width of every block that is seen.

    This runs for every block at every step of a zoom, so it makes no rectangles.
    """
    scale, px_s = canvas.scale, canvas.scale.px_s
    first_s, last_s = canvas.span_s
    first_s -= LEAST_PX / px_s
    origin = scale.left_px - scale.start_s * px_s
    for place, block in enumerate(lane.blocks):
        start_s, end_s = block.start_s, block.end_s
        if end_s > first_s and start_s < last_s:
            width = (end_s - start_s) * px_s
            yield place, origin + start_s * px_s, max(LEAST_PX, width)


def _labelled_block(canvas: Canvas, slot: Rect, lane: Lane, place: int, width: float) -> bool:
    """Write the name of a block unless there is no room at all; tell whether it is there."""
    block, least = lane.blocks[place], canvas.look.small.line
    if width < least and place + 1 < len(lane.blocks):
        free_s = lane.blocks[place + 1].start_s - block.end_s
        if free_s * canvas.scale.px_s < least:
            return False
    rect = block_rect(canvas, slot, block.start_s, block.end_s)
    return draw_label(canvas, block, rect, room_px(canvas, lane, place))


def block_rect(canvas: Canvas, slot: Rect, start_s: int, end_s: int) -> Rect:
    """Where a block lies in the slot of its lane, cut where it would reach far out of sight."""
    rect = stretch(slot, canvas.scale, start_s, end_s, LEAST_PX)
    beyond = 4 * canvas.sizes.pad
    return rect.between(canvas.scale.left_px - beyond, canvas.scale.right_px + beyond)


def _holds(canvas: Canvas, index: int, lane: Lane) -> None:
    slot, foot_px = canvas.frame.slot(index), canvas.sizes.foot
    for hold in lane.holds:
        if canvas.sees(hold.start_s, hold.end_s):
            rect = block_rect(canvas, slot, hold.start_s, hold.end_s)
            draw_hold(canvas.painter, canvas.look, rect, foot_px, clearing=hold.clearing)


def _tails(canvas: Canvas) -> None:
    """What comes on top of a block in nine of ten cases fades out behind its foot."""
    least_s = SLIM_PX / canvas.scale.px_s
    for ident, until_s in canvas.scene.tails.items():
        index, block = canvas.scene.places[ident]
        if until_s - block.end_s > least_s and canvas.sees(block.end_s, until_s):
            slot = canvas.frame.slot(index)
            rect = block_rect(canvas, slot, block.end_s, until_s)
            draw_tail(canvas.painter, canvas.look.pure(block), rect, canvas.sizes.foot)


def _threads(canvas: Canvas) -> None:
    """Join every hand on a machine to the machine it touches."""
    slots = [canvas.frame.slot(index) for index in range(len(canvas.scene.lanes))]
    lines = []
    for thread in canvas.scene.threads:
        if canvas.sees(thread.moment_s, thread.moment_s + 1):
            machine, hands = slots[thread.machine], slots[thread.hands]
            x = canvas.scale.x(thread.moment_s)
            top, bottom = machine.bottom - canvas.sizes.foot / 2, hands.y + canvas.sizes.pad
            lines.append(QLineF(x, top, x, bottom))
    canvas.painter.setPen(QPen(faded(PURPLE, 0.9), 1.4))
    canvas.painter.drawLines(lines)


def _names(canvas: Canvas) -> None:
    """Who or what each lane belongs to, on the left; covers what is scrolled under it."""
    gutter = QRectF(0, 0, canvas.scale.left_px, canvas.height_px)
    canvas.painter.fillRect(gutter, QColor(canvas.look.scheme.ground))
    for index, lane in enumerate(canvas.scene.lanes):
        _name(canvas, lane, lane_rect(canvas, index))
    finish_name(canvas)


def _name(canvas: Canvas, lane: Lane, rect: Rect) -> None:
    sizes, look = canvas.sizes, canvas.look
    left = 2 * sizes.pad
    room = canvas.scale.left_px - left - sizes.pad
    top = rect.y + (rect.h - sizes.line - sizes.small) / 2
    title = look.bold.fitted(lane.title, room)
    canvas.text(left, top, title, look.bold, look.scheme.ink)
    note = look.small.fitted(lane.note, room)
    canvas.text(left, top + sizes.line, note, look.small, look.scheme.faint)
    _badge(canvas, lane.kind, rect)


def _badge(canvas: Canvas, kind: LaneKind, rect: Rect) -> None:
    """A bar beside the name: square-ended for machines, a chain of dots for people."""
    x, pad = canvas.sizes.pad * 0.8, canvas.sizes.pad
    pen = QPen(QColor(canvas.look.scheme.faint), 3.0)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if kind == LaneKind.PERSON:
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setDashPattern([0.01, 2.0])
    canvas.painter.setPen(pen)
    canvas.painter.drawLine(QPointF(x, rect.y + pad), QPointF(x, rect.bottom - pad))


def _hours(canvas: Canvas) -> None:
    """Days above hours, over the lanes; covers what is scrolled under it."""
    head = QRectF(0, 0, canvas.frame.width_px, canvas.sizes.scale)
    canvas.painter.fillRect(head, QColor(canvas.look.scheme.ground))
    for start_s, end_s in days(canvas.scene.zone, canvas.scale.start_s, canvas.scale.end_s):
        _day(canvas, start_s, end_s)
    top = canvas.sizes.pad + canvas.sizes.line
    free = canvas.scale.left_px
    for tick in _labelled(canvas):
        text = hour_text(tick.moment_s, canvas.scene.zone)
        half = canvas.look.small.width(text) / 2
        x = canvas.scale.x(tick.moment_s)
        if x - half >= free and x + half <= canvas.scale.right_px:
            canvas.text(x - half, top, text, canvas.look.small, canvas.look.scheme.faint)
            free = x + half + canvas.sizes.pad / 2


def _day(canvas: Canvas, start_s: int, end_s: int) -> None:
    """The name of a day at its start, or at the left edge while it lasts."""
    sizes, look = canvas.sizes, canvas.look
    span = canvas.column(start_s, end_s, 0, sizes.line)
    name = day_text(start_s + DAY_S // 2, canvas.scene.zone)
    weekday = local(start_s + DAY_S // 2, canvas.scene.zone).weekday()
    names = (name, day_name(weekday), day_name(weekday, short=True))
    room = span.w - sizes.pad
    text = next((name for name in names if look.bold.width(name) <= room), "")
    canvas.text(span.x + sizes.pad / 2, sizes.pad / 2, text, look.bold, look.scheme.ink)
    if start_s >= canvas.scale.start_s:
        x = canvas.scale.x(start_s)
        canvas.vertical(x, sizes.pad / 2, sizes.pad + sizes.line, look.scheme.faint, 1.0)


def _labelled(canvas: Canvas) -> tuple[Tick, ...]:
    """The hours that are labelled at this scale."""
    least = canvas.look.small.width("00:00") + 1.5 * canvas.sizes.pad
    every_s = step_s(canvas.scale.px_s, least)
    return ticks(canvas.scene.zone, canvas.scale.start_s, canvas.scale.end_s, every_s)
