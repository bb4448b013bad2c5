"""The calendar file of a project: saved again to the same place after every new plan."""

import hashlib
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from fabsched.desktop import settings
from fabsched.desktop.asking import Asks
from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.model.plan import Answer
from fabsched.session.calendar import turns_of
from fabsched.session.calendar_request import CalendarRequest, CalendarResponse


class CalendarFile(QObject):
    """Writes it; asks where the first time, and remembers that for each project.

    Signals:
        written: the file.
    """

    written = Signal(object)

    def __init__(self, desk: Desk, asks: Asks, parent: QObject) -> None:
        """Nothing is written yet.

        Args:
            desk: whose plan.
            asks: asks where.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._asks = desk, asks
        self._asked: int | None = None
        self._written: Answer | None = None
        desk.rested.connect(self.update)

    @property
    def path(self) -> Path | None:
        """Where it was saved last; None if it never was, or its folder is gone."""
        kept = settings.text(self._key())
        return Path(kept) if kept and Path(kept).parent.is_dir() else None

    def _key(self) -> str:
        folder = self._desk.session.folder if self._desk.session else Path()
        return f"calendar/{hashlib.sha256(str(folder).encode()).hexdigest()[:32]}"

    def save(self) -> None:
        """Save it where it is, or ask where."""
        path, session = self.path, self._desk.session
        if path is not None:
            self._write(path)
        elif session is not None:
            name = f"{session.folder.name}.ics"
            self._asks.calendar_file(self.tr("Save the calendar"), name, self._write)

    def update(self) -> None:
        """Save it again after a new plan, where it was saved before and is still there."""
        session, path = self._desk.session, self.path
        if session is None or path is None or not path.is_file():
            return
        if session.answer_is_current and session.answer is not self._written:
            self._write(path, quietly=True)

    def _write(self, path: Path, *, quietly: bool = False) -> None:
        session = self._desk.session
        if session is None or session.answer is None or session.weekend is None:
            return
        request = CalendarRequest(
            weekend=session.weekend,
            answer=session.answer,
            shop=session.shop,
            name=session.project.name,
            path=path,
            now_s=int(self._desk.now().timestamp()),
            turns=turns_of(session.log.state),
        )
        self._written = session.answer
        self._desk.errands.drop(self._asked)
        self._asked = self._desk.errands.ask(
            request,
            lambda response: self._keep(response, quietly=quietly),
            failed=lambda error: self._desk.refuse(Place.FILES, error),
        )

    def _keep(self, response: CalendarResponse, *, quietly: bool) -> None:
        self._asked = None
        self._desk.attempt(Place.FILES, lambda: None)
        settings.keep(self._key(), str(response.path))
        if not quietly:
            self.written.emit(response.path)
