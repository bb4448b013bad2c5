"""The picture of what waits for what: look, choose, join and part."""

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPainterPathStroker,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QApplication, QWidget

from fabsched.desktop.needs.graph import Graph, graph_of
from fabsched.desktop.needs.layers import Joint
from fabsched.desktop.timeline.look import BLUE, GREEN, ORANGE, VERMILLION, Look, look, mixed
from fabsched.model.estimates import Route
from fabsched.model.project import Gate, Part, Project, Work

WIDE, HIGH = 168.0, 40.0
"""Size of a box."""
ACROSS, DOWN = 54.0, 18.0
"""Space between boxes."""
MARGIN = 16.0
NEAR_PX = 7.0
"""How near to a line the pointer means it."""
ARROW_PX = 6.0
STEPS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


@dataclass(frozen=True, slots=True)
class _Pull:
    """A line being drawn from a box.

    Attributes:
        first: id of the box it comes from.
        start: where the button went down.
        end: where the pointer is.
        moving: whether it has moved far enough to mean it.
    """

    first: str
    start: QPointF
    end: QPointF
    moving: bool = False


class NeedsView(QWidget):
    """Shows everything of a project and what it waits for.

    Signals:
        chosen: id of the thing that was chosen; empty when it was let go.
        joined: ids of what is done first and of what shall wait for it.
        parted: the same of a line that shall go.
    """

    chosen = Signal(str)
    joined = Signal(str, str)
    parted = Signal(str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty picture."""
        super().__init__(parent)
        self._project: Project | None = None
        self._graph = Graph(spots={}, joints=())
        self._chosen = ""
        self._line: Joint | None = None
        self._pull: _Pull | None = None
        self._look = look(self.palette(), self.font())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("What waits for what"))
        self.setToolTip(
            self.tr(
                "Drag from one box to another to let that wait for this; "
                "click a line and press Delete to part them."
            )
        )

    @property
    def graph(self) -> Graph:
        """What is shown, in numbers."""
        return self._graph

    @property
    def line(self) -> Joint | None:
        """The line that is marked."""
        return self._line

    def show_project(self, project: Project | None) -> None:
        """Show another project, or what has changed of it."""
        self._project = project
        self._graph = graph_of(project) if project else Graph(spots={}, joints=())
        if self._chosen not in self._graph.spots:
            self._chosen = ""
        if self._line not in self._graph.joints:
            self._line = None
        self.setFixedSize(self.sizeHint())
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for every box."""
        wide = self._graph.columns * (WIDE + ACROSS) - ACROSS + 2 * MARGIN
        high = self._graph.rows * (HIGH + DOWN) - DOWN + 2 * MARGIN
        return QSize(round(max(wide, 200.0)), round(max(high, 80.0)))

    def box(self, ident: str) -> QRectF:
        """Where something stands."""
        spot = self._graph.spots[ident]
        x = MARGIN + spot.column * (WIDE + ACROSS)
        y = MARGIN + spot.top * (HIGH + DOWN)
        return QRectF(x, y, WIDE, HIGH)

    def curve(self, joint: Joint) -> QPainterPath:
        """The line of a joint, led past what stands between its ends."""
        first, then = self.box(joint.first), self.box(joint.then)
        path, left = QPainterPath(QPointF(first.right(), first.center().y())), first.left()
        for middle in self._graph.ways.get(joint, ()):
            left += WIDE + ACROSS
            y = MARGIN + middle * (HIGH + DOWN) - DOWN / 2
            _curve(path, QPointF(left, y))
            path.lineTo(QPointF(left + WIDE, y))
        _curve(path, QPointF(then.left() - 1, then.center().y()))
        return path

    def choose(self, ident: str) -> None:
        """Mark a box; empty lets go."""
        if ident == self._chosen:
            return
        self._chosen, self._line = ident, None
        self._tell_reader()
        self.update()
        self.chosen.emit(ident)

    def _tell_reader(self) -> None:
        item = self._item(self._chosen)
        names = [] if item is None else [self._name(first) for first in item.after]
        waits = (
            self.tr("waits for %s") % ", ".join(names) if names else self.tr("waits for nothing")
        )
        self.setAccessibleDescription(f"{item.name}, {waits}" if item else "")

    def _item(self, ident: str) -> Part | Work | None:
        items = self._project.items if self._project else ()
        return next((item for item in items if item.id == ident), None)

    def _name(self, ident: str) -> str:
        item = self._item(ident)
        return item.name if item else ident

    def _box_at(self, point: QPointF) -> str:
        return next((ident for ident in self._graph.spots if self.box(ident).contains(point)), "")

    def _line_at(self, point: QPointF) -> Joint | None:
        pen = QPainterPathStroker()
        pen.setWidth(2 * NEAR_PX)
        joints = self._graph.joints
        return next((j for j in joints if pen.createStroke(self.curve(j)).contains(point)), None)

    # What Qt tells it.

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Choose a box, or mark a line."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        point = event.position()
        ident = self._box_at(point)
        self.choose(ident)
        self._line = None if ident else self._line_at(point)
        self._pull = _Pull(ident, point, point) if ident else None
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Draw a line from the box."""
        if self._pull is not None:
            end = event.position()
            far = (end - self._pull.start).manhattanLength() >= QApplication.startDragDistance()
            moving = self._pull.moving or far
            self._pull = _Pull(self._pull.first, self._pull.start, end, moving)
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Join the two boxes."""
        pull, self._pull = self._pull, None
        then = self._box_at(event.position())
        self.update()
        if pull is not None and pull.moving and then and then != pull.first:
            self.joined.emit(pull.first, then)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows go from box to box, Delete parts what a marked line joins, Escape lets go."""
        key = event.key()
        if key in STEPS and self._graph.spots:
            self.choose(self._graph.next(self._chosen, *STEPS[Qt.Key(key)]) or self._chosen)
        elif key in {Qt.Key.Key_Delete, Qt.Key.Key_Backspace} and self._line is not None:
            self.parted.emit(self._line.first, self._line.then)
        elif key == Qt.Key.Key_Escape and (self._chosen or self._line):
            self._line = None
            self.choose("")
            self.update()
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._look = look(self.palette(), self.font())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw lines, then boxes on them."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(self._look.scheme.ground))
        for joint in sorted(self._graph.joints, key=self._stands_out):
            self._paint_joint(painter, joint)
        if self._pull is not None and self._pull.moving:
            box = self.box(self._pull.first)
            path = QPainterPath(QPointF(box.right(), box.center().y()))
            _curve(path, self._pull.end)
            painter.setPen(QPen(QColor(self._look.scheme.ink), 1.8, Qt.PenStyle.DashLine))
            painter.drawPath(path)
        for ident in self._graph.spots:
            item = self._item(ident)
            if item is not None:
                self._paint_box(painter, item, self._look)
        painter.end()

    def _stands_out(self, joint: Joint) -> bool:
        return joint == self._line or self._chosen in (joint.first, joint.then)

    def _paint_joint(self, painter: QPainter, joint: Joint) -> None:
        strong = self._stands_out(joint)
        colour = QColor(self._look.scheme.ink if strong else self._look.scheme.faint)
        width = 2.6 if joint == self._line else 1.8 if strong else 1.0
        painter.setPen(QPen(colour, width))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        path = self.curve(joint)
        painter.drawPath(path)
        end = path.currentPosition()
        for side in (-1, 1):
            painter.drawLine(end, end + QPointF(-ARROW_PX, side * ARROW_PX * 0.6))

    def _paint_box(self, painter: QPainter, item: Part | Work, looks: Look) -> None:
        box, pure = self.box(item.id), QColor(_colour(item))
        painter.setBrush(mixed(QColor(looks.scheme.lane), pure, looks.scheme.tint))
        style = Qt.PenStyle.SolidLine if item.needed else Qt.PenStyle.DashLine
        painter.setPen(QPen(pure, 1.4, style))
        radius = 0.0 if isinstance(item, Part) else 8.0
        painter.drawRoundedRect(box, radius, radius)
        if item.id == self._chosen:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(looks.scheme.ink), 2.0))
            painter.drawRoundedRect(box.adjusted(-3, -3, 3, 3), radius + 2, radius + 2)
        painter.setPen(QColor(looks.scheme.ink))
        painter.setFont(looks.small.font)
        lines = looks.small.broken(item.name, box.width() - 12, 2)
        top = box.center().y() - len(lines) * looks.small.line / 2
        for number, text in enumerate(lines):
            base = top + number * looks.small.line + looks.small.ascent
            painter.drawText(QPointF(box.left() + 6, base), text)


def _curve(path: QPainterPath, end: QPointF) -> None:
    """Go on to somewhere, level at both ends."""
    start = path.currentPosition()
    reach = max(20.0, abs(end.x() - start.x()) * 0.45)
    path.cubicTo(start + QPointF(reach, 0), end - QPointF(reach, 0), end)


def _colour(item: Part | Work) -> str:
    if isinstance(item, Part):
        return BLUE if item.route is Route.PRINT else VERMILLION
    return ORANGE if isinstance(item, Gate) else GREEN
