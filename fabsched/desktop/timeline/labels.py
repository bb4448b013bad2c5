"""Labels of blocks: inside where they fit, beside the block where there is room, else none."""

from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont

from fabsched.desktop.clock import hour_text
from fabsched.desktop.timeline.canvas import Canvas, fitted, width_px
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import faded
from fabsched.desktop.timeline.scene import Lane
from fabsched.model.plan import Block, Kind

INSET_PX = {Kind.RUN: 6.0, Kind.WORK: 7.0, Kind.GATE: 10.0, Kind.TEND: 7.0, Kind.TRAVEL: 9.0}
"""Distance of a label from the sides of its block, so that it clears the outline."""

FAR_PX = 1e6
"""Room to the right of the last block of a lane."""

Line = tuple[str, QFont, str]
"""Text, font and colour."""


def room_px(canvas: Canvas, lane: Lane, place: int) -> float:
    """Free width between a block and the next one of its lane."""
    if place + 1 >= len(lane.blocks):
        return FAR_PX
    here, after = lane.blocks[place], lane.blocks[place + 1]
    return (after.start_s - here.end_s) * canvas.scale.px_s


def draw_label(canvas: Canvas, block: Block, rect: Rect, room: float) -> None:
    """Write the name and the times of a block.

    Args:
        canvas: where.
        block: what.
        rect: the block.
        room: free width to its right.
    """
    inset = INSET_PX[block.kind]
    seen = rect.between(canvas.scale.left_px, canvas.scale.right_px)
    inside = replace(seen, x=seen.x + inset, w=seen.w - 2 * inset)
    lines = _inside(canvas, block, inside.w)
    if lines:
        _write(canvas, lines, inside.x, rect)
    elif lines := _beside(canvas, block, room):
        left = rect.right + canvas.sizes.pad / 2
        _halo(canvas, lines, left, rect)
        _write(canvas, lines, left, rect)


def times(canvas: Canvas, block: Block) -> str:
    """From when to when."""
    zone = canvas.scene.zone
    return f"{hour_text(block.start_s, zone)}\u2013{hour_text(block.end_s, zone)}"


def _inside(canvas: Canvas, block: Block, room: float) -> tuple[Line, ...]:
    look, ink = canvas.look, canvas.look.scheme.ink
    when: Line = (times(canvas, block), look.small, ink)
    if width_px(block.what, look.font) <= room:
        fits = width_px(when[0], look.small) <= room
        return ((block.what, look.font, ink), *((when,) if fits else ()))
    return tuple((text, look.small, ink) for text in _two_lines(block.what, look.small, room))


def _two_lines(text: str, font: QFont, room: float) -> tuple[str, ...]:
    """The text broken once between words, its end cut if need be; nothing if it does not fit."""
    words = text.split()
    count = len(words)
    while count > 1 and width_px(" ".join(words[:count]), font) > room:
        count -= 1
    first = fitted(" ".join(words[:count]), font, room, least=4)
    if not first:
        return ()
    rest = fitted(" ".join(words[count:]), font, room, least=2)
    return (first, rest) if rest else (first,)


def _beside(canvas: Canvas, block: Block, room: float) -> tuple[Line, ...]:
    look, scheme = canvas.look, canvas.look.scheme
    clear = room - canvas.sizes.pad
    if width_px(block.what, look.small) > clear:
        return ()
    when = times(canvas, block)
    lines: tuple[Line, ...] = ((block.what, look.small, scheme.ink),)
    return (*lines, (when, look.small, scheme.faint)) if _fits(look.small, when, clear) else lines


def _fits(font: QFont, text: str, room: float) -> bool:
    return width_px(text, font) <= room


def _halo(canvas: Canvas, lines: tuple[Line, ...], left: float, rect: Rect) -> None:
    """A soft plate under a label that lies in the open, so that lines do not cut through it."""
    wide = max(width_px(text, font) for text, font, _ in lines)
    high = rect.h - canvas.sizes.foot - canvas.sizes.pad / 2
    plate = QRectF(left - 2, rect.y + canvas.sizes.pad / 4, wide + 4, high)
    canvas.painter.fillRect(plate, faded(canvas.look.scheme.lane, 0.8))


def _write(canvas: Canvas, lines: tuple[Line, ...], x: float, rect: Rect) -> None:
    """Write one or two lines, centred between the top of the block and its foot."""
    heights = [
        canvas.sizes.line if font is canvas.look.font else canvas.sizes.small
        for _, font, _ in lines
    ]
    top = rect.y + (rect.h - canvas.sizes.foot - sum(heights)) / 2
    for (text, font, colour), height in zip(lines, heights, strict=True):
        canvas.text(x, top, text, font, colour)
        top += height
