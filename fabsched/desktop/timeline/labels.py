"""Labels of blocks: inside where they fit, beside where there is room, upwards in narrow ones."""

from PySide6.QtCore import QRectF

from fabsched.desktop.clock import span_text
from fabsched.desktop.timeline.canvas import Canvas, upright_marks
from fabsched.desktop.timeline.face import ELLIPSIS, Face
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import faded
from fabsched.desktop.timeline.scene import Lane
from fabsched.model.plan import Block, Kind

INSET_PX = {Kind.RUN: 6.0, Kind.WORK: 7.0, Kind.GATE: 10.0, Kind.TEND: 7.0, Kind.TRAVEL: 9.0}
"""Distance of a label from the sides of its block, so that it clears the outline."""

FAR_PX = 1e6
"""Room to the right of the last block of a lane."""

NARROW = "iii"
"""Where not even this fits there is no use in trying."""

Line = tuple[str, Face, str]
"""Text, font and colour."""


def room_px(canvas: Canvas, lane: Lane, place: int) -> float:
    """Free width between a block and the next one of its lane, or the next upright mark."""
    here = lane.blocks[place]
    ends = [block.start_s for block in lane.blocks[place + 1 : place + 2]]
    ends += [mark_s for mark_s in (canvas.scene.deadline_s, canvas.now_s) if mark_s >= here.end_s]
    return (min(ends) - here.end_s) * canvas.scale.px_s if ends else FAR_PX


def draw_label(canvas: Canvas, block: Block, rect: Rect, room: float) -> bool:
    """Write the name and the times of a block: in it, beside it, or upwards in it.

    Args:
        canvas: where.
        block: what.
        rect: the block.
        room: free width to its right.

    Returns:
        Whether the whole name could be written.
    """
    if max(rect.w, room) < canvas.look.small.line:
        return False
    inset = INSET_PX[block.kind]
    clear = _clear(canvas, rect.between(canvas.scale.left_px, canvas.scale.right_px))
    inside = Rect(x=clear.x + inset, y=clear.y, w=clear.w - 2 * inset, h=clear.h)
    if lines := _inside(canvas, block, inside):
        _write(canvas, lines, inside.x, rect)
        return not any(text.endswith(ELLIPSIS) for text, _, _ in lines)
    if lines := _beside(canvas, block, room):
        left = rect.right + canvas.sizes.pad
        _halo(canvas, lines, left, rect)
        _write(canvas, lines, left, rect)
        return True
    return clear.w >= canvas.look.small.line and _write_upwards(canvas, block, clear)


def _clear(canvas: Canvas, rect: Rect) -> Rect:
    """The widest part of a block that no upright mark goes through."""
    found = [rect]
    for start, end in upright_marks(canvas):
        if start < rect.right and end > rect.x:
            sides = ((rect.x, start), (end, rect.right))
            found = [piece.between(*side) for piece in found for side in sides]
    return max(found, key=lambda piece: piece.w)


def _write_upwards(canvas: Canvas, block: Block, rect: Rect) -> bool:
    """Write the name turned by a right angle, in as many columns as fit a narrow block."""
    face = canvas.look.small
    tips = INSET_PX[Kind.GATE] if block.kind is Kind.GATE else 0.0
    room = rect.h - canvas.sizes.foot - canvas.sizes.pad - tips
    columns = face.broken(block.what, room, int(rect.w // face.line))
    left = rect.x + (rect.w - len(columns) * face.line) / 2
    for text in columns:
        canvas.painter.save()
        canvas.painter.translate(left, rect.y + canvas.sizes.pad / 2 + tips + room)
        canvas.painter.rotate(-90)
        canvas.text(0, 0, text, face, canvas.look.scheme.ink)
        canvas.painter.restore()
        left += face.line
    return bool(columns) and not columns[-1].endswith(ELLIPSIS)


def times(canvas: Canvas, block: Block) -> str:
    """From when to when."""
    return span_text(block.start_s, block.end_s, canvas.scene.zone)


def _inside(canvas: Canvas, block: Block, rect: Rect) -> tuple[Line, ...]:
    """Lines that fit a block: its name on one line or broken, then its times if there is room."""
    look, ink = canvas.look, canvas.look.scheme.ink
    if rect.w < look.small.width(NARROW):
        return ()
    high = canvas.sizes.block - canvas.sizes.foot - canvas.sizes.pad / 2
    when: Line = (times(canvas, block), look.small, ink)
    timed = look.small.width(when[0]) <= rect.w
    if look.font.width(block.what) <= rect.w:
        return ((block.what, look.font, ink), *((when,) if timed else ()))
    count = int(high // canvas.sizes.small)
    texts = look.small.broken(block.what, rect.w, count)
    lines = tuple((text, look.small, ink) for text in texts)
    return (*lines, when) if lines and timed and len(lines) < count else lines


def _beside(canvas: Canvas, block: Block, room: float) -> tuple[Line, ...]:
    """The name with its times to the right of a block, or the name alone on two lines."""
    face, scheme = canvas.look.small, canvas.look.scheme
    clear = room - 1.5 * canvas.sizes.pad
    if clear < face.width(NARROW):
        return ()
    texts = face.broken(block.what, clear, 2)
    if texts == (block.what,) and face.width(when := times(canvas, block)) <= clear:
        return ((block.what, face, scheme.ink), (when, face, scheme.faint))
    whole = " ".join(texts) == " ".join(block.what.split())
    return tuple((text, face, scheme.ink) for text in texts) if whole else ()


def _halo(canvas: Canvas, lines: tuple[Line, ...], left: float, rect: Rect) -> None:
    """A soft plate under a label that lies in the open, so that lines do not cut through it."""
    wide = max(face.width(text) for text, face, _ in lines)
    high = sum(_heights(canvas, lines))
    plate = QRectF(left - 2, _top(canvas, lines, rect) - 1, wide + 4, high + 2)
    canvas.painter.fillRect(plate, faded(canvas.look.scheme.lane, 0.8))


def _write(canvas: Canvas, lines: tuple[Line, ...], x: float, rect: Rect) -> None:
    """Write lines, centred between the top of the block and its foot."""
    top = _top(canvas, lines, rect)
    for (text, face, colour), height in zip(lines, _heights(canvas, lines), strict=True):
        canvas.text(x, top, text, face, colour)
        top += height


def _top(canvas: Canvas, lines: tuple[Line, ...], rect: Rect) -> float:
    return rect.y + (rect.h - canvas.sizes.foot - sum(_heights(canvas, lines))) / 2


def _heights(canvas: Canvas, lines: tuple[Line, ...]) -> list[float]:
    large, sizes = canvas.look.font, canvas.sizes
    return [sizes.line if face is large else sizes.small for _, face, _ in lines]
