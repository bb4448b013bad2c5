"""A week of quarter hours: drag over it to open or close them."""

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from fabsched.desktop.timeline.look import GREEN, look, mixed
from fabsched.session.week import NEVER, QUARTERS, Week, open_h, painted
from fabsched.session.wording import day_name

STEPS = {
    Qt.Key.Key_Left: (0, -1),
    Qt.Key.Key_Right: (0, 1),
    Qt.Key.Key_Up: (-1, 0),
    Qt.Key.Key_Down: (1, 0),
}
ROW_PX = 22.0
"""Height of a day."""

Cell = tuple[int, int]
"""Day and quarter."""


@dataclass(frozen=True, slots=True)
class _Stroke:
    """A rectangle being painted.

    Attributes:
        start: where it began.
        before: the week then.
        is_open: what its cells become.
    """

    start: Cell
    before: Week
    is_open: bool


class WeekView(QWidget):
    """Shows a week and lets it be painted.

    Signals:
        changed: the week as it was painted, when the button or key is let go.
    """

    changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make a week that is closed throughout."""
        super().__init__(parent)
        self._week = NEVER
        self._cursor: Cell = (0, 36)
        self._stroke: _Stroke | None = None
        self._look = look(self.palette(), self.font())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName(self.tr("Hours of the week"))
        self.setToolTip(
            self.tr("Drag to open or close hours; with the keyboard: arrows and Space.")
        )

    @property
    def week(self) -> Week:
        """What is painted."""
        return self._week

    def show_week(self, week: Week) -> None:
        """Show another week."""
        if week != self._week:
            self._week = week
            self._tell_reader()
            self.update()

    def _tell_reader(self) -> None:
        day, quarter = self._cursor
        state = self.tr("open") if self._week[day][quarter] else self.tr("closed")
        hours = self.tr("%g hours a week") % open_h(self._week)
        clock = f"{quarter // 4:02d}:{quarter % 4 * 15:02d}"
        self.setAccessibleDescription(f"{day_name(day, short=True)} {clock} {state}; {hours}")

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for every quarter hour."""
        return QSize(560, round(7 * ROW_PX + self._look.small.line + 10))

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As high, but narrower."""
        return QSize(320, self.sizeHint().height())

    def _grid(self) -> QRectF:
        left = self._look.small.width("Mon") + 12
        top = self._look.small.line + 6.0
        return QRectF(left, top, max(1.0, self.width() - left - 4), 7 * ROW_PX)

    def cell_at(self, point: QPointF) -> Cell:
        """The cell under a point, or the nearest."""
        grid = self._grid()
        day = int((point.y() - grid.top()) // ROW_PX)
        quarter = int((point.x() - grid.left()) / grid.width() * QUARTERS)
        return min(max(day, 0), 6), min(max(quarter, 0), QUARTERS - 1)

    def rect_of(self, cell: Cell) -> QRectF:
        """Where a cell lies."""
        grid = self._grid()
        wide = grid.width() / QUARTERS
        return QRectF(grid.left() + cell[1] * wide, grid.top() + cell[0] * ROW_PX, wide, ROW_PX - 3)

    # What Qt tells it.

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Begin to paint: an open cell closes, a closed one opens."""
        if event.button() == Qt.MouseButton.LeftButton:
            day, quarter = self._cursor = self.cell_at(event.position())
            self._stroke = _Stroke(self._cursor, self._week, not self._week[day][quarter])
            self._paint_to(self._cursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Paint on."""
        if self._stroke is not None:
            self._paint_to(self.cell_at(event.position()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Tell what was painted."""
        stroke, self._stroke = self._stroke, None
        if stroke is not None and self._week != stroke.before:
            self.changed.emit(self._week)

    def _paint_to(self, cell: Cell) -> None:
        if self._stroke is not None:
            self._cursor = cell
            stroke = self._stroke
            self.show_week(painted(stroke.before, stroke.start, cell, is_open=stroke.is_open))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows move from cell to cell, Space opens or closes one, with Shift the rest of the hour."""
        key = event.key()
        if key in STEPS:
            day, quarter = STEPS[Qt.Key(key)]
            self._cursor = (
                (self._cursor[0] + day) % 7,
                (self._cursor[1] + quarter) % QUARTERS,
            )
            self._tell_reader()
            self.update()
        elif key == Qt.Key.Key_Space:
            self._toggle(4 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1)
        else:
            super().keyPressEvent(event)

    def _toggle(self, quarters: int) -> None:
        day, quarter = self._cursor
        end = (day, min(quarter + quarters, QUARTERS) - 1)
        is_open = not self._week[day][quarter]
        self.show_week(painted(self._week, self._cursor, end, is_open=is_open))
        self.changed.emit(self._week)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._look = look(self.palette(), self.font())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw days in rows, hours above them."""
        painter = QPainter(self)
        grid, looks = self._grid(), self._look
        painter.setFont(looks.small.font)
        opened = mixed(QColor(looks.scheme.lane), QColor(GREEN), 0.75)
        for day, cells in enumerate(self._week):
            for quarter, is_open in enumerate(cells):
                rect = self.rect_of((day, quarter)).adjusted(0, 0, 0.6, 0)
                painter.fillRect(rect, opened if is_open else QColor(looks.scheme.shut))
            painter.setPen(QColor(looks.scheme.ink))
            base = grid.top() + day * ROW_PX + looks.small.ascent + 2
            painter.drawText(QPointF(2, base), day_name(day, short=True))
        self._paint_hours(painter, grid)
        if self.hasFocus():
            painter.setPen(QPen(QColor(looks.scheme.ink), 2.0))
            painter.drawRect(self.rect_of(self._cursor).adjusted(-1, -1, 1, 1))
        painter.end()

    def _paint_hours(self, painter: QPainter, grid: QRectF) -> None:
        for hour in range(0, 25, 3):
            x = grid.left() + grid.width() * hour / 24
            painter.setPen(QPen(QColor(self._look.scheme.ground), 1.0))
            painter.drawLine(QPointF(x, grid.top()), QPointF(x, grid.bottom()))
            text = f"{hour:02d}"
            half = self._look.small.width(text) / 2
            painter.setPen(QColor(self._look.scheme.faint))
            left = min(max(x - half, grid.left()), grid.right() - 2 * half)
            painter.drawText(QPointF(left, self._look.small.ascent + 2), text)
