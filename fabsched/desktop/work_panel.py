"""The work for hands, gates included: what it is, how long it takes, what it waits for."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop import drafts
from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.parts_panel import heading
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import IconLabel, Row, Rows, ShortLabel, card, tool
from fabsched.desktop.side_column import SideColumn
from fabsched.desktop.words import error_text, work_text
from fabsched.desktop.work_details import Around
from fabsched.desktop.work_form import WorkForm
from fabsched.model.project import Gate, Project, Work
from fabsched.session.edits import put_all
from fabsched.session.wording import kind, phrase

DRAFT = "work"
"""Under this name what was typed is kept."""
FORM_PX = 220
"""So much of the form is in sight at least; the rest of it scrolls."""


class WorkRow(Row):
    """One piece of work or a gate."""

    def __init__(self, ident: str, panel: "WorkPanel") -> None:
        """Make a row for the work of that id."""
        super().__init__(panel)
        self.mark, self.name, self.about = IconLabel(self), ShortLabel(self), Prose(self)
        self.edit = tool(self, "change", self.tr("Change"), lambda: panel.begin(ident))
        self.remove = tool(self, "remove", self.tr("Remove"), lambda: panel.take_out(ident))
        self.about.setTextFormat(Qt.TextFormat.PlainText)
        self.about.setMinimumWidth(1)
        self.about.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        line = QHBoxLayout()
        line.setSpacing(6)
        for widget in (self.mark, self.name, self.edit, self.remove):
            line.addWidget(widget, 1 if widget is self.name else 0)
        column = card(self)
        column.addLayout(line)
        column.addWidget(self.about)

    @property
    def stops(self) -> tuple[QWidget, ...]:
        """The buttons that change and remove it."""
        return self.edit, self.remove

    def show_work(self, project: Project, work: Work) -> None:
        """Show the work as it is now."""
        code = "gate" if isinstance(work, Gate) else "work"
        self.mark.show_icon(code, kind(code))
        self.name.setText(work.name)
        self.name.setToolTip(work.name)
        self.about.setText(work_text(project, work))
        self.about.setToolTip(self.tr("Minutes if all goes well / as expected / on a bad day"))
        self.edit.setAccessibleName(self.tr("Change %s") % work.name)
        self.remove.setAccessibleName(self.tr("Remove %s") % work.name)


class WorkPanel(QWidget):
    """All work, with a form that opens above it."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a panel that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self._label = ""
        self.setAccessibleName(self.tr("Work"))
        self.add = QPushButton(self.tr("Add work\u2026"), self)
        self.trouble = Note(Tone.ERROR, self)
        self.form = WorkForm(self)
        self.sheet = SideColumn(self.form, self)
        self.sheet.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.sheet.hide()
        self.hint = Prose(self, phrase("no-work"))
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.rows: Rows[WorkRow] = Rows(lambda ident: WorkRow(ident, self), self.form.leave, self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(heading(self.tr("Work"), self.add))
        column.addWidget(self.trouble)
        column.addWidget(self.sheet, 2)
        column.addWidget(self.hint)
        column.addWidget(self.rows, 1)
        self.add.clicked.connect(lambda: self.begin(None))
        self.form.ready.connect(self._keep)
        self.form.left.connect(self._close)
        self.form.edited.connect(self._draft)
        desk.opened.connect(self._opened)
        desk.changed.connect(self.follow)
        desk.troubled.connect(self._show_trouble)

    def _opened(self) -> None:
        self._fold()
        self.follow()
        session = self._desk.session
        draft = drafts.kept(session.folder, DRAFT) if session else None
        if draft is not None:
            self.begin(str(draft.get("work", "")))
            self.form.take_draft(draft)

    def _draft(self) -> None:
        """Keep what was typed so far, against a crash."""
        session = self._desk.session
        if session is not None and self.form.isVisible():
            drafts.keep(session.folder, DRAFT, self.form.draft())

    def follow(self) -> None:
        """Show the work as it is now."""
        session = self._desk.session
        items = (*session.project.works, *session.project.gates) if session else ()
        self.rows.follow([work.id for work in items])
        self.hint.setVisible(not items)
        for work in items:
            if session:
                self.rows.rows[work.id].show_work(session.project, work)
        self.rows.order_stops()

    def begin(self, ident: str | None) -> None:
        """Open the form for a piece of work, or for a new one."""
        session = self._desk.session
        if session is None:
            return
        items = session.project.items
        works = (item for item in items if isinstance(item, Work))
        work = next((work for work in works if work.id == ident), None)
        self._label = "edit-work" if work else "add-work"
        around = Around(
            items=tuple(item for item in items if item.id != ident),
            shop=session.shop,
            zone=session.project.zone,
            now=self._desk.now(),
        )
        self.form.begin(work, around)
        self.sheet.setMinimumHeight(min(self.form.sizeHint().height(), FORM_PX))
        self.sheet.show()

    def take_out(self, ident: str) -> None:
        """Remove a piece of work."""
        self._desk.remove(Place.WORK, ident)

    def _keep(self, work: Work) -> None:
        """Put the work into the project; a refusal stands in the form."""
        if self._desk.change(Place.WORK, self._label, put_all([work])):
            self._close()

    def _show_trouble(self) -> None:
        """Say why something was refused, in the form while it is open."""
        opened = self.form.isVisible()
        places = (Place.PROJECT, Place.WORK) if opened else (Place.WORK,)
        text = " ".join(error_text(error) for error in self._desk.errors(*places))
        self.form.note.say(text if opened else "")
        self.trouble.say("" if opened else text)

    def _fold(self) -> None:
        self.form.hide()
        self.sheet.hide()

    def _close(self) -> None:
        self._fold()
        if (session := self._desk.session) is not None:
            drafts.drop(session.folder, DRAFT)
        self.add.setFocus(Qt.FocusReason.OtherFocusReason)
