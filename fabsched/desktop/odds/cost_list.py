"""Setbacks ranked by what they cost, each with the way to its block."""

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from fabsched.desktop.copying import let_copy
from fabsched.desktop.odds.costs import cost_text
from fabsched.desktop.odds.views import CostBar
from fabsched.desktop.odds.words import Names, setback_text
from fabsched.desktop.prose import Prose
from fabsched.odds.told import Setback


class CostList(QWidget):
    """A row for each setback."""

    def __init__(self, show: Callable[[str], object], parent: QWidget | None = None) -> None:
        """Make it empty.

        Args:
            show: shows the block of the id of a run, work or gate.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._show = show
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 3)
        self._grid.setColumnStretch(1, 2)
        self.buttons: list[QPushButton] = []
        self.labels: list[QLabel] = []
        self.bars: list[CostBar] = []
        let_copy(self, self.table)

    def table(self) -> list[tuple[str, str]]:
        """What it shows, as rows for the clipboard."""
        costs = (bar.accessibleName() for bar in self.bars)
        return [(label.text(), cost) for label, cost in zip(self.labels, costs, strict=True)]

    def show_setbacks(self, setbacks: Sequence[Setback], names: Names) -> None:
        """Show others, the costliest first."""
        for widget in (*self.buttons, *self.labels, *self.bars):
            self._grid.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self.buttons, self.labels, self.bars = [], [], []
        most = max((each.cost for each in setbacks), default=1.0)
        for row, each in enumerate(setbacks):
            self._add(row, each, most, names)

    def _add(self, row: int, each: Setback, most: float, names: Names) -> None:
        label = Prose(self, setback_text(each, names))
        label.setTextFormat(Qt.TextFormat.PlainText)
        bar = CostBar(each.cost, most, self)
        bar.setAccessibleName(cost_text(each.cost))
        button = QPushButton(self.tr("Show"), self)
        button.setToolTip(self.tr("Show it on the timeline"))
        button.setAccessibleName(self.tr("Show %s on the timeline") % names.get(each.id, each.id))
        button.clicked.connect(partial(self._press, each.id))
        for column, widget in enumerate((label, bar, button)):
            self._grid.addWidget(widget, row, column)
        self.labels.append(label)
        self.bars.append(bar)
        self.buttons.append(button)

    def _press(self, ident: str) -> None:
        self._show(ident)
