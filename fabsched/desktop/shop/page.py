"""The page of the shop: a list of all it has, and a form for what is chosen in it."""

from collections.abc import Callable, Mapping
from functools import partial
from itertools import pairwise
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QToolButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.asking import Asks
from fabsched.desktop.calendars import CalendarBar
from fabsched.desktop.copying import let_copy_tree
from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Notes, Said, Tone
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.shop.form import RecordForm
from fabsched.desktop.shop.hours_editor import BusyEditor
from fabsched.desktop.shop.names import GROUPS, NEW, tr
from fabsched.desktop.shop.stock_words import stock_text
from fabsched.desktop.words import error_text, field_text
from fabsched.files.shop_text import Record, keys_of, records_of
from fabsched.model.errors import InputError
from fabsched.model.findings import Remark
from fabsched.model.shop import Calendar, Shop
from fabsched.session.calendar_reading import is_slow
from fabsched.session.noticed import say
from fabsched.session.shop_book import ShopEdit
from fabsched.session.shop_edits import (
    copied,
    fresh,
    listed,
    put_record,
    with_way,
    without_record,
)
from fabsched.session.wording import phrase
from fabsched.session.working_hours import AHEAD_DAYS, busy_ahead

STOCK = (Remark.STOCK_SHORT, Remark.SHEET_SMALL)
"""Remarks about what has to be bought."""

Key = tuple[str, str]
"""Kind and key of a record."""


