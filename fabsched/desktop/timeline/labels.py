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
    lines = _inside(canvas, block, inside)
    if lines:
        _write(canvas, lines, inside.x, rect)
    elif lines := _beside(canvas, block, room):
        left = rect.right + canvas.sizes.pad
        _halo(canvas, lines, left, rect)
        _write(canvas, lines, left, rect)


def times(canvas: Canvas, block: Block) -> str:
    """From when to when."""
    zone = canvas.scene.zone
    return f"{hour_text(block.start_s, zone)}\u2013{hour_text(block.end_s, zone)}"


def _inside(canvas: Canvas, block: Block, rect: Rect) -> tuple[Line, ...]:
    """Lines that fit a block: its name on one line or broken, then its times if there is room."""
    look, ink = canvas.look, canvas.look.scheme.ink
    high = canvas.sizes.block - canvas.sizes.foot - canvas.sizes.pad / 2
    when: Line = (times(canvas, block), look.small, ink)
    timed = width_px(when[0], look.small) <= rect.w
    if width_px(block.what, look.font) <= rect.w:
        return ((block.what, look.font, ink), *((when,) if timed else ()))
    count = int(high // canvas.sizes.small)
    texts = broken(block.what, look.small, rect.w, count)
    lines = tuple((text, look.small, ink) for text in texts)
    return (*lines, when) if lines and timed and len(lines) < count else lines


def broken(text: str, font: QFont, room: float, most: int) -> tuple[str, ...]:
    """A text broken between words into lines that fit, the last one cut if need be.

    Args:
        text: what.
        font: how.
        room: width of a line in pixels.
        most: how many lines there may be.

    Returns:
        The lines; none where not even four letters of one fit.
    """
    words, lines = text.split(), list[str]()
    while words and len(lines) < most:
        count = 1 if len(lines) + 1 < most else len(words)
        while count < len(words) and width_px(" ".join(words[: count + 1]), font) <= room:
            count += 1
        line = fitted(" ".join(words[:count]), font, room, least=4)
        if not line:
            return tuple(lines) if lines and count == len(words) else ()
        lines.append(line)
        words = words[count:]
    return tuple(lines)


def _beside(canvas: Canvas, block: Block, room: float) -> tuple[Line, ...]:
    look, scheme = canvas.look, canvas.look.scheme
    clear = room - 1.5 * canvas.sizes.pad
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
    high = sum(_heights(canvas, lines))
    plate = QRectF(left - 2, _top(canvas, lines, rect) - 1, wide + 4, high + 2)
    canvas.painter.fillRect(plate, faded(canvas.look.scheme.lane, 0.8))


def _write(canvas: Canvas, lines: tuple[Line, ...], x: float, rect: Rect) -> None:
    """Write lines, centred between the top of the block and its foot."""
    top = _top(canvas, lines, rect)
    for (text, font, colour), height in zip(lines, _heights(canvas, lines), strict=True):
        canvas.text(x, top, text, font, colour)
        top += height


def _top(canvas: Canvas, lines: tuple[Line, ...], rect: Rect) -> float:
    return rect.y + (rect.h - canvas.sizes.foot - sum(_heights(canvas, lines))) / 2


def _heights(canvas: Canvas, lines: tuple[Line, ...]) -> list[float]:
    large = canvas.look.font
    return [canvas.sizes.line if font is large else canvas.sizes.small for _, font, _ in lines]
