"""A part that can be turned: a solid on its bed, or the outlines of a flat part."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from time import perf_counter
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QHideEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from fabsched.desktop.solid.camera import Camera, Floats, Stand, stand_for
from fabsched.desktop.solid.picking import face_at
from fabsched.desktop.solid.pixels import draw_flat, flat_image, image_of
from fabsched.desktop.solid.shade import Pixels, picture
from fabsched.desktop.timeline.look import BLUE, ORANGE, VERMILLION, Look, faded, look, mixed
from fabsched.model.shapes import Drawing, Mesh
from fabsched.session.wording import pointed

TURN_DEG_PX = 0.5
"""How far a solid turns for a pixel of dragging (our own choice)."""
KEY_DEG = 15.0
"""How far an arrow key turns it."""
ZOOM_STEP = 1.2
"""How much one notch of the wheel zooms."""
NOTCH = 120
"""Eighths of a degree in one notch of a wheel (Qt's QWheelEvent::angleDelta)."""
QUICK_PX = (80.0, 260.0)
"""While it is turned a solid is drawn no larger than this, so that it keeps up with the hand."""
QUICK_S = (0.012, 0.03)
"""Drawn in less time than this the next quick picture is larger, in more it is smaller."""
GROW = 1.25
"""By how much."""
SHARP_MS = 90
"""How long after the last move it is drawn sharply."""
GRID_MM = 10.0
"""Distance of the lines on the bed."""
LEAST_PX = 160
"""Least side of the view."""
FEW_LINES = 3000
"""Flat parts with no more lines than this are drawn within a few milliseconds."""
STILL_PX = 4
"""Whoever moves less than this between press and release has clicked."""
TURNS = {
    Qt.Key.Key_Left: (-KEY_DEG, 0.0),
    Qt.Key.Key_Right: (KEY_DEG, 0.0),
    Qt.Key.Key_Up: (0.0, KEY_DEG),
    Qt.Key.Key_Down: (0.0, -KEY_DEG),
}


Over = Callable[[QPainter, Stand, Look], None]
"""Draws over a solid that is seen from there."""


class SolidView(QWidget):
    """Shows one part.

    Signals:
        looked: the part is seen from another direction.
        picked: index of the triangle that was clicked; -1 beside the solid.
        pointed: the same for the one under the pointer, while picking.
    """

    looked = Signal()
    picked = Signal(int)
    pointed = Signal(int)
    _drawn = Signal(object, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty view."""
        super().__init__(parent)
        self._shape: Mesh | Drawing | None = None
        self._camera = Camera(zoom=1.2)
        self._from: QPointF | None = None
        self._pressed: QPointF | None = None
        self._picking = False
        self._flat: QImage | None = None
        self._over: Over | None = None
        self._marked: NDArray[np.bool_] | None = None
        self._marks = 0
        self._picture: tuple[Pixels, Stand] | None = None
        self._artist: ThreadPoolExecutor | None = None
        self._quick_px = QUICK_PX[1] / 2
        self._look = look(self.palette(), self.font())
        self._sharp = QTimer(self)
        self._sharp.setSingleShot(True)
        self._sharp.setInterval(SHARP_MS)
        self._sharp.timeout.connect(self._draw_sharp)
        self._drawn.connect(self._take, Qt.ConnectionType.QueuedConnection)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(LEAST_PX, LEAST_PX)
        self.setAccessibleName(self.tr("The part in space"))
        self.setToolTip(
            self.tr("Drag or press arrow keys to turn it, turn the wheel to look closer, 0 resets.")
        )

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room to see something."""
        return QSize(420, 320)

    @property
    def shape(self) -> Mesh | Drawing | None:
        """What is shown."""
        return self._shape

    @property
    def camera(self) -> Camera:
        """From where the part is seen."""
        return self._camera

    @property
    def picture(self) -> Pixels | None:
        """The solid as it was drawn last; None where there is none."""
        return self._picture[0] if self._picture else None

    def show_shape(self, shape: Mesh | Drawing | None) -> None:
        """Show another part, or none."""
        self._shape, self._picture, self._marked, self._flat = shape, None, None, None
        self._tell_reader()
        self._again()

    def let_pick(self, *, on: bool) -> None:
        """Let clicks pick what they hit; dragging turns the part all the same."""
        self._picking = on
        self.setMouseTracking(on)
        if on:
            self.setCursor(Qt.CursorShape.CrossCursor)
        else:
            self.unsetCursor()

    def draw_over(self, over: Over) -> None:
        """Let somebody draw over solids."""
        self._over = over

    def mark(self, marked: NDArray[np.bool_] | None) -> None:
        """Show some triangles in another colour.

        Args:
            marked: (m,) which; None for none.
        """
        if marked is not None or self._marked is not None:
            self._marked, self._marks = marked, self._marks + 1
            self._again()

    def look_from(self, camera: Camera) -> None:
        """Look from somewhere else."""
        if camera != self._camera:
            self._camera = camera
            self._again()
            self.looked.emit()

    def _tell_reader(self) -> None:
        size = _size_text(self._shape)
        self.setAccessibleDescription(size)

    def _again(self) -> None:
        """Draw quickly now, sharply soon."""
        if isinstance(self._shape, Mesh) and self.isVisible():
            begun = perf_counter()
            self._picture = self._drawn_at(self._shape, self._quick_size())
            self._pace(perf_counter() - begun)
            self._sharp.start()
        elif isinstance(self._shape, Drawing) and _is_crowded(self._shape) and self.isVisible():
            self._sharp.start()
        self.update()

    def _pace(self, took_s: float) -> None:
        """Make quick pictures as large as can be drawn in time."""
        if took_s > QUICK_S[1]:
            self._quick_px = max(self._quick_px / GROW, QUICK_PX[0])
        elif took_s < QUICK_S[0]:
            self._quick_px = min(self._quick_px * GROW, QUICK_PX[1])

    def _quick_size(self) -> tuple[int, int]:
        share = min(1.0, self._quick_px / max(self.width(), self.height(), 1))
        return max(1, round(self.width() * share)), max(1, round(self.height() * share))

    def _stand(self, mesh: Mesh, size_px: tuple[int, int]) -> Stand:
        return stand_for(self._camera, *mesh.bounds_mm, size_px)

    def _drawn_at(self, mesh: Mesh, size_px: tuple[int, int]) -> tuple[Pixels, Stand]:
        stand = self._stand(mesh, size_px)
        return picture(mesh.vertices, mesh.faces, stand, size_px, self._colour()), stand

    def _colour(self) -> tuple[int, int, int] | Floats:
        """Of all triangles, or of each."""
        usual, other = (_tone(self._look, QColor(name)) for name in (BLUE, ORANGE))
        if self._marked is None:
            return usual
        return np.where(self._marked[:, None], np.array(other, float), np.array(usual, float))

    def _draw_sharp(self) -> None:
        """Draw on a thread of its own: that takes longer than a window may stand still."""
        if self._shape is None or not self.isVisible():
            return
        asked, ratio = self._seen_now(), self.devicePixelRatioF()
        self._artist = self._artist or ThreadPoolExecutor(1, "solid")
        work: Future[Any]
        match self._shape:
            case Mesh() as mesh:
                size = (max(1, round(self.width() * ratio)), max(1, round(self.height() * ratio)))
                work = self._artist.submit(self._drawn_at, mesh, size)
            case Drawing() as drawing:
                where, colours = self._flat_rect(), self._flat_colours()
                work = self._artist.submit(flat_image, drawing, where, ratio, colours)
        work.add_done_callback(lambda done: self._hand_over(asked, done))

    def _hand_over(self, asked: object, done: "Future[Any]") -> None:
        """From the other thread to this one; a drawing that was called off is dropped."""
        if not done.cancelled():
            self._drawn.emit(asked, done.result())

    def _take(self, asked: object, drawn: object) -> None:
        """Show the sharp picture unless something else is to be seen by now."""
        if asked != self._seen_now():
            return
        if isinstance(drawn, QImage):
            self._flat = drawn
        elif isinstance(drawn, tuple):
            self._picture = drawn
        self.update()

    def _seen_now(self) -> tuple[object, ...]:
        """What a picture depends on; two pictures of the same are alike."""
        return self._shape, self._camera, self._look, self._marks, self.size().toTuple()

    def _face_at(self, at: QPointF) -> int:
        if not isinstance(self._shape, Mesh):
            return -1
        stand = self._stand(self._shape, (self.width(), self.height()))
        return face_at(self._shape, stand, at.x(), at.y())

    # What Qt tells it.

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of the part."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._from = self._pressed = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Turn what is held."""
        if self._from is not None:
            by = event.position() - self._from
            self._from = event.position()
            self.look_from(self._camera.turned(by.x() * TURN_DEG_PX, by.y() * TURN_DEG_PX))
        elif self._picking:
            self.pointed.emit(self._face_at(event.position()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Let go; a click without moving picks."""
        pressed, self._from, self._pressed = self._pressed, None, None
        if self._picking and pressed is not None:
            moved = event.position() - pressed
            if abs(moved.x()) + abs(moved.y()) < STILL_PX:
                self.picked.emit(self._face_at(event.position()))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Look from where one looked at first; while picking it is a click like any other."""
        if self._picking:
            self.mousePressEvent(event)
        else:
            self.look_from(Camera(zoom=1.2))

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Look closer or from farther away."""
        self.look_from(self._camera.zoomed(ZOOM_STEP ** (event.angleDelta().y() / NOTCH)))
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows turn, + and - zoom, 0 resets."""
        if event.key() in TURNS:
            self.look_from(self._camera.turned(*TURNS[Qt.Key(event.key())]))
        elif event.text() in {"+", "="}:
            self.look_from(self._camera.zoomed(ZOOM_STEP))
        elif event.text() == "-":
            self.look_from(self._camera.zoomed(1 / ZOOM_STEP))
        elif event.text() == "0":
            self.look_from(Camera(zoom=1.2))
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Draw anew when shown or resized, and follow a change of colours."""
        if event.type() == QEvent.Type.PaletteChange:
            self._look = look(self.palette(), self.font())
        told = super().event(event)
        if event.type() in {QEvent.Type.Show, QEvent.Type.Resize, QEvent.Type.PaletteChange}:
            self._again()
        return told

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 - Qt's name
        """End the drawing, and wait for it."""
        super().hideEvent(event)
        self._sharp.stop()
        if self._artist is not None:
            self._artist.shutdown(wait=True, cancel_futures=True)
            self._artist = None

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Show the part."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.rect(), QColor(self._look.scheme.lane))
        match self._shape:
            case Mesh() as mesh:
                self._paint_solid(painter, mesh)
            case Drawing() as drawing:
                self._paint_flat(painter, drawing)
        self._paint_size(painter, self._look)
        painter.end()

    def _paint_solid(self, painter: QPainter, mesh: Mesh) -> None:
        """The lines of the bed lie under a part seen from above, and over one seen from below."""
        above = self._camera.tilt_deg >= 0
        if above:
            self._paint_bed(painter, mesh)
        if self._picture is not None:
            painter.drawImage(QRectF(self.rect()), image_of(self._picture[0]))
        if not above:
            self._paint_bed(painter, mesh)
        if self._over is not None:
            self._over(painter, self._stand(mesh, (self.width(), self.height())), self._look)

    def _paint_bed(self, painter: QPainter, mesh: Mesh) -> None:
        low, high = mesh.bounds_mm
        lines = bed_lines(low, high)
        stand = self._stand(mesh, (self.width(), self.height()))
        ends = stand.project(lines.reshape(-1, 3)).reshape(-1, 2, 3)
        painter.setPen(QPen(faded(self._look.scheme.line, 0.8), 1.0))
        for (ax, ay, _), (bx, by, _) in ends.tolist():
            painter.drawLine(QPointF(ax, ay), QPointF(bx, by))

    def _paint_flat(self, painter: QPainter, drawing: Drawing) -> None:
        """What has few lines is drawn at once, else what was drawn on the other thread."""
        if not _is_crowded(drawing):
            draw_flat(painter, drawing, self._flat_rect(), self._flat_colours())
        elif self._flat is not None:
            painter.drawImage(QRectF(self.rect()), self._flat)

    def _flat_rect(self) -> QRectF:
        return QRectF(self.rect()).adjusted(16, 22, -16, -22)

    def _flat_colours(self) -> tuple[QColor, QColor]:
        scheme, pure = self._look.scheme, QColor(VERMILLION)
        return mixed(QColor(scheme.lane), pure, scheme.tint), pure

    def _paint_size(self, painter: QPainter, looks: Look) -> None:
        painter.setFont(looks.small.font)
        painter.setPen(QColor(looks.scheme.faint))
        painter.drawText(QPointF(8, self.height() - 8), _size_text(self._shape))


def _is_crowded(drawing: Drawing) -> bool:
    """Whether drawing it takes longer than a window may stand still."""
    return len(drawing.outlines) + sum(len(o.points_mm) for o in drawing.outlines) > FEW_LINES


def bed_lines(low: Floats, high: Floats) -> Floats:
    """(n, 2, 3) ends of lines on the bed under a box, and a little beyond it."""
    start = np.floor(low[:2] / GRID_MM - 1) * GRID_MM
    end = np.ceil(high[:2] / GRID_MM + 1) * GRID_MM
    step = GRID_MM * max(1.0, np.ceil((end - start).max() / GRID_MM / 30))
    z = float(low[2])
    lines = [((x, start[1], z), (x, end[1], z)) for x in np.arange(start[0], end[0] + 1e-6, step)]
    lines += [((start[0], y, z), (end[0], y, z)) for y in np.arange(start[1], end[1] + 1e-6, step)]
    return np.array(lines, np.float64)


def _tone(looks: Look, pure: QColor) -> tuple[int, int, int]:
    tone = mixed(QColor(looks.scheme.lane), pure, 0.62)
    return tone.red(), tone.green(), tone.blue()


def _size_text(shape: Mesh | Drawing | None) -> str:
    if shape is None:
        return ""
    low, high = shape.bounds_mm
    return pointed(" \u00d7 ".join(f"{side:.1f}" for side in (high - low).tolist()) + " mm")