class ShopPage(QWidget):
    """Follows a desk's shop."""

    def __init__(self, desk: Desk, asks: Asks, parent: QWidget | None = None) -> None:
        """Make a page.

        Args:
            desk: whose shop.
            asks: how it asks for calendar files.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._asks = desk, asks
        self._chosen: Key | None = None
        self._shown: tuple[Key, Record, Shop] | None = None
        self._forms: dict[str, RecordForm] = {}
        self._scrolls: dict[str, QScrollArea] = {}
        self.trouble = Note(Tone.ERROR, self)
        self.calendars = CalendarBar(desk, self)
        self.wants = Notes(Tone.WARNING, self)
        self.list = QTreeWidget(self)
        self.add, self.copy = QToolButton(self), QPushButton(tr("Cop&y"), self)
        self.remove = QPushButton(tr("Remo&ve"), self)
        self.hint = Prose(self, tr("Choose something on the left, or add something new."))
        self.forms = QStackedWidget(self)
        self.file = Prose(self)
        self._dress()
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.list)

    def _dress(self) -> None:
        self.list.setHeaderHidden(True)
        let_copy_tree(self.list)
        self.list.setRootIsDecorated(False)
        self.list.setIndentation(12)
        self.list.setAccessibleName(tr("What the shop has"))
        self.add.setText(tr("Add"))
        self.add.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.add.setToolTip(tr("Add a place, somebody, a machine or stock (Insert, in the list)"))
        self.add.setAccessibleName(tr("Add to the shop"))
        menu = QMenu(self.add)
        for kind, name in NEW.items():
            menu.addAction(tr(name)).triggered.connect(partial(self.add_new, kind))
        self.add.setMenu(menu)
        self.copy.setToolTip(tr("Add another one like it"))
        self.remove.setToolTip(tr("Take it out of the shop; undo brings it back"))
        for label in (self.hint, self.file):
            label.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.file.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)

    def _lay_out(self) -> None:
        left = QWidget(self)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.list, 1)
        row = QHBoxLayout()
        for button in (self.add, self.copy, self.remove):
            row.addWidget(button)
        column.addLayout(row)
        self.forms.addWidget(self.hint)
        halves = QSplitter(Qt.Orientation.Horizontal, self)
        for widget in (left, self.forms):
            halves.addWidget(widget)
            halves.setCollapsible(halves.indexOf(widget), False)
        halves.setHandleWidth(14)
        halves.setSizes([210, 490])
        halves.setStretchFactor(1, 1)
        page = QVBoxLayout(self)
        page.setContentsMargins(0, 6, 0, 0)
        for widget in (self.trouble, self.calendars, self.wants):
            page.addWidget(widget)
        page.addWidget(halves, 1)
        page.addWidget(self.file)

    def _connect(self) -> None:
        self.list.currentItemChanged.connect(self._choose_item)
        self.copy.clicked.connect(self.copy_chosen)
        self.remove.clicked.connect(self.remove_chosen)
        for key, deed in (
            (Qt.Key.Key_Delete, self.remove_chosen),
            (Qt.Key.Key_Insert, self.add.showMenu),
        ):
            shortcut = QShortcut(QKeySequence(key), self.list)
            shortcut.setContext(Qt.ShortcutContext.WidgetShortcut)
            shortcut.activated.connect(deed)
        desk = self._desk
        for signal in (desk.opened, desk.changed, desk.planned, desk.estimated):
            signal.connect(self.follow)
        desk.opened.connect(lambda: self.trouble.say(""))

    # What is shown.

    @property
    def shop(self) -> Shop:
        """The shop as it is now; an empty one without a project."""
        session = self._desk.session
        return session.shop if session else Shop()

    @property
    def record(self) -> Record | None:
        """What is chosen."""
        return self._records().get(self._chosen) if self._chosen else None

    @property
    def form(self) -> RecordForm | None:
        """The form of what is chosen."""
        return self._forms.get(self._chosen[0]) if self._chosen else None

    def _records(self) -> Mapping[Key, Record]:
        shop = self.shop
        return {
            (kind, key): record
            for kind in GROUPS
            for records in (records_of(shop, kind),)
            for key, record in zip(keys_of(records), records, strict=True)
        }

    def follow(self) -> None:
        """Show the shop as it is now; what is out of sight waits until it is seen."""
        session = self._desk.session
        if not self.isVisible() or session is None:
            return
        records = self._records()
        if self._chosen not in records:
            self._chosen = next(iter(records), None)
        self._fill(records)
        self._show_record()
        wants = [finding for finding in session.findings if finding.code in STOCK]
        self.wants.say([Said(say(finding)) for finding in wants])
        code = "shop-shipped" if session.shops.is_shipped else "shop-kept"
        self.file.setText(phrase(code, path=str(session.shops.target)))

    def _fill(self, records: Mapping[Key, Record]) -> None:
        """Make the list anew where it says something else."""
        wanted = [(key, listed(record)) for key, record in records.items()]
        with QSignalBlocker(self.list):
            if wanted != self._listed():
                self.list.clear()
                for kind, name in GROUPS.items():
                    self._fill_group(kind, name, wanted)
                self.list.expandAll()
            for item in self._items():
                if item.data(0, Qt.ItemDataRole.UserRole) == self._chosen:
                    self.list.setCurrentItem(item)

    def _fill_group(self, kind: str, name: str, wanted: list[tuple[Key, str]]) -> None:
        group = QTreeWidgetItem(self.list, [tr(name)])
        group.setFlags(Qt.ItemFlag.ItemIsEnabled)
        font = self.list.font()
        font.setWeight(font.Weight.DemiBold)
        group.setFont(0, font)
        for key, text in wanted:
            if key[0] == kind:
                item = QTreeWidgetItem(group, [text])
                item.setData(0, Qt.ItemDataRole.UserRole, key)
                item.setToolTip(0, text)

    def _items(self) -> list[QTreeWidgetItem]:
        root = self.list.invisibleRootItem()
        groups = _children(root)
        return [item for group in groups for item in _children(group)]

    def _listed(self) -> list[tuple[Key, str]]:
        return [(item.data(0, Qt.ItemDataRole.UserRole), item.text(0)) for item in self._items()]

    def _show_record(self) -> None:
        record, chosen = self.record, self._chosen
        for button in (self.copy, self.remove):
            button.setEnabled(record is not None)
        if record is None or chosen is None:
            self._shown = None
            self.forms.setCurrentWidget(self.hint)
            return
        form = self._form_of(chosen[0])
        if self._shown != (shown := (chosen, record, self.shop)):
            self._shown = shown
            form.show_record(record, self.shop)
            for before, then in pairwise(
                (self.list, self.add, self.copy, self.remove, *form.stops)
            ):
                self.setTabOrder(before, then)
            self._tell_busy(form, record)
        session = self._desk.session
        form.tell_stock(stock_text(session.stock if session else None, record))
        self.forms.setCurrentWidget(self._scrolls[chosen[0]])

    def _form_of(self, kind: str) -> RecordForm:
        """The form of a kind, made when it is first needed."""
        if kind not in self._forms:
            form = RecordForm(kind, self.shop.currency, self._ask_calendar)
            scroll = QScrollArea(self)
            scroll.setWidget(form)
            scroll.setWidgetResizable(True)
            scroll.setFrameShape(QFrame.Shape.NoFrame)
            scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            self.forms.addWidget(scroll)
            self._scrolls[kind] = scroll
            form.changed.connect(self._keep)
            form.way_wanted.connect(self._keep_way)
            self._forms[kind] = form
        return self._forms[kind]

    def _tell_busy(self, form: RecordForm, record: Record) -> None:
        editor, busy = form.editors.get("busy"), getattr(record, "busy", None)
        session = self._desk.session
        if not isinstance(editor, BusyEditor) or busy is None or session is None:
            return
        now_s = int(self._desk.now().timestamp())
        spans = busy_ahead(busy, session.project.zone, now_s).spans
        hours = sum(b - a for a, b in spans) / 3600
        facts = {"file": busy.file, "count": len(spans), "hours": hours, "days": AHEAD_DAYS}
        editor.tell(phrase("busy-ahead", **facts))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with what has changed meanwhile."""
        super().showEvent(event)
        self.follow()

    # What the user does.

    def choose(self, key: Key) -> None:
        """Show a record."""
        self._chosen = key
        self.follow()

    def _choose_item(self, item: QTreeWidgetItem | None) -> None:
        key = item.data(0, Qt.ItemDataRole.UserRole) if item else None
        if key is not None:
            self._chosen = tuple(key)
            self.trouble.say("")
            self._show_record()

    def add_new(self, kind: str) -> None:
        """Add something with usual values, and go to its name."""
        record = fresh(kind, tr(NEW[kind]), self.shop)
        if self._add(kind, record):
            form = self._form_of(kind)
            first = next(iter(form.editors.values())).stops[0]
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    def copy_chosen(self) -> None:
        """Add another one like what is chosen."""
        if self.record is not None and self._chosen is not None:
            self._add(self._chosen[0], copied(self.record, self.shop))

    def _add(self, kind: str, record: Record) -> bool:
        if not self._change("shop-add", put_record(kind, record)):
            return False
        self.choose((kind, keys_of([record])[0]))
        return True

    def remove_chosen(self) -> None:
        """Take out what is chosen; what stands next to it is chosen then."""
        records = list(self._records())
        if self._chosen in records:
            place = records.index(self._chosen)
            neighbours = [*records[place + 1 : place + 2], *records[:place][-1:]]
            if self._change("shop-remove", without_record(*self._chosen)) and neighbours:
                self.choose(neighbours[0])

    def _keep(self, record: Record) -> None:
        if self._chosen is not None:
            self._change("shop-edit", put_record(self._chosen[0], record))

    def _keep_way(self, other: str, minutes: float | None) -> None:
        if self._chosen is not None:
            self._change("shop-edit", with_way(self._chosen[1], other, minutes))

    def _change(self, label: str, edit: ShopEdit) -> bool:
        """Change the shop; a refusal stands at the field it is about, else above the list."""
        self.trouble.say("")
        self._shown = None
        if self._desk.change_shop(label, edit):
            self.follow()
            return True
        for error in self._desk.errors(Place.STOCK):
            if not (label == "shop-edit" and self._refuse_in_form(error)):
                self.trouble.say(error_text(error))
        return False

    def _refuse_in_form(self, error: Exception) -> bool:
        form = self.form
        where = error.where.split(": ")[2:] if isinstance(error, InputError) else []
        return form is not None and form.refuse(where, field_text([error]))

    def _ask_calendar(self, then: Callable[[Calendar], None]) -> None:
        """Ask for a calendar file; its path is kept from the shop file's folder where it lies in it."""

        def take(path: Path) -> None:
            session = self._desk.session
            if session is not None:
                folder = session.shops.target.parent
                inside = path.is_relative_to(folder)
                found = Calendar(file=(path.relative_to(folder) if inside else path).as_posix())
                slow = (path,) if is_slow(path) else ()
                self.calendars.read(slow, lambda: then(found), self._refuse_calendar)

        self._asks.busy_file(tr("Read busy times from a calendar file"), take)

    def _refuse_calendar(self, error: Exception) -> None:
        """Say at the field why a calendar cannot be read."""
        editor = self.form.editors.get("busy") if self.form else None
        if isinstance(editor, BusyEditor):
            editor.refuse(field_text([error]))


def _children(item: QTreeWidgetItem) -> list[QTreeWidgetItem]:
    found = (item.child(i) for i in range(item.childCount()))
    return [child for child in found if child is not None]
