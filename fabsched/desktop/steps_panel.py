"""The plan told step by step: what happens when, who does it, where, and why not before."""

from itertools import groupby

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QSignalBlocker,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QBrush, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from fabsched.desktop.clock import day_text, span_text
from fabsched.desktop.copying import let_copy_tree
from fabsched.desktop.prose import bound
from fabsched.desktop.timeline.scene import Scene
from fabsched.desktop.timeline.steps import Step
from fabsched.desktop.words import capital
from fabsched.session.clock import short, up
from fabsched.session.reason_words import latest_s
from fabsched.session.wording import why

NUMBERS = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
AROUND_PX = 8
"""Air left and right of a text in its cell."""
NUMBER, TIMES, DEED, WHO, WHERE, LAST, WHY = range(7)
"""The columns."""

AIR = 1.12
"""Columns are so much wider than their texts: what goes on now is bold."""
NARROW = 0.55
"""Of what is left of the width, so much is for what is done where not everything has room; the rest
is for why it is not done before (our own choice)."""
SQUEEZED = 0.75
"""What is done and why are shortened to this share of their length before columns go (our own
choice)."""
BREAK = "\N{LINE SEPARATOR}"
"""What Qt parts lines by once a text is to be drawn."""
ROW = 1.4
"""Height of a row, in heights of a line (our own choice)."""


class Telling(QStyledItemDelegate):
    """Writes who and where below what is done, where these have no columns of their own."""

    narrow = False

    def initStyleOption(  # noqa: N802 - Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Add a second line."""
        super().initStyleOption(option, index)
        option.text = bound(option.text)
        if self.narrow and index.column() == DEED:
            beside = (index.sibling(index.row(), column).data() for column in (WHO, WHERE))
            told = ", ".join(text for text in beside if text)
            lines = (_shortened(text, option) for text in (option.text, told))
            option.text = BREAK.join(lines)


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
        self.setWordWrap(True)
        self.setAllColumnsShowFocus(True)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.header().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.header().moveSection(WHY, DEED + 1)  # seen first, before who and where
        self._natural: list[int] = []
        self._telling = Telling(self)
        self.setItemDelegate(self._telling)
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

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Steps carry colours of their own: they follow those of the window."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
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
                item.setTextAlignment(NUMBER, NUMBERS)
                self._items[step.block.id] = item
        self.expandAll()
        self._be_narrow(narrow=False)
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
        left = wide - widths[NUMBER] - widths[TIMES] - widths[LAST]
        beside = left - widths[WHO] - widths[WHERE]
        told = widths[DEED] + widths[WHY]
        narrow = beside < SQUEEZED * told
        room = left if narrow else beside
        if room < told:
            widths[DEED] = max(min(widths[DEED], round(NARROW * room)), room - widths[WHY])
            widths[WHY] = room - widths[DEED]
        self._be_narrow(narrow=narrow)
        for column, width in enumerate(widths):
            if not self.isColumnHidden(column):
                self.setColumnWidth(column, width)

    def _be_narrow(self, *, narrow: bool) -> None:
        """Who and where stand in columns of their own or below what is done; rows are as high."""
        self._telling.narrow = narrow
        for column in (WHO, WHERE):
            self.setColumnHidden(column, narrow)
        line = self.fontMetrics().height()
        high = QSize(0, round(line * (ROW + narrow)))
        for item in self._items.values():
            if item.sizeHint(NUMBER) != high:
                item.setSizeHint(NUMBER, high)

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


def _shortened(text: str, option: QStyleOptionViewItem) -> str:
    room = option.rect.width() - AROUND_PX
    return option.fontMetrics.elidedText(text, Qt.TextElideMode.ElideRight, room)


def _texts(step: Step, scene: Scene) -> list[str]:
    block = step.block
    last = "" if block.last_start_s is None else short(latest_s(block), scene.zone, block.start_s)
    return [
        str(step.number),
        span_text(block.start_s, block.end_s, scene.zone),
        step.deed,
        step.who,
        step.where,
        last,
        capital(why(block.reason)),
    ]
