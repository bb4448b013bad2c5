"""The open project while it is being made: everything of a session, and its log.

What happens is told with `tell`; plans then keep to it: what is done is done, what goes on goes on,
and the rest is planned from now. Undo goes through edits of the project and entries of the log alike,
the newest first; what was told before the project was opened can be taken back as well.
"""

from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from datetime import datetime
from functools import cached_property
from typing import Any

from fabsched.files.log_sqlite import LOG_FILE
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding
from fabsched.model.log import Entry, Event, Meant, Remedy, holding, last_told, last_withdrawn
from fabsched.model.project import Project
from fabsched.schedule.changes import in_hand
from fabsched.session.edits import Edit
from fabsched.session.history import Step
from fabsched.session.kept_project import Topic
from fabsched.session.learning import as_computed, learn_from
from fabsched.session.log_book import LogBook
from fabsched.session.log_requests import (
    ChoicesRequest,
    MeaningsRequest,
    MeaningsResponse,
    OptionRequest,
    PoseResponse,
    ReplanRequest,
    ReplanResponse,
)
from fabsched.session.plan_cache import PlanCache
from fabsched.session.project_session import Session
from fabsched.session.requests import PlanRequest, PlanResponse, Response
from fabsched.session.sayings import Known, Saying
from fabsched.session.shop_book import ShopEdit
from fabsched.session.telling import chosen, corrected, entry_of
from fabsched.session.turned_parts import UNTURNED, Turned, as_filed, as_turned

TOLD = "log"
"""Label of what was told, in the wording table's `[edit]`."""


