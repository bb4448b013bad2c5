"""The plan told step by step: what happens when, who does it, where, and why not before."""

from itertools import groupby

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from fabsched.desktop.clock import day_text, span_text
from fabsched.desktop.copying import let_copy_tree
from fabsched.desktop.timeline.scene import Scene
from fabsched.desktop.timeline.steps import Step
from fabsched.desktop.words import capital
from fabsched.session.clock import short, up
from fabsched.session.wording import why

NUMBER, TIMES, DEED, WHO, WHERE, LAST, WHY = range(7)
"""The columns."""

AIR = 1.12
"""Columns are so much wider than their texts: what goes on now is bold."""
NARROW = 0.42
"""Share of the width what is done takes at most, where not everything has room (our own choice)."""
ROW = 1.4
"""Height of a row, in heights of a line (our own choice)."""


class StepsPanel(QTreeWidget):
    """Lists the steps of a scene, a day at a time.

    Signals:
        chosen: id of the block of the step that was chosen.
    """

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty list."""
        super().__init__(parent)
        self._items: dict[str, QTreeWidgetItem] = {}
        self._scene: Scene | None = None
        self._now_s = 0
        titles = ("no.", "when", "what", "who", "where", "at the latest", "why not before")
        self.setHeaderLabels([self.tr(title) for title in titles])
        self.setAccessibleName(self.tr("Step by step"))
        self.setRootIsDecorated(False)
        let_copy_tree(self)
        self.setIndentation(0)
        self.setItemsExpandable(False)
        self.setUniformRowHeights(True)
        self.setAllColumnsShowFocus(True)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.header().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.header().moveSection(WHY, DEED + 1)  # seen first, before who and where
        self._natural: list[int] = []
        self.currentItemChanged.connect(self._tell)

    def set_scene(self, scene: Scene | None) -> None:
        """List the steps of something else."""
        self._scene = scene
        with QSignalBlocker(self):
            self.clear()
            self._items = {}
            if scene is not None:
                self._fill(scene)
        self._mark()

    def set_now(self, now_s: int) -> None:
        """Tell what is over from what goes on and what is to come."""
        self._now_s = now_s
        self._mark()

    def choose(self, ident: str) -> None:
        """Mark the step of a block without telling of it; nothing where there is none."""
        with QSignalBlocker(self):
            item = self._items.get(ident)
            if item is None:
                self.clearSelection()
            else:
                self.setCurrentItem(item)

    def _fill(self, scene: Scene) -> None:
        days = groupby(scene.steps, key=lambda s: day_text(up(s.block.start_s), scene.zone))
        for day, steps in days:
            heading = QTreeWidgetItem(self, [day])
            heading.setFlags(Qt.ItemFlag.ItemIsEnabled)
            heading.setFirstColumnSpanned(True)
            font = self.font()
            font.setWeight(font.Weight.DemiBold)
            heading.setFont(NUMBER, font)
            for step in steps:
                item = QTreeWidgetItem(heading, _texts(step, scene))
                item.setToolTip(WHY, item.text(WHY))
                item.setToolTip(DEED, item.text(DEED))
                item.setData(NUMBER, Qt.ItemDataRole.UserRole, step.block.id)
                item.setSizeHint(NUMBER, QSize(0, round(self.fontMetrics().height() * ROW)))
                item.setTextAlignment(NUMBER, Qt.AlignmentFlag.AlignRight)
                self._items[step.block.id] = item
        self.expandAll()
        for column in range(self.columnCount()):
            self.resizeColumnToContents(column)
        columns = range(self.columnCount())
        self._natural = [round(self.columnWidth(column) * AIR) for column in columns]
        self._share_width()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Share the width anew."""
        super().resizeEvent(event)
        self._share_width()

    def _share_width(self) -> None:
        """What is done and why not before are always in sight; tooltips tell what is cut short."""
        if not self._natural:
            return
        wide, widths = self.viewport().width(), list(self._natural)
        if sum(widths) > wide:
            widths[DEED] = min(widths[DEED], round(NARROW * wide))
            left = wide - widths[NUMBER] - widths[TIMES] - widths[DEED]
            widths[WHY] = min(widths[WHY], left)
        for column, width in enumerate(widths):
            self.setColumnWidth(column, width)

    def _mark(self) -> None:
        """Past steps are faint, present ones bold."""
        role = self.palette().ColorRole
        for step in self._scene.steps if self._scene else ():
            block, item = step.block, self._items[step.block.id]
            past, present = block.end_s <= self._now_s, block.start_s <= self._now_s < block.end_s
            font = self.font()
            font.setBold(present)
            brush = QBrush(self.palette().color(role.PlaceholderText if past else role.Text))
            for column in range(self.columnCount()):
                if item.font(column) != font:
                    item.setFont(column, font)
                if item.foreground(column) != brush:
                    item.setForeground(column, brush)

    def _tell(self, item: QTreeWidgetItem | None) -> None:
        ident = item.data(NUMBER, Qt.ItemDataRole.UserRole) if item else None
        if ident:
            self.chosen.emit(ident)


def _texts(step: Step, scene: Scene) -> list[str]:
    block = step.block
    last = (
        "" if block.last_start_s is None else short(block.last_start_s, scene.zone, block.start_s)
    )
    return [
        str(step.number),
        span_text(block.start_s, block.end_s, scene.zone),
        step.deed,
        step.who,
        step.where,
        last,
        capital(why(block.reason)),
    ]
