"""Tells the log of the project on the desk what happens, and looks for what others have told."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QObject, QTimer, Signal

from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.model.errors import InputError
from fabsched.model.log import Entry, Remedy
from fabsched.session.bench import Bench
from fabsched.session.log_requests import MeaningsResponse
from fabsched.session.sayings import Saying, Verb

LOOK_MS = 3000
"""How often it is looked whether somebody else has told something (our own choice)."""

Deed = Callable[[Bench], Entry]
"""Writes an entry, and returns it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is said beside what happened.

    Attributes:
        at_s: when; None for now.
        until_s: the moment to come, for what has one.
        share: how far it got; None to take it from its estimate.
        why: in the maker's words.
        about: id of the component it is said of; empty for the block itself.
        by: ids of those who did it, who was in charge first; empty if that is as planned.
    """

    at_s: int | None = None
    until_s: int | None = None
    share: float | None = None
    why: str = ""
    about: str = ""
    by: tuple[str, ...] = ()


NOTHING = Facts()
"""It happened now, and there is nothing more to say of it."""


class Teller(QObject):
    """Writes down what happens.

    Signals:
        told: the entry that was written.
        withdrawn: the entry that was taken back.
    """

    told = Signal(object)
    withdrawn = Signal(object)

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        """Make a teller for whatever project lies on a desk."""
        super().__init__(parent)
        self._desk = desk
        self._waiting: list[Deed] = []
        self._asked: int | None = None
        self._look = QTimer(self)
        self._look.setInterval(LOOK_MS)
        self._look.timeout.connect(self.look)
        self._look.start()
        desk.opened.connect(self._forget)
        desk.planned.connect(self._check)
        desk.rested.connect(self._learn)
        desk.closed.connect(self._look.stop)

    @property
    def now_s(self) -> int:
        """The present moment."""
        return int(self._desk.now().timestamp())

    def tell(self, verb: Verb, block: str, facts: Facts = NOTHING) -> None:
        """Write down what happened to a block; errors are told at `Place.LOG`."""
        saying = self._saying(verb, block, facts)
        self._do(lambda bench: bench.tell(saying))

    def correct(self, ident: int, facts: Facts) -> None:
        """Write down that an entry should have said something else."""
        saying = self._saying(Verb.START, "", facts)
        self._do(lambda bench: bench.correct(ident, saying))

    def withdraw(self, ident: int) -> None:
        """Take an entry back."""
        session, gone = self._desk.session, list[Entry]()
        if session is not None and self._desk.attempt(
            Place.LOG, lambda: gone.append(session.withdraw(ident, self._desk.now()))
        ):
            self.withdrawn.emit(gone[0])

    def choose(self, remedy: Remedy) -> None:
        """Take one of the choices after a failure."""
        self._do(lambda bench: bench.choose(remedy, self._desk.now()))

    def look(self) -> None:
        """Take in what somebody else has told."""
        session = self._desk.session
        if session is None:
            return
        try:
            session.look_at_log()
        except InputError as error:
            self._desk.refuse(Place.PROJECT, error)

    def _check(self) -> None:
        """Tell why the last plan could not be written down."""
        session = self._desk.session
        if session is not None and session.log_error is not None:
            self._desk.refuse(Place.LOG, session.log_error)

    def _saying(self, verb: Verb, block: str, facts: Facts) -> Saying:
        now_s = self.now_s
        at_s = now_s if facts.at_s is None else facts.at_s
        return Saying(
            verb=verb,
            block=block,
            at_s=at_s,
            now_s=now_s,
            until_s=facts.until_s,
            share=facts.share,
            why=facts.why,
            person=facts.by[0] if facts.by else "",
            helpers=facts.by[1:] if facts.by else None,
        )

    def _do(self, deed: Deed) -> None:
        """Write it down, as soon as it is known what blocks mean."""
        session, told = self._desk.session, list[Entry]()
        if session is None:
            return
        if not session.knows_meanings():
            self._waiting.append(deed)
            self._learn()
        elif self._desk.attempt(Place.LOG, lambda: told.append(deed(session))):
            self.told.emit(told[0])

    def _learn(self) -> None:
        """Have it found out what blocks mean, once the parts are estimated."""
        session = self._desk.session
        if session is None or not self._waiting or self._asked is not None:
            return
        if session.estimate_requests():
            self._desk.work()
            return
        requests = []
        if self._desk.attempt(
            Place.LOG, lambda: requests.append(session.meanings_request(self._desk.now()))
        ):
            self._asked = self._desk.errands.ask(requests[0], self._learnt, failed=self._refuse)

    def _learnt(self, response: MeaningsResponse) -> None:
        self._asked = None
        if self._desk.session is not None:
            self._desk.session.accept_meanings(response)
        waiting, self._waiting = self._waiting, []
        for deed in waiting:
            self._do(deed)

    def _refuse(self, error: Exception) -> None:
        self._forget()
        self._desk.refuse(Place.LOG, error)

    def _forget(self) -> None:
        self._desk.errands.drop(self._asked)
        self._asked, self._waiting = None, []
