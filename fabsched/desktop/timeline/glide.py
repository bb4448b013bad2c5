"""The timeline drawn and kept: at once if it is quick, else roughly first and finely bit by bit.

A thousand blocks with their names take longer to draw than a frame lasts at sixty a second. What
is shown of so many at once is therefore the last fine drawing, moved or stretched to where it now
belongs, with what comes into sight drawn roughly beside it; or all of it drawn roughly, if there is
nothing to move. As soon as the view rests it is drawn finely, a few blocks at a time, so that
nobody ever waits for it. Marks on everything are no part of it: they are quick to draw.
"""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPixmap

from fabsched.desktop.timeline.canvas import Canvas
from fabsched.desktop.timeline.geometry import Frame, Scale
from fabsched.desktop.timeline.look import Look
from fabsched.desktop.timeline.paint import (
    inner,
    paint_edges,
    paint_ground,
    paint_inside,
    paint_steps,
)
from fabsched.desktop.timeline.scene import Scene

MANY = 150
"""Fewer blocks are drawn in full at every step: that is quick enough."""
LEAST_SHARE = 0.5
"""A stand-in shows at least so much of the view, and stretches no further (our own choice)."""
MARGIN_PX = 240.0
"""Labels of what comes into sight are laid out as if so much more of it could be seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Everything that a drawing of the timeline depends on.

    Attributes:
        scene, frame, scale, look, now_s: as for a canvas.
        size_px: width and height.
        ratio: device pixels in one of these.
    """

    scene: Scene
    frame: Frame
    scale: Scale
    look: Look
    now_s: int
    size_px: tuple[int, int]
    ratio: float = 1.0

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
    """Keeps what has been drawn."""

    def __init__(self) -> None:
        """Nothing drawn yet."""
        self._shown, self._fine = QPixmap(), False
        self._shown_of: View | None = None
        self._base = QPixmap()
        self._base_of: View | None = None
        self._ink: _Ink | None = None

    def is_fine(self, view: View) -> bool:
        """Whether a view is drawn as finely as it can be."""
        return self._fine and view == self._shown_of

    def shown(self, view: View) -> QPixmap:
        """A view drawn, as finely as can be had at once."""
        if view != self._shown_of:
            self._draw(view)
        return self._shown

    def ink(self, view: View) -> bool:
        """Go on drawing a view finely for a few milliseconds.

        Returns:
            Whether nothing is left to do.
        """
        if not self.is_fine(view) and (self._ink is None or self._ink.view != view):
            self._ink = _Ink(view)
        if self._ink is not None and self._ink.go_on():
            self._keep(view, self._ink.pixmap)
            self._ink = None
        return self.is_fine(view)

    def _keep(self, view: View, pixmap: QPixmap) -> None:
        """Take a fine drawing."""
        self._shown = self._base = pixmap
        self._shown_of = self._base_of = view
        self._fine = True

    def _draw(self, view: View) -> None:
        base, self._shown_of, self._fine = self._base_of, view, False
        if len(view.scene.numbers) < MANY:
            self._keep(view, _drawn(view, plain=False))
        elif base is None or not _serves(base, view):
            self._shown = _drawn(view, plain=True)
        elif base.scale.px_s != view.scale.px_s:
            # Stretched once more it would only become worse: the base is kept for the next.
            self._shown = _moved(base, self._base, view)
        else:
            self._base_of = _snapped(base, view)
            self._shown = self._base = _moved(base, self._base, self._base_of)


class _Ink:
    """A fine drawing that is being made.

    Attributes:
        view: what is drawn.
        pixmap: what it is drawn on.
    """

    def __init__(self, view: View) -> None:
        """Nothing drawn yet."""
        self.view, self.pixmap = view, view.blank()
        self._painter = QPainter()
        self._steps = paint_steps(view.canvas(self._painter))

    def go_on(self) -> bool:
        """Draw a few blocks more; tells whether that was all."""
        self._painter.begin(self.pixmap)
        ended = next(self._steps, self) is self
        self._painter.end()
        return ended


def _serves(known: View, view: View) -> bool:
    """Whether a drawing can stand in for a view: only time differs, and not too much of it."""
    if replace(known, scale=view.scale, now_s=view.now_s) != view:
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


def _drawn(view: View, *, plain: bool) -> QPixmap:
    """All but the marks."""
    pixmap = view.blank()
    painter = QPainter(pixmap)
    for _ in paint_steps(replace(view.canvas(painter), plain=plain)):
        pass
    painter.end()
    return pixmap


def _moved(known: View, pixmap: QPixmap, view: View) -> QPixmap:
    """What was drawn where it now belongs, and what it lacks drawn beside it."""
    moved = view.blank()
    painter = QPainter(moved)
    canvas = view.canvas(painter)
    paint_ground(canvas)
    _lay(canvas, inner(known.canvas(painter)), known, pixmap)
    left, right = _covered(known, view)
    closer = known.scale.px_s != view.scale.px_s
    for start, end in ((view.scale.left_px, left), (right, view.scale.right_px)):
        if end > start:
            paint_inside(_strip(canvas, start, end, plain=closer))
    paint_edges(canvas)
    painter.end()
    return moved


def _lay(canvas: Canvas, source: QRectF, known: View, pixmap: QPixmap) -> None:
    """Lay what was drawn of the lanes where it now belongs."""
    left, right = canvas.scale.x(known.scale.start_s), canvas.scale.x(known.scale.end_s)
    target = QRectF(left, source.y(), right - left, source.height())
    canvas.painter.save()
    canvas.painter.setClipRect(inner(canvas))
    canvas.painter.drawPixmap(target, pixmap, _device(source, known.ratio))
    canvas.painter.restore()


def _device(rect: QRectF, ratio: float) -> QRectF:
    """A rectangle in device pixels."""
    return QRectF(rect.x() * ratio, rect.y() * ratio, rect.width() * ratio, rect.height() * ratio)


def _strip(canvas: Canvas, start: float, end: float, *, plain: bool) -> Canvas:
    """A canvas that draws between two x only, but lays out as if there was more to both sides."""
    scale = canvas.scale
    wide = end - start + 2 * MARGIN_PX
    first = start - MARGIN_PX
    wider = Scale(
        start_s=scale.moment_s(first), left_px=first, width_px=wide, span_s=wide / scale.px_s
    )
    lit_s = (scale.moment_s(start), scale.moment_s(end))
    return replace(canvas, scale=wider, lit_s=lit_s, plain=plain)
