"""What stands in the way of beginning, what is to be had before, and how things go in.

Each line has one step that puts it right, or leads to where that is done.
"""

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from fabsched.advise.ready import Lack
from fabsched.desktop.advice.in_hand import InHand
from fabsched.desktop.advice.rows import Line, Lines
from fabsched.desktop.advice.words import lack_text
from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Component, Part
from fabsched.session.bench import Bench
from fabsched.session.cures import Cure, cure_for
from fabsched.session.edits import put_all
from fabsched.session.hand_edits import CHANGE_LABEL, with_component
from fabsched.session.noticed import say
from fabsched.session.ready import Readiness, readiness
from fabsched.session.requests import PlanResponse
from fabsched.session.sayings import Saying, Verb
from fabsched.session.wording import phrase

OF_SHOP = (
    Fault.HOURS_NEVER_MEET,
    Fault.RUN_TOO_LONG,
    Fault.NOBODY_CAN,
    Fault.TOO_FEW_CAN,
    Fault.NO_MACHINE,
)
"""Faults that hours, people or machines of the shop put right."""


class ReadyChapter(QWidget):
    """Follows what is in hand, and what stands in the way.

    Signals:
        part_wanted: id of the part whose page is asked for.
        shop_wanted: the page of the shop is asked for.
        deadline_wanted: the deadline is to be changed.
    """

    part_wanted = Signal(str)
    shop_wanted = Signal()
    deadline_wanted = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make an empty one.

        Args:
            desk: whose project.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk = desk
        self._shown: object = None
        self.faults = Lines(self.tr("What stands in the way"), self)
        self.lacks = Lines(phrase("lacks-title"), self)
        self.notes = Lines(self.tr("Easily mixed up"), self)
        self.in_hand = InHand(desk, self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.faults, self.lacks, self.notes, self.in_hand):
            column.addWidget(widget)

    def follow(self) -> None:
        """Show what is not in hand; it needs no plan."""
        self.in_hand.follow()
        session = self._desk.session
        if session is None:
            self._shown = None
            for lines in (self.faults, self.lacks, self.notes):
                lines.say([])
            return
        # A plan that is out of date tells more of stock than none while the next one is made.
        response = response_of(session) if session.answer and session.weekend else None
        now_s = int(self._desk.now().timestamp())
        found = readiness(session, response, self._fault(), now_s)
        lacks = [self._lack_line(session, lack, now_s) for lack in found.lacks]
        if (shown := _looks(session, found, lacks)) != self._shown:
            self._shown = shown  # else a button that is being pressed stays where it is
            self._show(session, found, lacks)

    def _show(self, session: Bench, found: Readiness, lacks: list[Line]) -> None:
        self.faults.say([self._fault_line(session, fault) for fault in found.faults])
        self.lacks.say(
            lacks or [Line(phrase("lacks-none" if found.counted else "lacks-uncounted"))],
            self.tr("To be had before") if lacks else self.tr("Ready?"),
        )
        self.notes.say([self._note_line(each) for each in found.mixed_up])

    def _fault(self) -> InputError | None:
        errors = self._desk.errors(Place.PLAN, Place.DEADLINE)
        return next((error for error in errors if isinstance(error, InputError)), None)

    # What is not in hand.

    def _lack_line(self, session: Bench, lack: Lack, now_s: int) -> Line:
        project = session.project
        names = {item.id: item.name for item in project.items}
        text = lack_text(lack, names, project.zone, now_s)
        component = next((c for c in project.components if c.id == lack.id), None)
        if component is None or lack.is_stock:
            tip = self.tr("Enter what is in stock")
            return Line(text, button=self.tr("Show the shop"), deed=self.shop_wanted.emit, tip=tip)
        tip = self.tr("All that is wanted of %s is in hand now") % lack.what
        deed = partial(self._have, component, ordered=lack.expected_s is not None)
        return Line(text, button=self.tr("It is here"), deed=deed, tip=tip)

    def _have(self, component: Component, *, ordered: bool) -> None:
        """Have all of it in hand; of what was on its way the log tells that it has come."""
        if ordered:
            self._desk.attempt(Place.LOG, partial(self._arrive, component))
        else:
            whole = replace(component, have=component.count + component.spares)
            self._desk.change(Place.PARTS, CHANGE_LABEL, with_component(whole))

    def _arrive(self, component: Component) -> None:
        session, now_s = self._desk.session, int(self._desk.now().timestamp())
        if session is not None:
            session.tell(Saying(verb=Verb.ARRIVE, block=component.id, at_s=now_s, now_s=now_s))

    def _note_line(self, each: Component) -> Line:
        text = phrase("mixed-up", what=each.name, note=each.note)
        tip = self.tr("Change %s") % each.name
        deed = partial(self.in_hand.begin_component, each.id)
        return Line(text, button=self.tr("Change"), deed=deed, tip=tip)

    # What stands in the way.

    def _fault_line(self, session: Bench, fault: InputError) -> Line:
        text, part = say(fault), _part_of(session, fault)
        if part is not None and (cure := cure_for(part, fault)) is not None:
            return Line(text, button=cure.text, deed=partial(self._cure, cure))
        if fault.code is Fault.DEADLINE_PAST:
            change = self.tr("Change the deadline")
            return Line(text, button=change, deed=self.deadline_wanted.emit)
        if fault.code in OF_SHOP:
            return Line(text, button=self.tr("Show the shop"), deed=self.shop_wanted.emit)
        if part is not None:
            show = partial(self.part_wanted.emit, part.id)
            return Line(text, button=self.tr("Show the part"), deed=show)
        return Line(text)

    def _cure(self, cure: Cure) -> None:
        self._desk.change(Place.PARTS, cure.label, put_all([cure.part]))


def _part_of(session: Bench, fault: InputError) -> Part | None:
    """The part a fault is about, if it is about one."""
    parts = {part.id: part for part in session.project.parts}
    for ident, errors in session.problems.items():
        if any(str(error) == str(fault) for error in errors):
            return parts[ident]
    return None


def _looks(session: Bench, found: Readiness, lacks: list[Line]) -> object:
    """All that what is shown hangs on."""
    told = [(str(fault), _part_of(session, fault)) for fault in found.faults]
    texts = [line.text for line in lacks]
    return told, texts, found.lacks, found.counted, session.project.components


def response_of(session: Bench) -> PlanResponse:
    """The present plan as a response.

    Args:
        session: has a plan.
    """
    answer, weekend = session.answer, session.weekend
    assert answer is not None  # noqa: S101 - asked only where there is a plan
    assert weekend is not None  # noqa: S101 - likewise
    return PlanResponse(id=0, answer=answer, weekend=weekend, stock=session.stock)
