"""The project on the desk: its session, and the work in the background that keeps it up to date.

Widgets follow this object. It decides nothing about plans; it only asks the session what is still
to be computed, has that computed, and hands the responses back.
"""

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from fabsched.desktop.background import Background
from fabsched.desktop.errands import Errands
from fabsched.desktop.places import PASSING, Place
from fabsched.desktop.troubles import Troubles
from fabsched.model.errors import Fault, InputError
from fabsched.session.bench import Bench
from fabsched.session.edits import Edit
from fabsched.session.following import Better
from fabsched.session.kept_project import Topic
from fabsched.session.log_requests import ReplanResponse
from fabsched.session.project_session import Session
from fabsched.session.requests import (
    AdoptResponse,
    EstimateRequest,
    Response,
    WarmRequest,
)
from fabsched.session.shop_book import ShopEdit

SETTLE_MS = 250
"""How long changes are gathered before work starts (our own choice: a pause in typing)."""

Clock = Callable[[], datetime]
"""Tells the present moment, zone-aware."""


class Desk(Troubles):
    """One open project or none.

    Signals:
        opened: another project is open, or none.
        changed: parts, work, deadline or shop have changed.
        estimated: more is known about the parts.
        planned: there is a new plan, or the old one is out of date.
        working: share done from 0 to 1, code of the stage, how many jobs are done and how many
            there are.
        started: something is being computed again.
        rested: nothing is being computed any more.
        bettered: a better plan was found while one is searched; its chance of being in time.
        closed: everything has ended.
    """

    opened = Signal()
    changed = Signal()
    estimated = Signal()
    planned = Signal()
    working = Signal(float, str, int, int)
    started = Signal()
    rested = Signal()
    bettered = Signal(float)
    closed = Signal()

    def __init__(self, background: Background, now: Clock, parent: QObject | None = None) -> None:
        """Make an empty desk.

        Args:
            background: where work is done; closed with the desk.
            now: the clock.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.now = now
        self.session: Bench | None = None
        self._background = background
        self.errands = Errands(background, self)
        self._estimates: dict[int, EstimateRequest] = {}
        self._guesses: set[int] = set()
        self._copies: set[int] = set()
        self._lost: dict[str, Exception] = {}
        self._plan: int | None = None
        self._best: float | None = None
        self._preparing: int | None = None
        self._compiling = False
        self._jobs = 0
        self._working = False
        self._paused = self._again = self._hurried = False
        self._leave: Callable[[], None] = lambda: None
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.timeout.connect(self.work)
        background.progressed.connect(self._progressed)
        background.finished.connect(self._finished)
        background.failed.connect(self._failed)
        background.found.connect(self._found)

    # What is known.

    @property
    def lost(self) -> dict[str, Exception]:
        """Parts whose estimate broke off through no fault of theirs, by id."""
        marks = self.session.marks if self.session else {}
        return {part: self._lost[mark] for part, mark in marks.items() if mark in self._lost}

    @property
    def busy(self) -> bool:
        """Whether something is being computed or about to be."""
        asked = (self._estimates, self._guesses, self._copies)
        return any(map(bool, asked)) or self._plan is not None or self._waits

    @property
    def _waits(self) -> bool:
        """Whether work is about to begin, or cannot before the compiler is done."""
        return self._settle.isActive() or self._compiling

    def _asked_for(self, ident: int) -> bool:
        """Whether a request is the project's own, not some view's."""
        asked = (self._estimates, self._guesses, self._copies, (self._plan, self._preparing))
        return any(ident in idents for idents in asked)

    @property
    def best(self) -> float | None:
        """Chance of being in time with the best plan so far; None while none is searched."""
        return self._best if self._plan is not None else None

    @property
    def stopped(self) -> bool:
        """Whether the user has stopped the work; it goes on with the next change."""
        return self._paused

    # What the user does.

    def prepare(self) -> None:
        """Have all that is computed with compiled, which takes a minute after installing."""
        self._preparing = self._background.submit(WarmRequest())

    def open(self, session: Bench | None) -> None:
        """Put another project on the desk, or clear it."""
        self._drop_work()
        self.errands.drop_all()
        self._leave()
        self._errors, self._lost, self._paused = {}, {}, False
        self.session = session
        self._leave = session.subscribe(self._told) if session else lambda: None
        self.opened.emit()
        self.troubled.emit()
        self.work()

    def change(self, place: Place, label: str, edit: Edit) -> bool:
        """Apply an edit to the project; see `attempt`."""
        return self._edit(place, lambda session: session.change(label, edit))

    def change_shop(self, label: str, edit: ShopEdit) -> bool:
        """Apply an edit to the shop; see `attempt`."""
        return self._edit(Place.STOCK, lambda session: session.change_shop(label, edit))

    def remove(self, place: Place, ident: str) -> None:
        """Take a part, work or gate out; see `attempt`."""
        self._edit(place, lambda session: session.remove([ident]))

    def add_files(self, paths: Iterable[Path]) -> None:
        """Take part files into the project; those refused are named at the parts."""
        files = tuple(paths)
        if self.session is not None and files:
            self._forget([Place.PARTS])
            self._paused = False
            self._copies.add(self._background.submit(self.session.adopt_request(files)))
            self.working.emit(0.0, "copying", 0, 1)
            self._tell_pace()

    def _take_in(self, response: AdoptResponse) -> None:
        """Make parts of files that lie in the project by now."""
        if self._edit(Place.PARTS, lambda session: session.accept(response)):
            self._set_errors(Place.PARTS, response.refused)

    def undo(self) -> None:
        """Take the last change back."""
        self._edit(Place.FILES, Bench.undo)

    def redo(self) -> None:
        """Do again what was taken back."""
        self._edit(Place.FILES, Bench.redo)

    def look_outside(self) -> None:
        """Take in what somebody else wrote to the project's files."""
        session = self.session
        if session is not None:
            if self.attempt(Place.PROJECT, session.sync):
                self.attempt(Place.PROJECT, session.look_at_log)
            self.attempt(Place.SHOP, session.reload_shop)
            session.look_at_parts()

    def _edit(self, place: Place, deed: Callable[[Bench], object]) -> bool:
        """Do something to the project as it stands in its file by now; see `attempt`."""
        session = self.session
        if session is None or not self.attempt(Place.PROJECT, session.sync):
            return False
        return self.attempt(place, lambda: deed(session))

    def plan_again(self) -> None:
        """Plan now, even if nothing has changed: time has gone on."""
        self._lost, self._paused, self._again = {}, False, True
        self._drop_plan()
        self.work()

    def stop(self) -> None:
        """Break off what is being computed."""
        self._paused = True
        self._end_preparing()
        self._drop_work()
        self.estimated.emit()
        self.planned.emit()

    def keep(self) -> None:
        """Let the search for a plan end with the best so far."""
        if self._plan is not None:
            self._background.enough(self._plan)

    def close(self) -> None:
        """End everything, processes included."""
        self._end_preparing()
        self._drop_work()
        self.errands.drop_all()
        self._leave()
        self._leave = lambda: None
        self._background.close()
        self.closed.emit()

    # What happens by itself.

    @Slot()
    def work(self) -> None:
        """Have computed what is still missing: estimates first, then the plan."""
        self._settle.stop()
        if self.session is None or self._paused or self._compiling:
            return
        self._guess(self.session)
        wanted = {request.id: request for request in self.session.estimate_requests()}
        open_now = {i: r for i, r in wanted.items() if r.key not in self._lost}
        for ident in self._estimates.keys() - open_now.keys():
            self._background.drop(ident)
            del self._estimates[ident]
        for ident in [ident for ident in open_now if ident not in self._estimates]:
            self._estimates[ident] = open_now[ident]
            self._jobs += 1
            self._background.submit(open_now[ident])
        if self._estimates:
            self._drop_plan()
            self._tell_working(0.0, "estimating")
            self.estimated.emit()
        elif not wanted and not self._copies:
            self._ask_for_plan(self.session)
        self._tell_pace()

    def _guess(self, session: Session) -> None:
        """Have first figures worked out before anything else."""
        wanted = {request.id: request for request in session.rough_requests()}
        for ident in self._guesses - wanted.keys():
            self._background.drop(ident)
        for ident in [ident for ident in wanted if ident not in self._guesses]:
            self._background.submit(wanted[ident])
        self._guesses = set(wanted)

    def _ask_for_plan(self, session: Bench) -> None:
        if self._plan is not None or (session.answer_is_current and not self._again):
            return
        try:
            request = session.plan_request(self.now(), quick=self._hurried)
        except InputError as error:
            self._refuse(error)
            return
        self._set_errors(Place.PLAN, ())
        self._set_errors(Place.DEADLINE, ())
        self._again, self._best = False, None
        self._plan = self._background.submit(request)
        # Needed when the plan is there, and loaded now: then there is enough to do at once.
        QTimer.singleShot(0, self, session.experiences.be_ready)
        self.working.emit(0.0, "planning", 0, 1)
        self.planned.emit()

    def _refuse(self, error: InputError) -> None:
        """Keep why there is no plan, at the place of its cause."""
        late = error.code is Fault.DEADLINE_PAST
        self._set_errors(Place.DEADLINE, (error,) if late else ())
        self._set_errors(Place.PLAN, () if late else (error,))
        self.planned.emit()

    def _told(self, topic: Topic) -> None:
        match topic:
            case Topic.PROJECT | Topic.SHOP | Topic.LOG:
                self._paused, self._hurried = False, topic is Topic.LOG
                self._forget(PASSING)
                self._drop_plan()
                self._settle.start(0 if self._hurried else SETTLE_MS)
                self.changed.emit()
                self.planned.emit()
                self._tell_pace()
            case Topic.ESTIMATES:
                self.estimated.emit()
            case Topic.ANSWER:
                self.planned.emit()

    @Slot(int, float, str)
    def _progressed(self, ident: int, done: float, stage: str) -> None:
        if ident == self._plan or ident in self._copies:
            self.working.emit(done, stage, 0, 1)
        elif ident in self._estimates:
            self._tell_working(done, stage)
        elif ident == self._preparing:
            self._compiling = True
            self._tell_pace()
            self.working.emit(done, stage, 0, 1)

    @Slot(int, object)
    def _found(self, ident: int, what: object) -> None:
        if ident == self._plan and isinstance(what, Better):
            self._best = what.on_time
            self.bettered.emit(what.on_time)

    @Slot(int, object)
    def _finished(self, ident: int, response: Response | None) -> None:
        if not self._asked_for(ident):
            return
        if ident == self._plan:
            self._plan = None
        if ident == self._preparing:
            self._end_preparing()
        self._estimates.pop(ident, None)
        self._guesses.discard(ident)
        self._copies.discard(ident)
        if isinstance(response, AdoptResponse):
            self._take_in(response)
        elif self.session is not None and response is not None:
            self.session.accept(response)
        if isinstance(response, ReplanResponse):
            self._look_closer(response)
        self.work()
        self._tell_pace()

    def _look_closer(self, response: ReplanResponse) -> None:
        """After a first answer comes a better one, unless something has to be decided before."""
        self._again = self._hurried and not response.remedies
        self._hurried = False

    @Slot(int, object)
    def _failed(self, ident: int, error: Exception) -> None:
        if ident == self._preparing:
            self._end_preparing()
            self.work()
        elif ident == self._plan:
            self._plan = None
            if isinstance(error, InputError):
                self._refuse(error)
            else:
                self._set_errors(Place.PLAN, (error,))
        elif ident in self._copies:
            self._copies.discard(ident)
            self._set_errors(Place.PARTS, (error,))
        elif (request := self._estimates.pop(ident, None)) is not None:
            self._lost[request.key] = error
            self.estimated.emit()
            self.work()
        self._tell_pace()

    def _end_preparing(self) -> None:
        """Wait no longer for the compiler; dropping what has ended changes nothing."""
        if self._preparing is not None:
            self._background.drop(self._preparing)
        self._preparing, self._compiling = None, False

    def _tell_working(self, part_done: float, stage: str) -> None:
        """Share of the estimates that are done, the present one in part."""
        done = self._jobs - len(self._estimates)
        share = min(1.0, (done + part_done) / max(1, self._jobs))
        self.working.emit(share, stage, done, self._jobs)

    def _tell_pace(self) -> None:
        if not self._estimates:
            self._jobs = 0
        if self.busy != self._working:
            self._working = self.busy
            (self.started if self._working else self.rested).emit()

    def _drop_plan(self) -> None:
        if self._plan is not None:
            self._background.drop(self._plan)
            self._plan = None

    def _drop_work(self) -> None:
        self._settle.stop()
        self._drop_plan()
        for ident in (*self._estimates, *self._guesses, *self._copies):
            self._background.drop(ident)
        for jobs in (self._estimates, self._guesses, self._copies):
            jobs.clear()
        self._tell_pace()
