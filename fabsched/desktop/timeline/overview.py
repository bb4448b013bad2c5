"""The whole weekend in a narrow strip, with the part that is in view: drag it to look elsewhere."""

from dataclasses import dataclass, replace
from enum import StrEnum

from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from fabsched.desktop.clock import day_text
from fabsched.desktop.timeline.geometry import CLOSEST_S, Rect, Scale, days
from fabsched.desktop.timeline.look import faded, look
from fabsched.desktop.timeline.scene import LaneKind, Scene
from fabsched.desktop.timeline.shapes import qrect

ROW_PX = 4.0
"""Height of a lane in the strip (our own choice)."""
GRIP_PX = 6.0
"""How near to an edge of the view the pointer takes hold of it (our own choice)."""
SNAP_PX = 8.0
"""How near to a day's beginning, now or the deadline an edge jumps to it (our own choice)."""
STEP = 0.1
"""Share of the view that an arrow key moves it (our own choice)."""


class Grip(StrEnum):
    """What of the view the pointer holds."""

    WHOLE = "whole"
    START = "start"
    END = "end"


@dataclass(frozen=True, slots=True)
class View:
    """What is in view.

    Attributes:
        start_s: first moment.
        end_s: last moment.
    """

    start_s: float
    end_s: float

    def moved(self, grip: Grip, by_s: float) -> "View":
        """The view with what is held moved; it never shrinks below the closest zoom."""
        match grip:
            case Grip.WHOLE:
                return View(self.start_s + by_s, self.end_s + by_s)
            case Grip.START:
                return replace(self, start_s=min(self.start_s + by_s, self.end_s - CLOSEST_S))
            case Grip.END:
                return replace(self, end_s=max(self.end_s + by_s, self.start_s + CLOSEST_S))

    def edges(self, grip: Grip) -> tuple[float, ...]:
        """The moments of the edges that move with what is held."""
        return {
            Grip.WHOLE: (self.start_s, self.end_s),
            Grip.START: (self.start_s,),
            Grip.END: (self.end_s,),
        }[grip]


def snapped(view: View, grip: Grip, marks: tuple[float, ...], near_s: float) -> View:
    """The view moved a little so that an edge of what is held lies on the nearest mark, if any is.

    Args:
        view: what would be in view.
        grip: what is held.
        marks: moments worth lying on.
        near_s: how far away a mark still counts.
    """
    gaps = [mark - edge for edge in view.edges(grip) for mark in marks if abs(mark - edge) < near_s]
    return view.moved(grip, min(gaps, key=abs)) if gaps else view


