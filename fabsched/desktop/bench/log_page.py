"""The log: everything that was told, the newest first, to be put right in place."""

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt
from PySide6.QtGui import QBrush, QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.bench.asker import Asker
from fabsched.desktop.copying import let_copy_tree
from fabsched.desktop.desk import Desk
from fabsched.desktop.prose import Prose
from fabsched.desktop.words import capital
from fabsched.model.log import ABOUT_ENTRIES, Entry, Event, holding
from fabsched.session.bench import Bench
from fabsched.session.clock import short
from fabsched.session.log_words import entry_line, names_of
from fabsched.session.wording import phrase

WHEN, WHAT, WHY, NOTED = range(4)
"""The columns."""
AIR = 1.12
"""Columns are so much wider than their texts."""
ROW = 1.4
"""Height of a row, in heights of a line (our own choice)."""


class LogList(QTreeWidget):
    """The entries."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty list."""
        super().__init__(parent)
        titles = ("when", "what happened", "why", "written down")
        self.setHeaderLabels([self.tr(title) for title in titles])
        self.setAccessibleName(self.tr("Log"))
        self.setRootIsDecorated(False)
        let_copy_tree(self)
        self.setUniformRowHeights(True)
        self.setAllColumnsShowFocus(True)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)

    def fit(self) -> None:
        """Make columns as wide as their texts; the last one takes what is left."""
        for column in range(self.columnCount() - 1):
            self.resizeColumnToContents(column)
            self.setColumnWidth(column, round(self.columnWidth(column) * AIR))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Only now is it known how wide texts are."""
        super().showEvent(event)
        self.fit()

    @property
    def chosen(self) -> int:
        """Number of the chosen entry; 0 for none."""
        item = self.currentItem()
        return int(item.data(WHEN, Qt.ItemDataRole.UserRole)) if item else 0


class LogPage(QWidget):
    """Follows a desk's log."""

    def __init__(self, desk: Desk, asker: Asker, parent: QWidget | None = None) -> None:
        """Make a page that follows a desk.

        Args:
            desk: whose log.
            asker: puts entries right.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._asker = desk, asker
        self._shown: tuple[Entry, ...] = ()
        self.hint, self.list = Prose(self), LogList(self)
        self.correct = QPushButton(phrase("say-correct"), self)
        self.withdraw = QPushButton(phrase("say-withdraw"), self)
        self._lay_out()
        self.setFocusProxy(self.list)
        self.correct.clicked.connect(self._correct)
        self.withdraw.clicked.connect(self._withdraw)
        self.list.itemActivated.connect(lambda _item, _column: self._correct())
        self.list.currentItemChanged.connect(self._allow)
        for signal in (desk.opened, desk.changed, desk.planned):
            signal.connect(self.follow)
        self.follow()

    def _lay_out(self) -> None:
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.correct.setToolTip(self.tr("Say when it really was, or how far it got (Enter)"))
        self.withdraw.setToolTip(self.tr("Take the entry back; it stays in the list (Delete)"))
        row = QHBoxLayout()
        row.addWidget(self.correct)
        row.addWidget(self.withdraw)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(self.hint)
        column.addWidget(self.list, 1)
        column.addLayout(row)

    def follow(self) -> None:
        """Show what the log says now."""
        session = self._desk.session
        entries = session.log.entries if session else ()
        if entries != self._shown or not entries:
            self._shown = entries
            self._fill(session, entries)
        self._allow()

    def _fill(self, session: Bench | None, entries: tuple[Entry, ...]) -> None:
        chosen, held = self.list.chosen, {entry.id for entry in holding(entries)}
        with QSignalBlocker(self.list):
            self.list.clear()
            for entry in reversed(entries):
                if session is not None and entry.kind is not Event.PLANNED:
                    item = QTreeWidgetItem(self.list, _texts(session, entry, entries))
                    self._dress(item, entry, held=entry.id in held)
                    if entry.id == chosen:
                        self.list.setCurrentItem(item)
        told = self.list.topLevelItemCount() > 0
        self.hint.setText(phrase("log-hint" if told else "log-quiet"))
        self.list.fit()

    def _dress(self, item: QTreeWidgetItem, entry: Entry, *, held: bool) -> None:
        """What no longer holds is struck out, and says so."""
        wide = self.fontMetrics().horizontalAdvance(item.text(WHEN))
        item.setSizeHint(WHEN, QSize(round(wide * AIR), round(self.fontMetrics().height() * ROW)))
        item.setData(WHEN, Qt.ItemDataRole.UserRole, entry.id)
        off = not held and entry.kind not in ABOUT_ENTRIES
        font = self.list.font()
        font.setStrikeOut(off)
        role = self.palette().ColorRole
        brush = QBrush(self.palette().color(role.Text if held else role.PlaceholderText))
        for column in range(self.list.columnCount()):
            item.setFont(column, font)
            item.setForeground(column, brush)
            item.setToolTip(column, phrase("log-off") if off else item.text(column))

    def _allow(self) -> None:
        """Only what holds can be put right."""
        held = {entry.id for entry in holding(self._shown)}
        for button in (self.correct, self.withdraw):
            button.setEnabled(self.list.chosen in held)

    def _correct(self) -> None:
        entry = next((entry for entry in self._shown if entry.id == self.list.chosen), None)
        if entry is not None and self.correct.isEnabled():
            self._asker.correct(entry)

    def _withdraw(self) -> None:
        if self.withdraw.isEnabled():
            self._asker.teller.withdraw(self.list.chosen)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Entries carry colours of their own: they follow those of the window."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self._shown:
            self._fill(self._desk.session, self._shown)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Delete takes the chosen entry back."""
        if event.key() == Qt.Key.Key_Delete:
            self._withdraw()
        else:
            super().keyPressEvent(event)


def _texts(session: Bench, entry: Entry, entries: tuple[Entry, ...]) -> list[str]:
    zone = session.project.zone
    names = names_of(session.project, session.shop)
    noted = "" if entry.noted_s == entry.moment_s else short(entry.noted_s, zone)
    return [
        short(entry.moment_s, zone),
        capital(entry_line(entry, names, zone, entries)),
        entry.why,
        noted,
    ]
