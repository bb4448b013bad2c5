"""The top of the window: how likely it is to be done, by when it has to be, and the way to change that."""

from datetime import datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import QDateTime, QSignalBlocker, Qt, QTimer, QTimeZone
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.odds.link import SentenceLink
from fabsched.desktop.odds.views import Glance
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.steady_fields import Moment
from fabsched.desktop.translating import date_locale
from fabsched.desktop.words import field_text, headline_words
from fabsched.session.edits import with_deadline
from fabsched.session.wording import phrase, share

TYPING_MS = 400
"""How long after the last key a deadline counts (our own choice)."""


class DeadlineField(QWidget):
    """The deadline, in the project's zone, with what is wrong with it."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a field that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self.edit = Moment(self)
        self.zone = QLabel(self)
        self.note = Note(Tone.ERROR, self)
        self._typing = QTimer(self)
        self._typing.setSingleShot(True)
        self._typing.setInterval(TYPING_MS)
        self._dress()
        self._typing.timeout.connect(self._set)
        self.edit.dateTimeChanged.connect(self._typing.start)
        self.edit.editingFinished.connect(self._set)
        for signal in (desk.opened, desk.changed):
            signal.connect(self.follow)
        desk.troubled.connect(self._show_error)

    def _dress(self) -> None:
        self.edit.setLocale(date_locale())
        self.edit.setDisplayFormat(f"{phrase('day-pattern')} yyyy  HH:mm")
        self.edit.setCalendarPopup(True)
        self.edit.setAccessibleName(self.tr("Deadline"))
        self.edit.setToolTip(self.tr("When everything has to be done"))
        self.zone.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        label = QLabel(self.tr("&Deadline"), self)
        label.setBuddy(self.edit)
        line = QHBoxLayout()
        for widget in (label, self.edit, self.zone):
            line.addWidget(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(line)
        column.addWidget(self.note)

    def follow(self) -> None:
        """Show the deadline as it is now, unless it is being typed."""
        session = self._desk.session
        self.setEnabled(session is not None)
        if session is None or self._typing.isActive():
            return
        zone, deadline = session.project.zone, session.project.deadline
        with QSignalBlocker(self.edit):
            self.edit.setTimeZone(QTimeZone(zone.key.encode()))
            self.edit.setDateTime(shown_moment(deadline, zone))
        self.zone.setText(zone.key.replace("_", " "))

    def _set(self) -> None:
        """Take over what was entered."""
        self._typing.stop()
        session = self._desk.session
        if session is None:
            return
        moment = entered_moment(self.edit.dateTime(), session.project.zone)
        if moment != session.project.deadline:
            self._desk.change(Place.DEADLINE, "deadline", with_deadline(moment))
            self.follow()

    def _show_error(self) -> None:
        self.note.say(field_text(self._desk.errors(Place.DEADLINE)))


def shown_moment(moment: datetime, zone: ZoneInfo) -> QDateTime:
    """A moment as Qt shows it in a zone."""
    milliseconds = round(moment.timestamp() * 1000)
    return QDateTime.fromMSecsSinceEpoch(milliseconds, QTimeZone(zone.key.encode()))


def entered_moment(entered: QDateTime, zone: ZoneInfo) -> datetime:
    """What was entered, as a zone-aware moment of whole minutes."""
    return datetime.fromtimestamp(entered.toSecsSinceEpoch() // 60 * 60, zone)


class Headline(QWidget):
    """The odds in words and at a glance, the deadline, and a button to plan."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a headline that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self.odds, self.more, self.spare = SentenceLink(self), Prose(self), Prose(self)
        self.glance = Glance(self)
        self.missed, self.below = Note(Tone.ERROR, self), Note(Tone.WARNING, self)
        self.deadline = DeadlineField(desk, self)
        self.plan = QPushButton(self.tr("Plan now"), self)
        self._lay_out()
        for signal in (desk.opened, desk.changed, desk.planned, desk.started, desk.rested):
            signal.connect(self.follow)
        desk.bettered.connect(lambda _chance: self.follow())

    def _lay_out(self) -> None:
        font = self.odds.font()
        font.setPointSizeF(font.pointSizeF() * 1.5)
        self.odds.setFont(font)
        words = QVBoxLayout()
        words.setSpacing(2)
        told = (
            (self.odds, self.tr("Odds")),
            (self.more, self.tr("More about the odds")),
            (self.spare, self.tr("Time to spare")),
        )
        for label, name in told:
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
            label.setAccessibleDescription(name)
            label.setMinimumWidth(1)
            words.addWidget(label)
        for note in (self.missed, self.below):
            words.addWidget(note)
        words.addStretch(1)
        self.odds.setToolTip(self.tr("Show what the odds are made of"))
        side = QVBoxLayout()
        side.addWidget(self.deadline)
        below = QHBoxLayout()
        below.addStretch(1)
        below.addWidget(self.glance)
        below.addWidget(self.plan)
        side.addLayout(below)
        side.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(24)
        row.addLayout(words, 1)
        row.addLayout(side)

    def follow(self) -> None:
        """Say how things stand now."""
        words = headline_words(self._desk.session, busy=self._desk.busy)
        self.odds.setText(words.odds)
        self.more.setText(words.more)
        self.more.setVisible(bool(words.more))
        self.spare.setText(words.spare)
        self.spare.setVisible(not (words.missed or words.below))
        self.missed.say(words.spare if words.missed else "")
        self.below.say(words.spare if words.below and not words.missed else "")
        role = self.palette().ColorRole
        for label in (self.odds, self.more):
            label.setForegroundRole(role.WindowText if words.current else role.PlaceholderText)
        session = self._desk.session
        self.odds.set_leads(leads=session is not None and session.answer is not None)
        self._tell_search()

    def _tell_search(self) -> None:
        """While a better plan is searched, say how good the best so far is."""
        if self._desk.best is not None:
            self.spare.setText(phrase("plan-sofar", share=share(self._desk.best)))
            self.spare.show()
            for note in (self.missed, self.below):
                note.say("")
