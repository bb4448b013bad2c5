"""The page of the test cut: a ladder of squares put out, and its outcome taken over into the shop."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from fabsched.desktop import settings
from fabsched.desktop.asking import Asks
from fabsched.desktop.beds_page import SketchView
from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Notes, Said, Tone
from fabsched.desktop.own_folder import OwnFolder
from fabsched.desktop.parts_panel import heading
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.side_column import SideColumn
from fabsched.desktop.testcut.ladder_form import LadderForm, Wanted
from fabsched.desktop.testcut.outcome_form import OutcomeForm
from fabsched.desktop.testcut.words import (
    ladder_lines,
    ladder_name,
    outcome_lines,
    until_now,
    watch_text,
)
from fabsched.desktop.words import error_text
from fabsched.files.ladder_toml import ladder_text, parse_ladder, read_ladder
from fabsched.model.errors import InputError
from fabsched.model.estimates import Route
from fabsched.model.ladder import Ladder, setting_of
from fabsched.model.materials import CutSetting
from fabsched.model.shop import Laser
from fabsched.session.ladder_request import LadderResponse
from fabsched.session.noticed import say
from fabsched.session.wording import caution, phrase

KEPT = "testcut/ladder"
"""Under this name the ladder put out last is remembered: the cut itself is often made days later."""
SETTLE_MS = 300
"""How long changes are gathered before a ladder is drawn (our own choice: a pause in typing)."""
FOLDER = "testcut"
"""What the folder of the files is called to begin with."""


class LadderPage(QWidget):
    """Follows a desk's shop."""

    def __init__(
        self,
        desk: Desk,
        asks: Asks,
        tell: Callable[[str], object],
        parent: QWidget | None = None,
    ) -> None:
        """Make a page.

        Args:
            desk: whose shop.
            asks: how it asks for folders and files.
            tell: says something at the foot of the window.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._asks, self._tell = desk, asks, tell
        self._folder = OwnFolder()
        self._asked: int | None = None
        self.drawn: LadderResponse | None = None
        self.ladder: Ladder | None = None
        self.form, self.outcome = LadderForm(self), OutcomeForm(self)
        self.view: SketchView | None = None
        self.trouble, self.refusal = Note(Tone.ERROR, self), Note(Tone.ERROR, self)
        self.findings, self.left_open = Notes(Tone.WARNING, self), Notes(Tone.WARNING, self)
        self.cautions = Notes(Tone.WARNING, self)
        self.lines, self.name, self.result = Prose(self), Prose(self), Prose(self)
        self.save = QPushButton(self.tr("Save the ladder\u2026"), self)
        self.other = QPushButton(self.tr("Another ladder\u2026"), self)
        self.take = QPushButton(self.tr("Take over"), self)
        self._dress()
        self._lay_out()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SETTLE_MS)
        self._connect()

    def _dress(self) -> None:
        for label in (self.lines, self.name, self.result):
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.save.setToolTip(
            self.tr("Write the ladder as DXF and SVG, with a file to enter its outcome by")
        )
        self.other.setToolTip(self.tr("Enter the outcome of a ladder whose file was kept"))
        self.take.setToolTip(
            self.tr(
                "Note feed and kerf in the shop; they then go before the table. Undo takes it back"
            )
        )

    def _lay_out(self) -> None:
        inside = QWidget(self)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 6, 8, 0)
        column.setSpacing(8)
        column.addLayout(heading(self.tr("Cut a ladder of squares"), self.save))
        above: tuple[QWidget, ...] = (self.form, self.trouble, self.findings, self.lines)
        for widget in above:
            column.addWidget(widget)
        self._picture = QVBoxLayout()
        column.addLayout(self._picture)
        column.addWidget(self.cautions)
        column.addSpacing(8)
        column.addLayout(heading(self.tr("Tell what came of it"), self.other))
        below: tuple[QWidget, ...] = (self.name, self.outcome, self.refusal, self.left_open)
        for widget in (*below, self.result):
            column.addWidget(widget)
        line = QHBoxLayout()
        line.addWidget(self.take)
        line.addStretch(1)
        column.addLayout(line)
        column.addStretch(1)
        page = QVBoxLayout(self)
        page.setContentsMargins(0, 0, 0, 0)
        page.addWidget(SideColumn(inside, self))
        self.setFocusProxy(self.form.laser)

    def _connect(self) -> None:
        self._soon.timeout.connect(self._draw)
        self.form.edited.connect(self._soon.start)
        self.form.edited.connect(self._tell_dangers)
        self.outcome.edited.connect(self._tell_outcome)
        self.save.clicked.connect(lambda _on: self.ask_save())
        self.other.clicked.connect(lambda _on: self.ask_other())
        self.take.clicked.connect(lambda _on: self.take_over())
        for signal in (self._desk.opened, self._desk.changed):
            signal.connect(self.follow)
        self._desk.opened.connect(self._begin)
        self._desk.closed.connect(self._folder.clear)

    # What is shown.

    def follow(self) -> None:
        """Show what the shop offers now; what is out of sight waits until it is seen."""
        session = self._desk.session
        if session is None or not self.isVisible():
            return
        self.form.offer(session.shop)
        self.save.setEnabled(self.form.chosen is not None)
        self._tell_dangers()
        self.trouble.say("" if session.shop.lasers else phrase("no-laser"))
        if self.ladder is None:
            self._show_ladder(_kept())
        self._draw()
        self._tell_outcome()

    def _begin(self) -> None:
        """With another project, begin with its first cut part, else with a sheet in stock."""
        session = self._desk.session
        if session is None:
            return
        cut = [part for part in session.project.parts if part.route is Route.CUT]
        stocked = [(sheet.material, sheet.thickness_mm) for sheet in session.shop.sheets]
        wanted = [(part.material, part.thickness_mm or 3.0) for part in cut] or stocked
        self.form.offer(session.shop)
        if wanted:
            self.form.want(Wanted(laser="", material=wanted[0][0], thickness_mm=wanted[0][1]))

    def want_for(self, ident: str) -> None:
        """Begin with the sheet a part is cut from."""
        session = self._desk.session
        parts = session.project.parts if session else ()
        part = next((part for part in parts if part.id == ident), None)
        if session is None or part is None:
            return
        self.form.offer(session.shop)
        thickness_mm = part.thickness_mm or 3.0
        self.form.want(Wanted(laser="", material=part.material, thickness_mm=thickness_mm))
        self.follow()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with what has changed meanwhile."""
        super().showEvent(event)
        self.follow()

    def _tell_dangers(self) -> None:
        """The usual cautions: attended, extraction, and the watch for fire."""
        chosen = self.form.chosen
        watch = [watch_text(chosen[0])] if chosen else []
        self.cautions.say(map(Said, (caution("laser"), caution("fumes"), *watch)))

    # The ladder.

    def _draw(self) -> None:
        """Have the ladder drawn, its files in a folder of our own to be dragged out."""
        self._soon.stop()
        self._desk.errands.drop(self._asked)
        request = self.form.request(self._folder.fresh())
        if request is not None and self.isVisible():
            self._asked = self._desk.errands.ask(request, self._show, failed=self._refuse)

    def _show(self, got: LadderResponse) -> None:
        self._asked, self.drawn = None, got
        self.trouble.say("")
        self.findings.say(Said(say(finding)) for finding in got.findings)
        self.lines.setText("\n".join(ladder_lines(got)))
        self._show_view(SketchView(got.sketch, got.files, self))

    def _show_view(self, view: SketchView | None) -> None:
        if self.view is not None:
            self._picture.removeWidget(self.view)
            self.view.hide()
            self.view.deleteLater()
        self.view = view
        if view is not None:
            view.carrying.taken.connect(self._keep_drawn)
            self._picture.addWidget(view)

    def _refuse(self, error: Exception) -> None:
        self._asked, self.drawn = None, None
        self.trouble.say(error_text(error))
        self.findings.say(())
        self.lines.setText("")
        self._show_view(None)

    def ask_save(self) -> None:
        """Ask for a folder, and write the ladder into it."""
        self._asks.new_folder(self.tr("Save the ladder"), FOLDER, self._save)

    def _save(self, folder: Path) -> None:
        request = self.form.request(folder)
        if request is not None:
            self._desk.errands.ask(request, self._saved, failed=self._refuse)

    def _saved(self, got: LadderResponse) -> None:
        self.drawn = got
        self._keep_drawn()
        folder = str(got.files[-1].parent)
        self._tell(phrase("exported", count=len(got.files), folder=folder))

    def _keep_drawn(self) -> None:
        """Remember the ladder that is cut now, until its outcome is told."""
        if self.drawn is not None:
            settings.keep(KEPT, ladder_text(self.drawn.ladder))
            self._show_ladder(self.drawn.ladder)

    # The outcome.

    def _show_ladder(self, ladder: Ladder | None) -> None:
        self.ladder = ladder
        lasers = {laser.id: laser.name for laser in self._shop_lasers()}
        self.name.setText(ladder_name(ladder, lasers) if ladder else phrase("no-ladder"))
        self.outcome.show_ladder(ladder)
        self._tell_outcome()

    def _shop_lasers(self) -> tuple[Laser, ...]:
        session = self._desk.session
        return session.shop.lasers if session else ()

    def ask_other(self) -> None:
        """Ask for the file of a ladder."""
        self._asks.ladder_file(self.tr("Open the file of a ladder"), self._open)

    def _open(self, path: Path) -> None:
        try:
            self._show_ladder(read_ladder(path))
        except InputError as error:
            self.refusal.say(error_text(error))

    def _tell_outcome(self) -> None:
        """Say what follows from what was entered, and what counted until now."""
        setting = self._setting()
        self.take.setEnabled(setting is not None)
        session, ladder = self._desk.session, self.ladder
        if setting is None or ladder is None or session is None:
            self.result.setText("")
            return
        before = until_now(session.shop, ladder)
        self.result.setText("\n".join((*outcome_lines(ladder, setting), *before)))

    def _setting(self) -> CutSetting | None:
        """The setting that follows; None, with the reason beside the fields, where none does."""
        self.refusal.say("")
        self.left_open.say(())
        outcome = self.outcome.outcome(self._desk.now().date())
        if self.ladder is None or outcome is None:
            return None
        if (outcome.square_mm is None) != (outcome.hole_mm is None):
            self.refusal.say(phrase("measure-both"))
            return None
        try:
            setting, findings = setting_of(self.ladder, outcome, FOLDER)
        except InputError as error:
            self.refusal.say(error_text(error))
            return None
        self.left_open.say(Said(say(finding)) for finding in findings)
        return setting

    def take_over(self) -> None:
        """Note the outcome in the shop; undo takes it back."""
        setting, ladder, session = self._setting(), self.ladder, self._desk.session
        if setting is None or ladder is None or session is None:
            return
        if self._desk.attempt(Place.STOCK, lambda: session.note_cut(ladder.material, setting)):
            settings.forget(KEPT)
            self._tell(phrase("ladder-taken", file=str(session.shops.path)))
        for error in self._desk.errors(Place.STOCK):
            self.refusal.say(error_text(error))


def _kept() -> Ladder | None:
    """The ladder put out last; None if its outcome was told, or nobody put one out."""
    text = settings.text(KEPT)
    try:
        return parse_ladder(text, FOLDER) if text else None
    except InputError:
        return None