class Overview(QWidget):
    """Shows where the view of a timeline lies in the whole.

    Signals:
        wanted: first moment and length in seconds of the view that was asked for.
    """

    wanted = Signal(float, float)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty strip."""
        super().__init__(parent)
        self._scene: Scene | None = None
        self._now_s = 0
        self._view = View(0.0, 1.0)
        self._left_px = 0.0
        self._held: tuple[Grip, float, View] | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("The whole weekend"))
        self.setToolTip(self.tr("Drag to look elsewhere; drag an edge to look closer."))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As high as its lanes."""
        lanes = len(self._scene.lanes) if self._scene else 1
        return QSize(400, round(lanes * ROW_PX + self.fontMetrics().height() + 10))

    @property
    def view(self) -> View:
        """What is in view."""
        return self._view

    def set_scene(self, scene: Scene | None) -> None:
        """Show another whole."""
        self._scene = scene
        self.updateGeometry()
        self.update()

    def set_now(self, now_s: int) -> None:
        """Move the line at the present moment."""
        self._now_s = now_s
        self.update()

    def show_view(self, scale: Scale) -> None:
        """Show what a timeline has in view; the strip lies under its lanes."""
        self._view, self._left_px = View(scale.start_s, scale.end_s), scale.left_px
        self.update()

    def scale(self) -> Scale:
        """Time along the strip."""
        first_s, last_s = self._scene.shown_s if self._scene else (0, 1)
        wide = max(1.0, self.width() - self._left_px)
        return Scale(
            start_s=first_s, left_px=self._left_px, width_px=wide, span_s=max(1, last_s - first_s)
        )

    def _grip_at(self, x: float) -> Grip:
        scale = self.scale()
        left, right = scale.x(self._view.start_s), scale.x(self._view.end_s)
        if abs(x - left) <= GRIP_PX and right - left > 2 * GRIP_PX:
            return Grip.START
        if abs(x - right) <= GRIP_PX and right - left > 2 * GRIP_PX:
            return Grip.END
        return Grip.WHOLE

    def _marks(self) -> tuple[float, ...]:
        """Moments an edge jumps to."""
        if self._scene is None:
            return ()
        first_s, last_s = self._scene.shown_s
        starts = (start for start, _ in days(self._scene.zone, first_s, last_s))
        return (*starts, self._scene.deadline_s, self._now_s, first_s, last_s)

    def _ask(self, view: View) -> None:
        self.wanted.emit(view.start_s, view.end_s - view.start_s)

    # What Qt tells it.

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of the view; beside it, bring its middle there first."""
        if event.button() != Qt.MouseButton.LeftButton or self._scene is None:
            return
        x, scale = event.position().x(), self.scale()
        left, right = scale.x(self._view.start_s), scale.x(self._view.end_s)
        if not left - GRIP_PX <= x <= right + GRIP_PX:
            middle_s = (self._view.start_s + self._view.end_s) / 2
            self._ask(self._view.moved(Grip.WHOLE, scale.moment_s(x) - middle_s))
        self._held = (self._grip_at(x), x, self._view)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Move what is held, or show what could be."""
        x = event.position().x()
        if self._held is None:
            edge = self._scene is not None and self._grip_at(x) is not Grip.WHOLE
            shape = Qt.CursorShape.SizeHorCursor if edge else Qt.CursorShape.ArrowCursor
            self.setCursor(shape)
            return
        grip, from_x, before = self._held
        px_s = self.scale().px_s
        moved = before.moved(grip, (x - from_x) / px_s)
        self._ask(snapped(moved, grip, self._marks(), SNAP_PX / px_s))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Let go."""
        self._held = None

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Left and right move the view, Home and End bring it to either end."""
        span_s = self._view.end_s - self._view.start_s
        first_s, last_s = self._scene.shown_s if self._scene else (0, 1)
        moves = {
            Qt.Key.Key_Left: -STEP * span_s,
            Qt.Key.Key_Right: STEP * span_s,
            Qt.Key.Key_Home: first_s - self._view.start_s,
            Qt.Key.Key_End: last_s - self._view.end_s,
        }
        if self._scene is None or event.key() not in moves:
            super().keyPressEvent(event)
        else:
            self._ask(self._view.moved(Grip.WHOLE, moves[Qt.Key(event.key())]))

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw every lane as a row of bars, and dull what is out of view."""
        if self._scene is None:
            return
        painter = QPainter(self)
        self._paint_rows(painter, self._scene)
        self._paint_marks(painter, self._scene)
        self._paint_view(painter)
        painter.end()

    def _paint_rows(self, painter: QPainter, shown: Scene) -> None:
        looks, scale = look(self.palette(), self.font()), self.scale()
        painter.setPen(Qt.PenStyle.NoPen)
        for index, lane in enumerate(shown.lanes):
            top = 4 + index * ROW_PX
            inset = 0.5 if lane.kind is LaneKind.MACHINE else 1.0
            for block in lane.blocks:
                x = scale.x(block.start_s)
                wide = max(1.0, scale.x(block.end_s) - x)
                rect = QRectF(x, top + inset, wide, ROW_PX - 2 * inset)
                painter.fillRect(rect, looks.pure(block))

    def _paint_marks(self, painter: QPainter, shown: Scene) -> None:
        looks, scale = look(self.palette(), self.font()), self.scale()
        bottom = 4 + len(shown.lanes) * ROW_PX + 2
        painter.setFont(looks.small.font)
        for start_s, end_s in days(shown.zone, *shown.shown_s):
            x = scale.x(max(start_s, shown.shown_s[0]))
            painter.setPen(QPen(QColor(looks.scheme.line), 1.0))
            painter.drawLine(QLineF(x, 0, x, bottom + looks.small.line))
            name = _day_name(shown, start_s, end_s)
            painter.setPen(QColor(looks.scheme.faint))
            if scale.x(min(end_s, shown.shown_s[1])) - x > looks.small.width(name) + 6:
                painter.drawText(QPointF(x + 3, bottom + looks.small.ascent), name)
        for moment_s, width in ((self._now_s, 1.5), (shown.deadline_s, 3.0)):
            painter.setPen(QPen(QColor(looks.scheme.ink), width))
            painter.drawLine(QLineF(scale.x(moment_s), 0, scale.x(moment_s), bottom))

    def _paint_view(self, painter: QPainter) -> None:
        looks, scale = look(self.palette(), self.font()), self.scale()
        left, right = scale.x(self._view.start_s), scale.x(self._view.end_s)
        left, right = max(left, self._left_px), min(right, self.width() - 1.0)
        for start, end in ((self._left_px, left), (right, float(self.width()))):
            beyond = QRectF(start, 0, max(0.0, end - start), self.height())
            painter.fillRect(beyond, faded(looks.scheme.ground, 0.6))
        painter.setPen(QPen(QColor(looks.scheme.faint), 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        rect = Rect(x=left, y=0.75, w=max(2.0, right - left), h=self.height() - 1.5)
        painter.drawRect(qrect(rect))
        if self.hasFocus():
            painter.setPen(QPen(QColor(looks.scheme.ink), 1.5))
            painter.drawRect(qrect(rect))


def _day_name(shown: Scene, start_s: int, end_s: int) -> str:
    return day_text((start_s + end_s) // 2, shown.zone).split(maxsplit=1)[0]
