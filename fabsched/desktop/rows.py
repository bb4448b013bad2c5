"""A scrolling column of rows that follow a list by id, so that a row keeps its focus."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Generic, TypeVar

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.icons import icon


class Row(QFrame):
    """A card in a column of rows; a subclass names the controls one can reach by Tab."""

    @property
    def stops(self) -> tuple[QWidget, ...]:
        """These controls, in order."""
        raise NotImplementedError


RowT = TypeVar("RowT", bound=Row)


class Rows(QScrollArea, Generic[RowT]):
    """Holds one row for each id."""

    def __init__(self, make: Callable[[str], RowT], before: QWidget, parent: QWidget) -> None:
        """Make an empty column.

        Args:
            make: makes the row of an id.
            before: the control Tab comes from.
            parent: the widget it lies in.
        """
        super().__init__(parent)
        self._make = make
        self._before = before
        self._rows: dict[str, RowT] = {}
        body = QWidget(self)
        self._column = QVBoxLayout(body)
        self._column.setContentsMargins(0, 0, 4, 0)
        self._column.setSpacing(4)
        self._column.addStretch(1)
        self.setWidget(body)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    @property
    def rows(self) -> dict[str, RowT]:
        """The rows by id, in order."""
        return dict(self._rows)

    def follow(self, idents: Sequence[str]) -> None:
        """Have exactly these rows, in this order."""
        for ident in self._rows.keys() - set(idents):
            row = self._rows.pop(ident)
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        for ident in idents:
            if ident not in self._rows:
                self._rows[ident] = self._make(ident)
        for place, ident in enumerate(idents):
            if self._column.indexOf(self._rows[ident]) != place:
                self._column.insertWidget(place, self._rows[ident])
        self._rows = {ident: self._rows[ident] for ident in idents}

    def order_stops(self) -> None:
        """Let Tab go down the rows, however they and what is on them came about."""
        stops = [stop for row in self._rows.values() for stop in row.stops]
        for one, other in pairwise([self._before, *stops]):
            QWidget.setTabOrder(one, other)


def card(widget: QFrame) -> QVBoxLayout:
    """Make a frame look like a card and give it a column."""
    widget.setAutoFillBackground(True)
    widget.setBackgroundRole(widget.palette().ColorRole.Base)
    column = QVBoxLayout(widget)
    column.setContentsMargins(10, 6, 6, 6)
    column.setSpacing(3)
    return column


def hairline(parent: QWidget) -> QFrame:
    """A thin line across a column."""
    line = QFrame(parent)
    line.setFrameShape(QFrame.Shape.HLine)
    line.setForegroundRole(line.palette().ColorRole.Mid)
    return line


class IconButton(QToolButton):
    """A small button with an icon only, in the colours of now."""

    def __init__(self, name: str, parent: QWidget) -> None:
        """Make a button with the icon of that name."""
        super().__init__(parent)
        self._name = name
        self._paint()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_name"):
            self._paint()

    def _paint(self) -> None:
        self.setIcon(icon(self._name, self.palette()))


class IconLabel(QLabel):
    """An icon that says what kind of thing a row is, in the colours of now."""

    def __init__(self, parent: QWidget, side: int = 18) -> None:
        """Make it empty; so many pixels are its sides."""
        super().__init__(parent)
        self._side = side
        self._name = ""

    def show_icon(self, name: str, text: str) -> None:
        """Show the icon of that name, with what it means."""
        self._name = name
        self.setToolTip(text)
        self.setAccessibleName(text)
        self._paint()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_name") and self._name:
            self._paint()

    def _paint(self) -> None:
        made = icon(self._name, self.palette())
        self.setPixmap(made.pixmap(QSize(self._side, self._side), self.devicePixelRatio()))


def tool(parent: QWidget, name: str, text: str, deed: Callable[[], object]) -> QToolButton:
    """A small button with an icon only, its meaning as tooltip and for screen readers."""
    button = IconButton(name, parent)
    button.setIconSize(QSize(16, 16))
    button.setAutoRaise(True)
    button.setToolTip(text)
    button.setAccessibleName(text)
    button.clicked.connect(lambda _checked: deed())
    return button


class ShortLabel(QLabel):
    """A line of text that is cut with an ellipsis where there is no room for all of it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one, which takes what room there is."""
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw as much of the text as fits."""
        painter = QPainter(self)
        ahead = Qt.TextElideMode.ElideRight
        text = self.fontMetrics().elidedText(self.text(), ahead, self.width())
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter, text)
        painter.end()
