"""A bar at the foot of the window: what was told just now, to be put right at once; and notices."""

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from fabsched.desktop.bench.asker import Asker
from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.words import capital
from fabsched.model.log import Entry, Event
from fabsched.session.clock import short
from fabsched.session.log_words import entry_line, names_of
from fabsched.session.wording import phrase

STAYS_MS = 45_000
"""How long it is shown (our own choice)."""


class ToldBar(QWidget):
    """Shows one remark, or nothing."""

    def __init__(self, desk: Desk, asker: Asker, parent: QWidget) -> None:
        """Make an empty one, which is hidden.

        Args:
            desk: whose log.
            asker: puts entries right.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._asker = desk, asker
        self._entry: Entry | None = None
        self.note = Note(Tone.NOTE, self)
        self.correct = QPushButton(phrase("say-correct"), self)
        self.back = QPushButton(self.tr("Undo"), self)
        self.away = QPushButton(self.tr("Close"), self)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.note, 1, Qt.AlignmentFlag.AlignVCenter)
        for button in (self.correct, self.back, self.away):
            row.addWidget(button)
        self.correct.setToolTip(self.tr("It was at another time, or got further"))
        self.back.setToolTip(self.tr("Take it back"))
        self.away.setToolTip(self.tr("Put this line away; what was told stays"))
        self._stays = QTimer(self)
        self._stays.setSingleShot(True)
        self._stays.setInterval(STAYS_MS)
        self._stays.timeout.connect(self.hide)
        self.correct.clicked.connect(lambda: self._do(self._asker.correct))
        self.back.clicked.connect(lambda: self._do(self._take_back))
        self.away.clicked.connect(self.hide)
        asker.teller.told.connect(self.show_told)
        asker.teller.withdrawn.connect(lambda _entry: self.hide())
        desk.opened.connect(self.hide)
        self.hide()

    def show_told(self, entry: Entry) -> None:
        """Say what was written down."""
        session = self._desk.session
        if session is None:
            return
        zone = session.project.zone
        line = entry_line(entry, names_of(session.project, session.shop), zone)
        moment = short(entry.moment_s, zone)
        self._entry = entry
        self._show(phrase("bar-told", what=capital(line), moment=moment))
        self.correct.setVisible(entry.kind is not Event.CHOSEN)
        self.back.setVisible(True)

    def show_notice(self, text: str) -> None:
        """Say that hands are needed."""
        self._entry = None
        self._show(text)
        self.correct.hide()
        self.back.hide()

    def _show(self, text: str) -> None:
        self.note.say(text)
        self.show()
        self._stays.start()

    def _do(self, deed: Callable[[Entry], object]) -> None:
        entry, self._entry = self._entry, None
        self.hide()
        if entry is not None:
            deed(entry)

    def _take_back(self, entry: Entry) -> None:
        self._asker.teller.withdraw(entry.id)
