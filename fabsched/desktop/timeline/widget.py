"""The timeline in a window: zoom, pan, hover, select, all of it by mouse, touch and keys.

The wheel zooms around the pointer, over the names it scrolls the lanes; with Shift, or sideways, it
moves in time. Dragging moves in time. What keys do stands in `keys`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import QEvent, QPoint, QPointF, QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QColor,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QApplication,
    QGestureEvent,
    QPinchGesture,
    QToolTip,
    QWidget,
)

from fabsched.desktop.timeline.bars import MOVE_SHARE, bar_of, start_at
from fabsched.desktop.timeline.canvas import scene_sizes
from fabsched.desktop.timeline.easel import Easel
from fabsched.desktop.timeline.geometry import CLOSEST_S, WIDEST_S, Frame, Scale
from fabsched.desktop.timeline.glide import View
from fabsched.desktop.timeline.keys import ZOOM_STEP, deed_of
from fabsched.desktop.timeline.look import faded, look
from fabsched.desktop.timeline.overlay import Ghost, paint_over
from fabsched.desktop.timeline.paint import paint_marks
from fabsched.desktop.timeline.picking import block_at
from fabsched.desktop.timeline.scene import Scene
from fabsched.desktop.timeline.tips import tip_at
from fabsched.desktop.words import block_text
from fabsched.model.plan import Block

NOTCH = 120
"""Eighths of a degree in one notch of a wheel (Qt's QWheelEvent::angleDelta)."""
STALE = 0.5
"""How much a plan that is out of date is dulled."""


@dataclass(frozen=True, slots=True)
class _Drag:
    """The mouse held down.

    Attributes:
        x: where it went down.
        scale: the scale then.
        moving: whether it has moved far enough to mean it.
    """

    x: float
    scale: Scale
    moving: bool = False


class TimelineView(QAbstractScrollArea):
    """Shows a scene.

    Signals:
        selected: id of the block that was chosen; empty when it was let go.
        hovered: id of the block under the pointer; empty when there is none.
        moved: the scale has changed: another stretch of time is in view.
    """

    selected = Signal(str)
    hovered = Signal(str)
    moved = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self._scene: Scene | None = None
        self._now_s = 0
        self._scale = Scale(start_s=0, left_px=0, width_px=1, span_s=1)
        self._selected = self._hovered = ""
        self._stale = False
        self._ghost: Ghost | None = None
        self._look = look(self.palette(), self.font())
        self._drag: _Drag | None = None
        self.easel = Easel(self)
        self.easel.finer.connect(self.viewport().update)
        self.setAccessibleName(self.tr("Timeline"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.viewport().setMouseTracking(True)
        self.viewport().grabGesture(Qt.GestureType.PinchGesture)
        self.horizontalScrollBar().valueChanged.connect(self._bar_moved)
        self.verticalScrollBar().valueChanged.connect(self.viewport().update)

    # What it shows.

    @property
    def scene(self) -> Scene | None:
        """What is shown."""
        return self._scene

    @property
    def scale(self) -> Scale:
        """Time along x, in pixels of the viewport."""
        return self._scale

    @property
    def chosen(self) -> str:
        """Id of the selected block; empty if there is none."""
        return self._selected

    def set_scene(self, scene: Scene | None) -> None:
        """Show something else; the view stays where it is, or on the whole if it was there."""
        whole = self._shows_everything()
        self._scene = scene
        if scene is None or scene.block(self._selected) is None:
            self.select("")
        if whole:
            self.fit()
        self._settle(self._scale)

    def set_now(self, now_s: int) -> None:
        """Move the line at the present moment."""
        self._now_s = now_s
        self.viewport().update()

    def show_ghost(self, ghost: Ghost | None) -> None:
        """Show where a block is held by hand; None takes it away."""
        self._ghost = ghost
        self.viewport().update()

    def set_stale(self, *, stale: bool) -> None:
        """Dull everything while what is shown no longer holds."""
        self._stale = stale
        self.viewport().update()

    def frame(self) -> Frame:
        """Where the lanes lie, in pixels of the viewport; they fill its height."""
        lanes = len(self._scene.lanes) if self._scene else 0
        sizes = scene_sizes(self._scene, self._look) if self._scene else self._look.sizes()
        return Frame(
            sizes=sizes.grown(lanes, self.viewport().height()),
            lanes=lanes,
            width_px=self.viewport().width(),
            scroll_px=self.verticalScrollBar().value(),
        )

    # Where it looks.

    def fit(self) -> None:
        """Show everything."""
        if self._scene is not None:
            first_s, last_s = self._scene.shown_s
            self._settle(replace(self._placed(), start_s=first_s, span_s=last_s - first_s))

    def zoom(self, factor: float, around_px: float | None = None) -> None:
        """Zoom in by a factor above one, out by one below; around the middle unless told."""
        middle = self._scale.left_px + self._scale.width_px / 2
        self._settle(self._scale.zoomed(factor, middle if around_px is None else around_px))

    def pan(self, px: float) -> None:
        """Move in time, later by so many pixels."""
        self._settle(self._scale.moved(px))

    def look_at(self, start_s: float, span_s: float) -> None:
        """Show a stretch of time, as far as there is something to see."""
        span_s = min(max(span_s, CLOSEST_S), WIDEST_S)
        self._settle(replace(self._placed(), start_s=start_s, span_s=span_s))

    def select(self, ident: str) -> None:
        """Mark a block, bring it into view and tell about it; empty lets go."""
        if ident == self._selected:
            return
        self._selected = ident
        block = self._scene.block(ident) if self._scene else None
        if block is not None:
            self._settle(self._scale.revealing(block.start_s, block.end_s))
        self._tell_reader(block)
        self.viewport().update()
        self.selected.emit(ident)

    def _tell_reader(self, block: Block | None) -> None:
        """Let a screen reader say what is selected."""
        text = block_text(self._scene, block) if self._scene and block else ""
        self.setAccessibleDescription(text)
        event = QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
        QAccessible.updateAccessibility(event)

    def _placed(self) -> Scale:
        """The scale fitted to the present width; a second keeps its pixels."""
        left = self.frame().sizes.gutter
        width = max(1.0, self.viewport().width() - left)
        span_s = width / self._scale.px_s if self._scale.left_px else self._scale.span_s
        return replace(self._scale, left_px=left, width_px=width, span_s=span_s)

    def _settle(self, scale: Scale) -> None:
        """Take a scale, kept where there is something to see, and set the scroll bars to it."""
        if self._scene is None:
            self.horizontalScrollBar().setRange(0, 0)
            self.verticalScrollBar().setRange(0, 0)
            self.viewport().update()
            return
        self._look_along(scale.kept_within(*self._scene.shown_s))

    def _set_bars(self) -> None:
        bar = self.horizontalScrollBar()
        to = bar_of(self._scale, *(self._scene.shown_s if self._scene else (0, 0)))
        with QSignalBlocker(bar):
            bar.setRange(0, to.steps)
            bar.setPageStep(to.page)
            bar.setSingleStep(to.step)
            bar.setValue(to.value)
        tall = self.frame().height_px - self.viewport().height()
        self.verticalScrollBar().setRange(0, max(0, round(tall)))
        self.verticalScrollBar().setPageStep(self.viewport().height())
        self.verticalScrollBar().setSingleStep(round(self.frame().sizes.lane / 2))

    def _bar_moved(self, value: int) -> None:
        shown_s = self._scene.shown_s if self._scene else (0, 0)
        self._look_along(replace(self._scale, start_s=start_at(value, self._scale, *shown_s)))

    def _look_along(self, scale: Scale) -> None:
        """Move to a scale, with the scroll bars."""
        self._scale = scale
        self._set_bars()
        self.viewport().update()
        self.moved.emit()

    # What Qt tells it.

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Show what has been drawn, and what is selected on it."""
        painter = QPainter(self.viewport())
        if (view := self.look_now()) is None:
            painter.fillRect(self.viewport().rect(), QColor(self._look.scheme.ground))
        else:
            painter.drawPixmap(0, 0, self.easel.drawn(view))
            canvas = view.canvas(painter)
            paint_marks(canvas)
            if self._stale:
                ground = faded(self._look.scheme.ground, STALE)
                painter.fillRect(self.viewport().rect(), ground)
            paint_over(canvas, self._selected, self._hovered, self._ghost)
        painter.end()

    def look_now(self) -> View | None:
        """All that a drawing of it depends on; None without a scene."""
        if self._scene is None:
            return None
        size = self.viewport().size()
        return View(
            scene=self._scene,
            frame=self.frame(),
            scale=self._scale,
            look=self._look,
            now_s=self._now_s,
            size_px=(size.width(), size.height()),
            ratio=self.devicePixelRatioF(),
        )

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours or font."""
        super().changeEvent(event)
        if event.type() in {QEvent.Type.PaletteChange, QEvent.Type.FontChange}:
            self._look = look(self.palette(), self.font())
            self._settle(self._scale)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the whole in view if it was, else the pixels of a second."""
        whole = self._shows_everything()
        super().resizeEvent(event)
        if whole:
            self.fit()
        else:
            self._settle(self._placed())

    def _shows_everything(self) -> bool:
        if self._scene is None:
            return True
        first_s, last_s = self._scene.shown_s
        return self._scale.start_s <= first_s + 1 and self._scale.end_s >= last_s - 1

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Zoom, or move where it is turned sideways, with Shift, or over the names."""
        turn = event.angleDelta()
        sideways = turn.x() or turn.y()
        if event.position().x() < self._scale.left_px:
            bar = self.verticalScrollBar()
            bar.setValue(bar.value() - round(turn.y() / NOTCH * bar.singleStep()))
        elif turn.x() or event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.pan(-sideways / NOTCH * MOVE_SHARE * self._scale.width_px)
        else:
            self.zoom(ZOOM_STEP ** (turn.y() / NOTCH), event.position().x())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Begin what becomes a click or a drag."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._drag = _Drag(event.position().x(), self._scale)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Drag, or notice what lies under the pointer."""
        if self._drag is None:
            self._hover(event.position())
            return
        far = self._drag.x - event.position().x()
        if self._drag.moving or abs(far) >= QApplication.startDragDistance():
            self._drag = replace(self._drag, moving=True)
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
            self._settle(self._drag.scale.moved(far))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """End a drag, or select what was clicked."""
        drag, self._drag = self._drag, None
        self.viewport().unsetCursor()
        if drag is not None and not drag.moving:
            block = self._block_at(event.position())
            self.select(block.id if block else "")

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Nothing lies under the pointer any more."""
        super().leaveEvent(event)
        self._set_hovered("")

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """See `keys`."""
        deed = deed_of(event, self)
        if self._scene is None or deed is None:
            super().keyPressEvent(event)
        else:
            deed()

    def step(self, rule: Callable[[Scene, str, int], Block | None], step: int) -> None:
        """Select the block a rule finds from the selected one."""
        block = rule(self._scene, self._selected, step) if self._scene else None
        if block is not None:
            self.select(block.id)

    def go_to(self, moment_s: float, share: float) -> None:
        """Let a moment lie at a share of the width."""
        self._settle(replace(self._scale, start_s=moment_s - share * self._scale.span_s))

    def viewportEvent(self, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Tooltips, and fingers on a screen or a pad."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            self._show_tip(event)
            return True
        if isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                self._pinch(pinch)
                return True
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture
        ):
            self.zoom(max(0.1, 1 + event.value()), event.position().x())
            return True
        return super().viewportEvent(event)

    def _pinch(self, pinch: QPinchGesture) -> None:
        """Two fingers: what lies between them stays there, closer or farther."""
        # The first finger came as a mouse that drags; Qt tells the last step twice.
        self._drag = None
        if pinch.state() == Qt.GestureState.GestureUpdated:
            centre = self.viewport().mapFromGlobal(pinch.centerPoint())
            self.pan(pinch.lastCenterPoint().x() - pinch.centerPoint().x())
            self.zoom(max(0.1, pinch.scaleFactor()), centre.x())

    def _show_tip(self, event: QHelpEvent) -> None:
        at, text = event.pos(), ""
        if self._scene is not None:
            text = tip_at(self._scene, self.frame(), self._scale, at.x(), at.y())
        QToolTip.showText(event.globalPos(), text, self.viewport())

    def _block_at(self, point: QPointF | QPoint) -> Block | None:
        if self._scene is None:
            return None
        return block_at(self._scene, self.frame(), self._scale, point.x(), point.y())

    def _hover(self, point: QPointF) -> None:
        block = self._block_at(point)
        self._set_hovered(block.id if block else "")

    def _set_hovered(self, ident: str) -> None:
        if ident != self._hovered:
            self._hovered = ident
            self.viewport().update()
            self.hovered.emit(ident)
