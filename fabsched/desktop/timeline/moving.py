"""Moving a block by hand: the selected one is dragged, or goes by Ctrl and an arrow."""

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication

from fabsched.desktop.timeline.picking import block_at
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.plan import Block, Kind
from fabsched.model.units import MINUTE_S

GRID_S = 5 * MINUTE_S
"""Blocks come to lie on whole five minutes (our own choice)."""
KEY_S = 15 * MINUTE_S
"""How far Ctrl and an arrow move one."""
KEYS = {Qt.Key.Key_Left: -KEY_S, Qt.Key.Key_Right: KEY_S}


@dataclass(frozen=True, slots=True)
class _Hold:
    """A block held by the pointer.

    Attributes:
        block: the block.
        x: where it was taken.
        moving: whether it has moved far enough to mean it.
    """

    block: Block
    x: float
    moving: bool = False


class BlockMover(QObject):
    """Watches a timeline for blocks that are moved.

    Signals:
        moving: id of a block and the moment it would start at, as it is held.
        dropped: the same, when it is let go.
        left: it goes back to where it was.
    """

    moving = Signal(str, int)
    dropped = Signal(str, int)
    left = Signal()

    def __init__(self, view: TimelineView) -> None:
        """Watch a timeline."""
        super().__init__(view)
        self._view = view
        self._held: _Hold | None = None
        for watched in (view, view.viewport()):
            watched.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Take what means moving; all else is the timeline's."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._by_key(event)
        # Looked at last: other events come while the timeline is being taken down as well.
        if not isinstance(event, QMouseEvent) or watched is not self._view.viewport():
            return False
        match event.type():
            case QEvent.Type.MouseButtonPress:
                return self._take(event)
            case QEvent.Type.MouseMove:
                return self._drag(event)
            case QEvent.Type.MouseButtonRelease:
                return self._let_go(event)
            case _:
                return False

    def _by_key(self, event: QKeyEvent) -> bool:
        if event.key() == Qt.Key.Key_Escape and self._held is not None:
            self._held = None
            self._view.viewport().unsetCursor()
            self.left.emit()
            return True
        block = self._selected()
        ctrl = event.modifiers() == Qt.KeyboardModifier.ControlModifier
        if block is None or not ctrl or event.key() not in KEYS:
            return False
        self.dropped.emit(block.id, _on_grid(block.start_s + KEYS[Qt.Key(event.key())]))
        return True

    def _selected(self) -> Block | None:
        """The selected block, if it is one that can be moved."""
        shown = self._view.scene
        block = shown.block(self._view.chosen) if shown else None
        return block if block is not None and block.kind is not Kind.TRAVEL else None

    def _take(self, event: QMouseEvent) -> bool:
        """Take hold of the selected block; a press on another one selects that first."""
        block, shown = self._selected(), self._view.scene
        if block is None or shown is None or event.button() != Qt.MouseButton.LeftButton:
            return False
        at = event.position()
        under = block_at(shown, self._view.frame(), self._view.scale, at.x(), at.y())
        if under is None or under.id != block.id:
            return False
        self._held = _Hold(block, at.x())
        self._view.viewport().setCursor(Qt.CursorShape.SizeHorCursor)
        return True

    def _start_s(self, held: _Hold, event: QMouseEvent) -> int:
        by_s = (event.position().x() - held.x) / self._view.scale.px_s
        return _on_grid(held.block.start_s + by_s)

    def _drag(self, event: QMouseEvent) -> bool:
        if self._held is None:
            return False
        far = abs(event.position().x() - self._held.x) >= QApplication.startDragDistance()
        if far and not self._held.moving:
            self._held = _Hold(self._held.block, self._held.x, moving=True)
        if self._held.moving:
            self.moving.emit(self._held.block.id, self._start_s(self._held, event))
        return True

    def _let_go(self, event: QMouseEvent) -> bool:
        held, self._held = self._held, None
        if held is None:
            return False
        self._view.viewport().unsetCursor()
        if held.moving:
            self.dropped.emit(held.block.id, self._start_s(held, event))
        return True


def _on_grid(moment_s: float) -> int:
    return round(moment_s / GRID_S) * GRID_S
