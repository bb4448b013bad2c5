"""The pictures of the odds as widgets."""

from zoneinfo import ZoneInfo

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from fabsched.desktop.odds.costs import draw_cost
from fabsched.desktop.odds.needed import draw_glance, draw_needed
from fabsched.desktop.odds.spread import draw_spread
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import GREEN, VERMILLION, look
from fabsched.model.plan import Odds
from fabsched.odds.told import Outlook

PLOT_PX = 210
"""Least height of a picture."""
GLANCE_PX = (160, 40)
"""Size of the picture beside the headline."""
COST_PX = 22
"""Height of a bar."""


class Picture(QWidget):
    """Something drawn; a subclass says how."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        """Make an empty one with a name for screen readers."""
        super().__init__(parent)
        self.setAccessibleName(name)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.draw(painter, Rect(x=0, y=0, w=self.width(), h=self.height()))
        painter.end()

    def draw(self, painter: QPainter, rect: Rect) -> None:
        """Draw it into a rectangle."""
        raise NotImplementedError


class SpreadView(Picture):
    """When all is likely done."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__("", parent)
        self.setAccessibleName(self.tr("When it is done, over all simulated weekends"))
        self.setMinimumSize(300, PLOT_PX)
        self._shown: tuple[Odds, int, ZoneInfo] | None = None

    def show_odds(self, odds: Odds | None, deadline_s: int, zone: ZoneInfo) -> None:
        """Show other odds, or none."""
        self._shown = (odds, deadline_s, zone) if odds else None
        self.update()

    def draw(self, painter: QPainter, rect: Rect) -> None:
        """Draw the distribution."""
        if self._shown:
            draw_spread(painter, look(self.palette(), self.font()), rect, *self._shown)


class NeededView(Picture):
    """Time needed against time left."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__("", parent)
        self.setAccessibleName(self.tr("Time needed, setbacks included, against time left"))
        self.setMinimumSize(300, PLOT_PX)
        self._shown: tuple[tuple[Outlook, ...], int, ZoneInfo] = ((), 0, ZoneInfo("UTC"))

    def show_outlooks(self, outlooks: tuple[Outlook, ...], now_s: int, zone: ZoneInfo) -> None:
        """Show another course, or none."""
        self._shown = (outlooks, now_s, zone)
        self.update()

    def draw(self, painter: QPainter, rect: Rect) -> None:
        """Draw the band and the line."""
        draw_needed(painter, look(self.palette(), self.font()), rect, *self._shown)


class Glance(Picture):
    """Time needed against time left, small; leads to the large one.

    Signals:
        clicked: somebody wants to see more.
    """

    clicked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one, which is hidden."""
        super().__init__("", parent)
        self.setAccessibleName(self.tr("Time needed against time left, at a glance"))
        self.setToolTip(
            self.tr("The line is the time left, the band the time needed, setbacks included")
        )
        self.setFixedSize(*GLANCE_PX)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._shown: tuple[tuple[Outlook, ...], int] = ((), 0)
        self.hide()

    def show_outlooks(self, outlooks: tuple[Outlook, ...], now_s: int) -> None:
        """Show another course; nothing hides it."""
        self._shown = (outlooks, now_s)
        self.setVisible(len(outlooks) > 1)
        self.update()

    def draw(self, painter: QPainter, rect: Rect) -> None:
        """Draw band and line on a ground of their own."""
        looks = look(self.palette(), self.font())
        painter.fillRect(self.rect(), QColor(looks.scheme.lane))
        draw_glance(painter, looks, rect, *self._shown)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Show more."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.clicked.emit()


class CostBar(Picture):
    """What a setback costs, as a bar with its number."""

    def __init__(
        self, cost: float, most: float, parent: QWidget | None = None, *, wins: bool = False
    ) -> None:
        """Show a cost.

        Args:
            cost: chance lost.
            most: the cost whose bar takes all the width.
            parent: Qt owner.
            wins: whether it is chance won instead.
        """
        super().__init__("", parent)
        self.cost, self.most, self.wins = cost, most, wins
        self.setFixedHeight(COST_PX)
        self.setMinimumWidth(120)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Wide enough to compare."""
        return QSize(200, COST_PX)

    def draw(self, painter: QPainter, rect: Rect) -> None:
        """Draw the bar."""
        looks = look(self.palette(), self.font())
        draw_cost(painter, looks, rect, self.cost, self.most, GREEN if self.wins else VERMILLION)
