"""The page on which ways to make a part stand side by side."""

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from fabsched.advise.plates.substituting import WHOLE
from fabsched.desktop.asking import Asks
from fabsched.desktop.compare.card import WayCard
from fabsched.desktop.compare.cards import CardsRow
from fabsched.desktop.compare.joints import JointsForm
from fabsched.desktop.compare.overview import Overview
from fabsched.desktop.compare.part_choice import PartChoice
from fabsched.desktop.compare.words import plate_lines, verdict_text
from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.places import Place
from fabsched.desktop.progress_strip import STEPS
from fabsched.desktop.prose import Prose
from fabsched.desktop.solid.shapes import Shapes
from fabsched.desktop.words import capital, error_text
from fabsched.files.folder_out import write_files
from fabsched.model.errors import InputError
from fabsched.session.compare_request import compare_request
from fabsched.session.way_records import ShownWay, WaysResponse
from fabsched.session.ways import (
    files_of_way,
    standing,
    take,
    ways_request,
)
from fabsched.session.wording import caution, phrase, stage

Tell = Callable[[str], object]


class ComparePage(QWidget):
    """Compares the ways to make one part of a desk's project."""

    def __init__(
        self, desk: Desk, shapes: Shapes, asks: Asks, tell: Tell, parent: QWidget | None = None
    ) -> None:
        """Make a page.

        Args:
            desk: whose parts.
            shapes: what they look like.
            asks: how a folder is asked for.
            tell: says something at the foot of the window.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._shapes, self._asks, self._tell = desk, shapes, asks, tell
        self._asked: int | None = None
        self._part = ""
        self._known: str | None = None
        self._found: WaysResponse | None = None
        self._content = False
        self.parts = PartChoice(desk, self)
        self.go = QPushButton(self.tr("Compare the ways"), self)
        self.stop = QPushButton(self.tr("Cancel"), self)
        self.stop.setToolTip(self.tr("End with the ways known so far"))
        self.bar, self.stage = QProgressBar(self), QLabel(self)
        self.verdict, self.plates, self.hint = Prose(self), Prose(self), Prose(self)
        self.trouble, self.stale = Note(Tone.ERROR, self), Note(Tone.NOTE, self)
        self.caution = Note(Tone.WARNING, self)
        self.open_joints, self.joints = QToolButton(self), JointsForm(self)
        self.overview, self._cards = Overview(self), CardsRow(self)
        self._lay_out()
        self._connect()
        self.follow()

    def _lay_out(self) -> None:
        self.go.setToolTip(self.tr("Print it whole, or cut plates out of it and print the rest?"))
        self.bar.setRange(0, STEPS)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(120)
        self.bar.setAccessibleName(self.tr("Progress"))
        self.open_joints.setText(self.tr("Joints and press\u2026"))
        self.open_joints.setCheckable(True)
        self.open_joints.setToolTip(self.tr("Show and change the measures of joints"))
        font = self.verdict.font()
        font.setPointSizeF(font.pointSizeF() * 1.25)
        self.verdict.setFont(font)
        self.verdict.setAccessibleDescription(self.tr("What it comes to"))
        for label in (self.verdict, self.plates, self.hint):
            label.setTextFormat(Qt.TextFormat.PlainText)
        for label in (self.plates, self.hint):
            label.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.joints.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addLayout(self._line())
        for widget in (self.trouble, self.stale, self.joints):
            column.addWidget(widget)
        for text in (self.verdict, self.plates, self.hint):
            column.addWidget(text)
        column.addWidget(self.overview)
        column.addWidget(self._cards, 1)
        column.addWidget(self.caution)
        self.setFocusProxy(self.parts)

    def _line(self) -> QHBoxLayout:
        label = QLabel(self.tr("Pa&rt"), self)
        label.setBuddy(self.parts)
        line = QHBoxLayout()
        before: tuple[QWidget, ...] = (label, self.parts, self.go, self.open_joints)
        for widget in before:
            line.addWidget(widget)
        line.addStretch(1)
        behind: tuple[QWidget, ...] = (self.stage, self.bar, self.stop)
        for widget in behind:
            line.addWidget(widget)
        return line

    @property
    def cards(self) -> list[WayCard]:
        """The ways, each in full; as many are shown as there is room for."""
        return self._cards.cards

    def _connect(self) -> None:
        desk = self._desk
        self.parts.activated.connect(lambda _place: self._forget())
        self.go.clicked.connect(self.compare)
        self.stop.clicked.connect(self._call_off)
        self.open_joints.toggled.connect(self.joints.setVisible)
        self.joints.changed.connect(self._show_stale)
        self.overview.chosen.connect(lambda _row: self._prefer())
        desk.opened.connect(self._open)
        for signal in (desk.changed, desk.estimated, desk.planned, desk.rested, desk.started):
            signal.connect(self.follow)
        self._shapes.known.connect(lambda _ident: self._show_whole())

    # What it follows.

    @property
    def chosen(self) -> str:
        """Id of the part that is to be compared; empty if there is none."""
        return self.parts.chosen

    def _open(self) -> None:
        self._asked, self._found, self._part = None, None, ""
        self.parts.forget()
        self._clear()
        self.follow()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with the project."""
        super().showEvent(event)
        self.follow()

    def follow(self) -> None:
        """Offer the parts there are, and say whether what is shown still holds."""
        self.parts.follow()
        if self.isVisible() and not self._part:
            self.parts.look_for_plates()
        self._show_work()
        self._show_stale()
        self._mark_cards()

    def compare_part(self, ident: str) -> None:
        """Choose a part, and compare the ways to make it."""
        self.parts.choose(ident)
        if self.chosen != self._part:
            self.compare()

    # Comparing.

    def compare(self) -> None:
        """Compare the ways to make the part that is chosen."""
        session, ident = self._desk.session, self.chosen
        self._forget()
        if session is None or not ident:
            return
        try:
            if session.estimate_requests():
                self.hint.setText(phrase("ways-wait"))
                return
            asked = compare_request(session, ident, self._desk.now())
        except InputError as error:
            self.trouble.say(error_text(error))
            return
        changes = {"joinery": self.joints.joinery, "press": self.joints.press}
        self._part, self._known, self._content = ident, self._state(), False
        self._asked = self._desk.errands.ask(
            ways_request(asked, **changes),
            self._take,
            failed=self._fail,
            progressed=self._tell_progress,
            found=self._add,
        )
        self._show_work()

    def _state(self) -> str:
        """What a comparison depends on, as far as it can be seen here."""
        session = self._desk.session
        project = repr(session.project) if session else ""
        return f"{project} {self.joints.joinery} {self.joints.press}"

    def _forget(self) -> None:
        """Turn away from what is shown."""
        self._desk.errands.drop(self._asked)
        self._asked, self._found, self._part, self._known = None, None, "", None
        self._clear()
        self._show_work()
        self._show_stale()

    def _clear(self) -> None:
        self._cards.clear()
        self.overview.clear_ways()
        for label in (self.verdict, self.plates):
            label.setText("")
            label.hide()
        for note in (self.trouble, self.caution):
            note.say("")

    def _call_off(self) -> None:
        """End with a verdict on the ways so far; at once if there is none yet, or if asked again."""
        if self._asked is not None and len(self.cards) > 1 and not self._content:
            self._content = True
            self._desk.errands.enough(self._asked)
            return
        self._desk.errands.drop(self._asked)
        self._asked = None
        self._show_work()

    def _tell_progress(self, done: float, code: str) -> None:
        self.bar.setValue(round(STEPS * done))
        self.stage.setText(capital(stage(code)))

    def _add(self, way: object) -> None:
        """Show a way as soon as it is known."""
        session = self._desk.session
        if not isinstance(way, ShownWay) or session is None:
            return
        deeds = (self._choose, partial(self._choose, decided=False), self._ask_folder)
        added = WayCard(way, session.shop.currency, deeds, self)
        self._cards.add(added)
        self.overview.add(way, session.shop.currency)
        self.caution.say(" ".join(self._cautions()))
        self._show_whole()
        self._mark_cards()
        self._show_work()

    def _cautions(self) -> Iterator[str]:
        """What to beware of in the figures that are shown."""
        ways = [each.way for each in self.cards]
        if any(way.sags for way in ways):
            yield caution("deflection")
        if any(way.glue for way in ways):
            yield caution("glue")

    def _take(self, got: WaysResponse) -> None:
        """Everything is known."""
        self._asked, self._found = None, got
        for way in got.ways[len(self.cards) :]:
            self._add(way)
        self.verdict.setText(verdict_text(got))
        self.plates.setText("\n".join(plate_lines(got)))
        for label in (self.verdict, self.plates):
            label.setVisible(bool(label.text()))
        self._mark_cards()
        self._show_work()

    def _fail(self, error: Exception) -> None:
        self._asked = None
        self.trouble.say(error_text(error))
        self._show_work()

    # What it shows.

    def _show_whole(self) -> None:
        """The part as it is, on the card of what is printed whole."""
        if self.cards and self._part and not self.cards[0].way.bodies:
            self.cards[0].view.show_shape(self._shapes.of(self._part))

    def _show_work(self) -> None:
        busy = self._asked is not None
        for widget in (self.stage, self.bar, self.stop):
            widget.setVisible(busy)
        self.go.setEnabled(bool(self.chosen) and not busy)
        if not self.chosen:
            self.hint.setText(phrase("ways-none"))
        elif busy and not self.cards:
            self.hint.setText(phrase("ways-coming"))
        elif not self.cards and not self.trouble.text:
            self.hint.setText(phrase("ways-hint"))
        else:
            self.hint.setText("")
        self.hint.setVisible(bool(self.hint.text()))

    def _show_stale(self) -> None:
        """Say where what is shown was found for something else."""
        stale = self._known is not None and bool(self.cards) and self._known != self._state()
        self.stale.say(phrase("ways-stale") if stale else "")

    def _prefer(self) -> None:
        """Show the way that is looked at, then the best, then the whole part."""
        best = self._found.best if self._found else 0
        looked_at = self.overview.currentRow()
        self._cards.prefer([*([looked_at] if looked_at >= 0 else []), best, 0])

    def _mark_cards(self) -> None:
        session = self._desk.session
        if session is None or not self._part:
            return
        now, items = standing(session.project, self._part)
        for number, each in enumerate(self.cards):
            mine = set(each.way.items)
            stands = bool(mine) and mine == items if each.way.pick else now == WHOLE
            marks = [phrase("way-best")] if self._is_best(number) else []
            if stands:
                marks.append(phrase("way-now" if now else "way-left"))
            each.say(" ".join(marks))
        self.overview.mark_best(self._found.best if self._found else -1)
        self._prefer()

    def _is_best(self, number: int) -> bool:
        return self._found is not None and self._found.best == number

    # What is done about it.

    def _choose(self, way: ShownWay, *, decided: bool = True) -> None:
        """Put a way into the project."""
        session, ident = self._desk.session, self._part
        if session is not None:
            self._known = None  # what follows was meant, and changes what was compared
            self._desk.attempt(Place.PARTS, lambda: take(session, ident, way, decided=decided))
            self._say_errors()
            self._mark_cards()

    def _ask_folder(self, way: ShownWay) -> None:
        title = self.tr("Write plates and pieces into a folder")
        self._asks.new_folder(title, f"{self._part}-plates", lambda path: self._write(way, path))

    def _write(self, way: ShownWay, folder: Path) -> None:
        def deed() -> None:
            paths = write_files(folder, files_of_way(way))
            self._tell(phrase("exported", count=len(paths), folder=str(folder)))

        self._desk.attempt(Place.FILES, deed)
        self._say_errors()

    def _say_errors(self) -> None:
        errors = self._desk.errors(Place.PARTS, Place.FILES)
        self.trouble.say(" ".join(error_text(error) for error in errors))
