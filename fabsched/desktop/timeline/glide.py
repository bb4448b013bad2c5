"""The timeline drawn once and kept; while the view moves, the last drawing stands in for it.

A thousand blocks with their labels take longer to draw than a frame lasts at sixty a second. While
the view is being moved or zoomed the last full drawing is therefore moved or stretched, only what
comes into sight is drawn, and names, hours and marks over it always. As soon as the view rests it
is drawn in full again.
"""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPixmap

from fabsched.desktop.timeline.canvas import Canvas
from fabsched.desktop.timeline.geometry import Frame, Scale
from fabsched.desktop.timeline.look import Look, faded
from fabsched.desktop.timeline.paint import inner, paint_edges, paint_ground, paint_inside
from fabsched.desktop.timeline.scene import Scene

MANY = 150
"""Fewer blocks are drawn in full at every step: that is quick enough."""
LEAST_SHARE = 0.5
"""A stand-in shows at least so much of the view, and stretches no further (our own choice)."""
MARGIN_PX = 240.0
"""Labels of what comes into sight are laid out as if so much more of it could be seen."""
STALE = 0.5
"""How much a plan that is out of date is dulled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Everything that a drawing of the timeline depends on.

    Attributes:
        scene, frame, scale, look, now_s: as for a canvas.
        size_px: width and height.
        ratio: device pixels in one of these.
        stale: whether it is dulled, as it no longer holds.
    """

    scene: Scene
    frame: Frame
    scale: Scale
    look: Look
    now_s: int
    size_px: tuple[int, int]
    ratio: float = 1.0
    stale: bool = False

    def canvas(self, painter: QPainter) -> Canvas:
        """A canvas for it."""
        return Canvas(
            painter=painter,
            scene=self.scene,
            frame=self.frame,
            scale=self.scale,
            look=self.look,
            height_px=self.size_px[1],
            now_s=self.now_s,
        )

    def blank(self) -> QPixmap:
        """An empty pixmap of its size."""
        pixmap = QPixmap(QSize(*self.size_px) * self.ratio)
        pixmap.setDevicePixelRatio(self.ratio)
        return pixmap


class Drawing:
    """Keeps what has been drawn.

    What lies under names, hours and marks is kept apart from the whole, since it alone is moved.
    """

    def __init__(self) -> None:
        """Nothing drawn yet."""
        self._inside = self._whole = QPixmap()
        self._inside_of: View | None = None
        self._whole_of: View | None = None
        self._in_full = False

    def shown(self, view: View, *, moving: bool) -> QPixmap:
        """A view drawn: anew where it would look different, as a stand-in while it moves."""
        fresh = view == self._whole_of and (moving or self._in_full)
        if not fresh:
            self._draw(view, moving=moving)
        return self._whole

    def _draw(self, view: View, *, moving: bool) -> None:
        known = self._inside_of
        self._in_full = not (moving and known is not None and _serves(known, view))
        if known is None or self._in_full:
            self._inside, self._inside_of = _drawn(view), view
            self._whole = _with_edges(view, self._inside)
        elif known.scale.px_s == view.scale.px_s:
            self._inside_of = _snapped(known, view)
            self._inside = _moved(known, self._inside, self._inside_of)
            self._whole = _with_edges(view, self._inside)
        else:
            self._whole = _with_edges(view, _moved(known, self._inside, view))
        self._whole_of = view


def _serves(known: View, view: View) -> bool:
    """Whether a drawing can stand in for a view: only time differs, and not too much of it."""
    if len(view.scene.numbers) < MANY or replace(known, scale=view.scale) != view:
        return False
    left, right = _covered(known, view)
    closer = view.scale.px_s / known.scale.px_s
    return right - left >= LEAST_SHARE * view.scale.width_px and closer * LEAST_SHARE <= 1


def _covered(known: View, view: View) -> tuple[float, float]:
    """From which x to which the view shows what was drawn."""
    left, right = view.scale.x(known.scale.start_s), view.scale.x(known.scale.end_s)
    return max(left, view.scale.left_px), min(right, view.scale.right_px)


def _snapped(known: View, view: View) -> View:
    """The view moved by less than a pixel, so that what was drawn falls on whole pixels."""
    px = round((known.scale.start_s - view.scale.start_s) * view.scale.px_s * view.ratio)
    return replace(view, scale=known.scale.moved(-px / view.ratio))


def _drawn(view: View) -> QPixmap:
    """All that lies under names, hours and marks."""
    pixmap = view.blank()
    painter = QPainter(pixmap)
    canvas = view.canvas(painter)
    paint_ground(canvas)
    paint_inside(canvas)
    painter.end()
    return pixmap


def _moved(known: View, pixmap: QPixmap, view: View) -> QPixmap:
    """What was drawn where it now belongs, and what it lacks drawn beside it."""
    moved = view.blank()
    painter = QPainter(moved)
    canvas = view.canvas(painter)
    paint_ground(canvas)
    painter.save()
    painter.setClipRect(inner(canvas))
    source = inner(known.canvas(painter))
    left, right = view.scale.x(known.scale.start_s), view.scale.x(known.scale.end_s)
    target = QRectF(left, source.y(), right - left, source.height())
    painter.drawPixmap(target, pixmap, _device(source, view.ratio))
    painter.restore()
    left, right = _covered(known, view)
    for start, end in ((view.scale.left_px, left), (right, view.scale.right_px)):
        if end > start:
            paint_inside(_strip(canvas, start, end))
    painter.end()
    return moved


def _device(rect: QRectF, ratio: float) -> QRectF:
    """A rectangle in device pixels."""
    return QRectF(rect.x() * ratio, rect.y() * ratio, rect.width() * ratio, rect.height() * ratio)


def _strip(canvas: Canvas, start: float, end: float) -> Canvas:
    """A canvas that draws between two x only, but lays out as if there was more to both sides."""
    scale = canvas.scale
    wide = end - start + 2 * MARGIN_PX
    first = start - MARGIN_PX
    wider = Scale(
        start_s=scale.moment_s(first), left_px=first, width_px=wide, span_s=wide / scale.px_s
    )
    return replace(canvas, scale=wider, lit_s=(scale.moment_s(start), scale.moment_s(end)))


def _with_edges(view: View, inside: QPixmap) -> QPixmap:
    """The whole: names, hours and marks over what lies under them."""
    whole = QPixmap(inside)
    painter = QPainter(whole)
    paint_edges(view.canvas(painter))
    if view.stale:
        painter.fillRect(whole.rect(), faded(QColor(view.look.scheme.ground), STALE))
    painter.end()
    return whole
