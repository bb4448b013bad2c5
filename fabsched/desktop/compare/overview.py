"""All ways in one small table: what counts most, without scrolling."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from fabsched.desktop.compare.words import overview_heads, overview_row
from fabsched.desktop.copying import let_copy
from fabsched.session.way_records import ShownWay

MOST_ROWS = 9
"""Rows that are shown before the table scrolls."""


class Overview(QTableWidget):
    """A row for each way; the one that is chosen is shown in full.

    Signals:
        chosen: number of the way that is looked at now.
    """

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        heads = overview_heads()
        super().__init__(0, len(heads), parent)
        for column, text in enumerate(heads):
            item = QTableWidgetItem(text)
            item.setTextAlignment(_side(column))
            self.setHorizontalHeaderItem(column, item)
        self.verticalHeader().hide()
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(self.tr("All ways"))
        self.setToolTip(self.tr("Choose a row to see that way in full"))
        head = self.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        head.setHighlightSections(False)
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 6)
        self.currentCellChanged.connect(self._tell)
        let_copy(self, self.table, heads=1)
        self.hide()

    def table(self) -> tuple[tuple[str, ...], ...]:
        """All ways as they stand here, below their headings."""
        rows = (self.cells(row) for row in range(self.rowCount()))
        return (overview_heads(), *(tuple(cell.text() for cell in row) for row in rows))

    def add(self, way: ShownWay, currency: str) -> None:
        """Add a way behind the others."""
        with QSignalBlocker(self):
            number = self.rowCount()
            self.insertRow(number)
            for column, text in enumerate(overview_row(way, currency)):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                item.setTextAlignment(_side(column))
                self.setItem(number, column, item)
        self._fit()

    def clear_ways(self) -> None:
        """Take all rows away."""
        with QSignalBlocker(self):
            self.setRowCount(0)
        self.hide()

    def mark_best(self, number: int) -> None:
        """Make one way stand out."""
        for row in range(self.rowCount()):
            for item in self.cells(row):
                font = item.font()
                font.setBold(row == number)
                item.setFont(font)

    def cells(self, row: int) -> list[QTableWidgetItem]:
        """The cells of a row."""
        found = (self.item(row, column) for column in range(self.columnCount()))
        return [item for item in found if item is not None]

    def _fit(self) -> None:
        rows = min(self.rowCount(), MOST_ROWS) * self.verticalHeader().defaultSectionSize()
        self.setFixedHeight(rows + self.horizontalHeader().sizeHint().height() + 4)
        self.setVisible(self.rowCount() > 1)

    def _tell(self, row: int) -> None:
        if row >= 0:
            self.chosen.emit(row)


def _side(column: int) -> Qt.AlignmentFlag:
    """Names stand to the left, figures to the right."""
    side = Qt.AlignmentFlag.AlignRight if column else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter
