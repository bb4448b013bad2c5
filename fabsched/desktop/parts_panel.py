"""The parts: what they are, how long they take, and what is wrong with them, in place."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QIcon, QMouseEvent, QPixmap
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Notes, Said, Tone
from fabsched.desktop.part_words import Noticed, PartWords, parts_words, shortage_texts
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import IconLabel, Row, Rows, ShortLabel, card, tool
from fabsched.desktop.solid.shapes import Shapes, Shown, thumbnail
from fabsched.desktop.steady_fields import Count
from fabsched.desktop.words import refusal_text
from fabsched.model.project import Part
from fabsched.session.edits import put_all

THUMB_PX = 44
"""Side of a thumbnail (our own choice)."""
MOST_COPIES = 999
"""More of one part is no weekend's work (our own choice)."""


class PartRow(Row):
    """One part.

    Signals:
        chosen: id of the part, when its row is clicked.
        tried: id of the part, when a test cut of its sheet is wanted.
    """

    chosen = Signal(str)
    tried = Signal(str)

    def __init__(
        self, desk: Desk, shapes: Shapes, ident: str, parent: QWidget | None = None
    ) -> None:
        """Make a row for the part of that id."""
        super().__init__(parent)
        self._desk, self._shapes, self._ident = desk, shapes, ident
        self._pictured: tuple[Shown | None, int] = (None, 0)
        self.picture = QToolButton(self)
        self.route, self.name, self.time = IconLabel(self), ShortLabel(self), QLabel(self)
        self.copies = Count(self)
        self.remove = tool(self, "remove", self.tr("Remove this part"), self._remove)
        self.errors, self.findings = Notes(Tone.ERROR, self), Notes(Tone.WARNING, self)
        self._lay_out()
        self.copies.valueChanged.connect(self._set_copies)

    @property
    def stops(self) -> tuple[QWidget, ...]:
        """Its picture, copies, the button that removes it, and those that put something right."""
        return self.picture, self.copies, self.remove, *self.errors.buttons, *self.findings.buttons

    def _lay_out(self) -> None:
        self.copies.setRange(1, MOST_COPIES)
        self.copies.setPrefix("\u00d7 ")
        self.copies.setKeyboardTracking(False)
        self.copies.setToolTip(self.tr("How many copies are made"))
        self.time.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        line = QHBoxLayout()
        line.setSpacing(6)
        for widget in (self.route, self.name, self.copies, self.remove):
            line.addWidget(widget, 1 if widget is self.name else 0)
        words = QVBoxLayout()
        words.setSpacing(3)
        words.addLayout(line)
        for told in (self.time, self.errors, self.findings):
            words.addWidget(told)
        self.picture.setIconSize(QSize(THUMB_PX, THUMB_PX))
        self.picture.setAutoRaise(True)
        self.picture.setToolTip(self.tr("Show this part in full"))
        self.picture.clicked.connect(lambda: self.chosen.emit(self._ident))
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.picture, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(words, 1)
        card(self).addLayout(row)

    def show_part(self, part: Part, words: PartWords) -> None:
        """Show the part as it is now."""
        self.name.setText(part.name)
        self.name.setToolTip(f"{part.name}\n{words.tip}")
        self.route.show_icon(part.route, words.route)
        with QSignalBlocker(self.copies):
            self.copies.setValue(part.copies)
        self.picture.setAccessibleName(self.tr("Show %s") % part.name)
        self.copies.setAccessibleName(self.tr("Copies of %s") % part.name)
        self.remove.setAccessibleName(self.tr("Remove %s") % part.name)
        self._show_time(words)
        self.show_picture()
        self.errors.say([self._said(noticed) for noticed in words.errors])
        self.findings.say([self._said(noticed) for noticed in words.findings])

    def show_picture(self) -> None:
        """Show what the part looks like, as soon as that is known."""
        shape, base = self._shapes.of(self._ident), self.palette().base().color().rgba()
        if (shape, base) == self._pictured:
            return
        self._pictured = (shape, base)
        ratio = self.devicePixelRatioF()
        pixmap = QPixmap()
        if shape is not None:
            image = thumbnail(shape, round(THUMB_PX * ratio), self.palette())
            pixmap = QPixmap.fromImage(image)
            pixmap.setDevicePixelRatio(ratio)
        self.picture.setIcon(QIcon(pixmap))

    def _said(self, noticed: Noticed) -> Said:
        """A remark with its cure, which is a change of the project like any other."""
        cure = noticed.cure
        if noticed.tries:
            make = self.tr("Make a test cut")
            return Said(noticed.text, make, lambda: self.tried.emit(self._ident))
        if cure is None:
            return Said(noticed.text)
        edit = put_all([cure.part])
        return Said(
            noticed.text, cure.text, lambda: self._desk.change(Place.PARTS, cure.label, edit)
        )

    def _show_time(self, words: PartWords) -> None:
        """A known time, or what is known until then."""
        self.time.setText(words.time or words.waiting)
        self.time.setVisible(not words.errors)
        self.time.setToolTip(words.tip)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Tell that this part is looked at."""
        super().mousePressEvent(event)
        self.chosen.emit(self._ident)

    def _set_copies(self, copies: int) -> None:
        """Take over what was entered; show what holds still if it is refused."""
        before = self._part()
        if before is not None:
            edit = put_all([replace(before, copies=copies)])
            if not self._desk.change(Place.PARTS, "copies", edit):
                with QSignalBlocker(self.copies):
                    self.copies.setValue(before.copies)

    def _part(self) -> Part | None:
        session = self._desk.session
        parts = session.project.parts if session else ()
        return next((part for part in parts if part.id == self._ident), None)

    def _remove(self) -> None:
        self._desk.remove(Place.PARTS, self._ident)


class PartsPanel(QWidget):
    """All parts, with a button to add more. Files may be dropped anywhere on the window.

    Signals:
        chosen: id of the part that is looked at.
        tried: id of a part, when a test cut of its sheet is wanted.
    """

    chosen = Signal(str)
    tried = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a panel that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self.shapes = Shapes(desk, self)
        self.setAccessibleName(self.tr("Parts"))
        self.add = QPushButton(self.tr("Add files\u2026"), self)
        self.refusals, self.shortages = Notes(Tone.ERROR, self), Notes(Tone.WARNING, self)
        self.rows: Rows[PartRow] = Rows(self._row, self.add, self)
        self.hint = Prose(self, self.tr("Drop part files here: solids to print, outlines to cut."))
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self._lay_out()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self.follow)
        for signal in (desk.opened, desk.changed, desk.planned):
            signal.connect(self.follow)
        for signal in (desk.started, desk.rested):
            signal.connect(self._show_hint)
        desk.estimated.connect(self._soon.start)  # many estimates that end at once are shown once
        desk.troubled.connect(self._show_refusals)
        self.shapes.known.connect(self._show_picture)

    def _row(self, ident: str) -> PartRow:
        row = PartRow(self._desk, self.shapes, ident, self)
        row.chosen.connect(self.chosen)
        row.tried.connect(self.tried)
        return row

    def _show_picture(self, ident: str) -> None:
        if ident in self.rows.rows:
            self.rows.rows[ident].show_picture()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(heading(self.tr("Parts"), self.add))
        for widget in (self.refusals, self.shortages, self.hint):
            column.addWidget(widget)
        column.addWidget(self.rows, 1)

    def follow(self) -> None:
        """Show the parts as they are now."""
        session = self._desk.session
        parts = session.project.parts if session else ()
        self.rows.follow([part.id for part in parts])
        desk = self._desk
        self._show_hint()
        told = parts_words(session, desk.lost, stopped=desk.stopped) if session else {}
        for part in parts:
            self.rows.rows[part.id].show_part(part, told[part.id])
        self.rows.order_stops()
        self.shortages.say(map(Said, shortage_texts(session) if session else ()))

    def _show_hint(self) -> None:
        """Say what to do where there are no parts, unless some are just coming."""
        self.hint.setVisible(not self.rows.rows and not self._desk.busy)

    def welcome(self, *, files: bool) -> None:
        """Show that files held over the window may be let go."""
        self.rows.setFrameShape(QFrame.Shape.Box if files else QFrame.Shape.NoFrame)
        self.rows.setLineWidth(2)

    def _show_refusals(self) -> None:
        self.refusals.say(Said(refusal_text(e)) for e in self._desk.errors(Place.PARTS))


def heading(text: str, *buttons: QWidget) -> QHBoxLayout:
    """The title of a panel with its buttons."""
    title = QLabel(text)
    font = title.font()
    font.setWeight(font.Weight.DemiBold)
    font.setPointSizeF(font.pointSizeF() * 1.15)
    title.setFont(font)
    line = QHBoxLayout()
    line.addWidget(title, 1)
    for button in buttons:
        line.addWidget(button)
    return line
