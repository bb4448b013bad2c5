"""What is known of the odds of the present plan, asked for as it is wanted."""

from typing import Any

from PySide6.QtCore import QObject, Signal

from fabsched.desktop.desk import Desk
from fabsched.model.plan import Answer
from fabsched.odds.told import Outlook
from fabsched.session.foresight_request import (
    BearingRequest,
    BearingResponse,
    CourseRequest,
    CourseResponse,
)
from fabsched.session.odds_request import planned_with_ways


class OddsBook(QObject):
    """Follows a desk's plan.

    Time needed against time left is found out for every plan, everything else once it is wanted.

    Signals:
        changed: more or something else is known.
        progressed: share of everything that is done, code of the stage.
    """

    changed = Signal()
    progressed = Signal(float, str)

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        """Follow a desk.

        Args:
            desk: whose plan.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk = desk
        self._answer: Answer | None = None
        self._course: tuple[Outlook, ...] = ()
        self._wanted = False
        self._asked: int | None = None
        self._asked_all: int | None = None
        self.found: BearingResponse | None = None
        self.error: Exception | None = None
        for signal in (desk.opened, desk.changed, desk.planned):
            signal.connect(self.follow)

    @property
    def outlooks(self) -> tuple[Outlook, ...]:
        """Time needed against time left, as well as it is known; empty while it is not."""
        return self.found.told.outlooks if self.found else self._course

    @property
    def asking(self) -> bool:
        """Whether everything is being found out."""
        return self._asked_all is not None

    def want(self) -> None:
        """Find everything out, now and after every plan until `spare` is called."""
        self._wanted = True
        self._ask_all()

    def spare(self) -> None:
        """Nobody looks any more."""
        self._wanted = False

    def again(self) -> None:
        """Try again what went wrong or was called off."""
        self.error = None
        self._ask_all()

    def stop(self) -> None:
        """Call it off."""
        self._desk.errands.drop(self._asked_all)
        self._asked_all = None
        self._wanted = False
        self.changed.emit()

    def follow(self) -> None:
        """Turn to the present plan; what was known of another is forgotten."""
        session = self._desk.session
        answer = session.answer if session and session.answer_is_current else None
        if answer is self._answer:
            return
        self._answer, self._course, self.found, self.error = answer, (), None, None
        for asked in (self._asked, self._asked_all):
            self._desk.errands.drop(asked)
        self._asked = self._asked_all = None
        if answer is not None:
            self._ask_course()
            if self._wanted:
                self._ask_all()
        self.changed.emit()

    def _ask_course(self) -> None:
        given = self._given()
        if given:
            self._asked = self._desk.errands.ask(CourseRequest(**given), self._take_course)

    def _ask_all(self) -> None:
        given = self._given()
        if given and not self.found and self._asked_all is None and self.error is None:
            self._asked_all = self._desk.errands.ask(
                BearingRequest(**given),
                self._take_all,
                failed=self._fail,
                progressed=self.progressed.emit,
            )
            self.changed.emit()

    def _given(self) -> dict[str, Any]:
        """What is asked about; empty where there is no plan."""
        session, answer = self._desk.session, self._answer
        if session is None or answer is None or session.weekend is None:
            return {}
        return {
            "weekend": session.weekend,
            "answer": answer,
            "seen": session.experiences.light,
            "planned": planned_with_ways(session, session.weekend),
        }

    def _take_course(self, got: CourseResponse) -> None:
        self._asked, self._course = None, got.outlooks
        self.changed.emit()

    def _take_all(self, got: BearingResponse) -> None:
        self._asked_all, self.found = None, got
        self.changed.emit()

    def _fail(self, error: Exception) -> None:
        self._asked_all, self.error = None, error
        self.changed.emit()