class Bench(Session):
    """An open project with its log. Use `Bench.open` or `Bench.create`."""

    _meant: tuple[tuple[str, Meant], ...] = ()
    _replanned: ReplanResponse | None = None
    _log_error: InputError | None = None
    _lesson_error: InputError | None = None
    _made: tuple[Project, Turned, Project] | None = None

    @cached_property
    def log(self) -> LogBook:
        """What was told.

        Raises:
            InputError: the log cannot be read.
        """
        book = LogBook(self.folder, PlanCache(self._book.cache.folder.parent / "plans"))
        book.refresh()
        return book

    @property
    def project(self) -> Project:
        """The project as it is made now: parts that were turned after a failure, turned.

        With a log that cannot be read it is what its file says.
        """
        filed, turned = self._project, self._turned
        if self._made is None or self._made[0] is not filed or self._made[1] is not turned:
            self._made = (filed, turned, as_turned(filed, turned))
        return self._made[2]

    @property
    def _turned(self) -> Turned:
        try:
            return self.log.state.turned
        except InputError:  # told by whoever reads the log
            return UNTURNED

    def _as_filed(self, project: Project) -> Project:
        return as_filed(project, self._turned, self._project)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noticed about the parts, about stock, about the log and what was learnt from it."""
        learnt = [one for one in self.experiences.noticed if isinstance(one, Finding)]
        return (*super().findings, *self.log.findings, *learnt)

    @property
    def replanned(self) -> ReplanResponse | None:
        """The last plan that was made for a weekend under way; None if there is none."""
        return self._replanned if self.answer_is_current else None

    @property
    def log_error(self) -> InputError | None:
        """Why the last plan could not be taken in hand; None if it was."""
        return self._log_error

    @property
    def lesson_error(self) -> InputError | None:
        """Why what the log teaches could not be kept; None if it was."""
        return self._lesson_error

    # Telling.

    def tell(self, saying: Saying) -> Entry:
        """Write down what happened.

        Returns:
            The entry, safe on the disk.

        Raises:
            InputError: it makes no sense, or cannot be written; then nothing was.
            ValueError: what activities mean is not known yet; see `meanings_request`.
        """
        return self._told(entry_of(saying, self._known()))

    def tell_and_change(
        self, label: str, sayings: Sequence[Saying], edit: Edit, shop_edit: ShopEdit
    ) -> None:
        """Write down what will come, and change project and shop, as one step for undo.

        Args:
            label: key of the wording table's `[edit]`.
            sayings: what is told.
            edit: from the project to the next.
            shop_edit: from the shop to the next.

        Raises:
            InputError: one of them makes no sense, or cannot be written or saved; then what was told
                before it is withdrawn again.
            ValueError: what activities mean is not known yet; see `meanings_request`.
        """
        entries = [entry_of(saying, self._known()) for saying in sayings]
        told = [self.log.tell(entry)[-1].id for entry in entries]
        try:
            self.change_both(label, edit, shop_edit, told=len(told))
        except InputError:
            self.log.withdraw(told, self._last_s)
            raise
        finally:
            self._changed()

    def correct(self, ident: int, saying: Saying) -> Entry:
        """Write down that an entry should have said something else.

        Raises:
            InputError: there is no such entry that holds, it makes no sense, or it cannot be written.
        """
        entry = self._holding(ident)
        known = Known(
            meant={},
            state=self.log.state,
            shop=self.shop,
            deadline=self.project.deadline,
            entries=self.log.entries,
        )
        return self._told(corrected(entry, saying, known))

    def withdraw(self, ident: int, now: datetime) -> Entry:
        """Take one entry back, however long ago it was written.

        Raises:
            InputError: there is no such entry that holds, or it cannot be written.
        """
        entry = self._holding(ident)
        self.log.withdraw([ident], int(now.timestamp()))
        self._changed()
        return entry

    def choose(self, remedy: Remedy, now: datetime, at: datetime | None = None) -> Entry:
        """Take one of the choices after a failure; `undo` takes it back.

        Args:
            remedy: the choice.
            now: the present moment.
            at: when it was taken; None for now.

        Raises:
            InputError: it cannot be written.
        """
        now_s = int(now.timestamp())
        entry = chosen(remedy, self._known(), now_s=now_s)
        return self._told(replace(entry, moment_s=int(at.timestamp()) if at else now_s))

    def look_at_log(self) -> None:
        """Take in what another window or a command line has told.

        Raises:
            InputError: the log cannot be read.
        """
        if self.log.refresh():
            self._changed()

    def knows_meanings(self) -> bool:
        """Whether it is known what activities mean; else ask with `meanings_request`."""
        return bool(self._meant or (self.log.in_hand and self.log.in_hand.meant))

    def _known(self) -> Known:
        """What sayings are read against; activities in the order of urgency."""
        self.log.refresh()
        plan = self.log.in_hand
        meant = dict((plan.meant if plan else ()) or self._meant)
        if not meant:
            raise ValueError("meanings are missing")
        rank = {ident: place for place, ident in enumerate(plan.plan.order)} if plan else {}
        ordered = sorted(meant, key=lambda ident: rank.get(ident, len(rank)))
        return Known(
            meant={ident: meant[ident] for ident in ordered},
            state=self.log.state,
            shop=self.shop,
            deadline=self.project.deadline,
            left_out=plan.plan.dropped if plan else frozenset(),
            components=self.project.components,
            items=tuple(item.id for item in self.project.items),
            entries=self.log.entries,
        )

    def _holding(self, ident: int) -> Entry:
        self.log.refresh()
        for entry in holding(self.log.entries):
            if entry.id == ident and entry.kind is not Event.PLANNED:
                return entry
        raise InputError(Fault.NO_SUCH_ENTRY, LOG_FILE, number=ident)

    def _told(self, entry: Entry) -> Entry:
        *_, told = self.log.tell(entry)
        self._history.push(Step(TOLD, self._project, self._project))
        self._changed()
        return told

    def learn(self, now: datetime | None = None) -> None:
        """Let the next estimates follow what the log says by now.

        Args:
            now: the present moment, by which a deadline may have passed with nobody telling
                anything; else that of the last entry.

        A lesson that cannot be kept is no reason not to log; see `lesson_error`.
        """
        try:
            told = datetime.fromtimestamp(self._last_s, self.project.zone)
            learn_from(self, self.log.entries, max(told, now or told), self.log.home)
            self._lesson_error = None
        except InputError as error:
            self._lesson_error = error

    def _changed(self) -> None:
        self.learn()
        self._outdate()
        self._tell(Topic.LOG)

    # Undo and redo, across edits and the log.

    @property
    def undo_label(self) -> str | None:
        """Key in the wording table's `[edit]` of what `undo` takes back; None if nothing."""
        return super().undo_label or (TOLD if last_told(self.log.entries) else None)

    @property
    def redo_label(self) -> str | None:
        """Key in the wording table's `[edit]` of what `redo` does again; None if nothing."""
        return super().redo_label or (TOLD if last_withdrawn(self.log.entries) else None)

    def undo(self) -> None:
        """Take the last change back, an edit or an entry; does nothing if there is none."""
        if self.undo_label != TOLD:
            step = self._history.peek_back()
            super().undo()
            self._with_log(self.log.undo, step)
            return
        self.log.undo(self._last_s)
        if super().undo_label == TOLD:
            self._history.back()
        self._changed()

    def redo(self) -> None:
        """Do what was taken back last again; does nothing if there is nothing."""
        if self.redo_label != TOLD:
            step = self._history.peek_forth()
            super().redo()
            self._with_log(self.log.redo, step)
            return
        self.log.redo(self._last_s)
        if super().redo_label == TOLD:
            self._history.forth()
        self._changed()

    def _with_log(self, deed: Callable[[int], object], step: Step | None) -> None:
        """Take back or restore what was told as a part of a step."""
        for _ in range(step.told if step else 0):
            deed(self._last_s)
        if step and step.told:
            self._changed()

    @property
    def _last_s(self) -> int:
        """When something was written last: what speaks of entries only needs no clock of its own."""
        return max((entry.noted_s for entry in self.log.entries), default=0)

    # What has to be computed.

    def plan_request(self, now: datetime, seed: int = 0, *, quick: bool = False) -> PlanRequest:
        """Ask for a plan; once anything has happened, for the rest of the weekend.

        Args:
            now: nothing is planned before this moment; zone-aware.
            seed: of the random draws.
            quick: whether a first answer is wanted soon.

        Raises:
            InputError: there is nothing to plan, the deadline has passed before anything happened, or
                a part cannot be made.
            ValueError: estimates are still missing; see `estimate_requests`.
        """
        self.log.refresh()
        request = super().plan_request(now, seed)
        if not self.log.state.has_begun:
            return request
        given = {each.name: getattr(request, each.name) for each in fields(request)}
        told = {"entries": self.log.entries, "in_hand": self.log.in_hand, "quick": quick}
        return ReplanRequest(**{**given, **told})

    def meanings_request(self, now: datetime) -> MeaningsRequest:
        """Ask what activities mean, for a project that has not been planned yet.

        Raises:
            InputError: as for `plan_request`.
            ValueError: estimates are still missing.
        """
        return MeaningsRequest(**self._given(now))

    def choices_request(self, now: datetime) -> ChoicesRequest:
        """Ask which choices there are after what went wrong, without planning them.

        Raises:
            InputError: as for `plan_request`.
            ValueError: estimates are still missing.
        """
        self.log.refresh()
        return ChoicesRequest(**self._given(now), entries=self.log.entries)

    def _given(self, now: datetime) -> dict[str, Any]:
        """What a plan would be made of, the log left out."""
        request = super().plan_request(now)
        names = {each.name for each in fields(request)} - {"id", "entries"}
        return {name: getattr(request, name) for name in names}

    def accept_meanings(self, response: MeaningsResponse) -> None:
        """Take in what activities mean."""
        self._meant = as_computed(self, response.meant)

    def option_requests(self) -> tuple[OptionRequest, ...]:
        """Ask for the choices after what went wrong, each by itself; none if nothing is to choose."""
        found = self.replanned
        if found is None:
            return ()
        return tuple(OptionRequest(ground=found.ground, remedy=each) for each in found.remedies)

    def accept_poses(self, response: PoseResponse) -> None:
        """Keep what a part was estimated at in other poses, so that choosing one need not wait."""
        for key, estimates in response.estimates.items():
            self._book.keep(key, estimates)

    def accept(self, response: Response) -> bool:
        """Take in a response; a plan that is accepted is the plan in hand.

        Returns:
            False if it is out of date; then nothing has changed.

        Raises:
            InputError: parts cannot be added, since the project cannot be saved.
        """
        if isinstance(response, PlanResponse):
            self._replanned = response if isinstance(response, ReplanResponse) else None
        accepted = super().accept(response)
        if accepted and isinstance(response, PlanResponse):
            self._take_in_hand(response)
        return accepted

    def _take_in_hand(self, response: PlanResponse) -> None:
        """A plan that cannot be written down is a plan all the same."""
        try:
            plan = in_hand(response.answer, response.weekend)
            plan = replace(plan, meant=as_computed(self, plan.meant))
            self.log.take_in_hand(plan, response.weekend.begin_s)
            self._log_error = None
        except InputError as error:
            self._log_error = error

    def _begins(self, now: datetime) -> datetime:
        """Once anything has happened, a deadline that has passed is still planned for."""
        moments = [entry.moment_s for entry in self.log.entries if entry.kind is not Event.PLANNED]
        return min(now, datetime.fromtimestamp(min(moments), now.tzinfo)) if moments else now
