"""Blocks moved by hand: what that would cost is shown while they are held, then they are pinned."""

from datetime import UTC, datetime

from PySide6.QtCore import QObject, QTimer

from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.desktop.timeline.moving import BlockMover
from fabsched.desktop.timeline.overlay import Ghost
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.plan import Block
from fabsched.model.project import Pin
from fabsched.model.weekend import Task, Weekend
from fabsched.session.clock import short
from fabsched.session.edits import with_pin, without_pin
from fabsched.session.pin_request import PinRequest, PinResponse
from fabsched.session.wording import phrase, share

TRY_MS = 80
"""How long a block is held still before its cost is asked for (our own choice)."""


class Pinning(QObject):
    """Pins blocks of a desk's plan."""

    def __init__(self, desk: Desk, view: TimelineView) -> None:
        """Watch a timeline.

        Args:
            desk: whose plan it shows.
            view: the timeline.
        """
        super().__init__(view)
        self._desk, self._view = desk, view
        self.mover = BlockMover(view)
        self._wanted: tuple[str, int] | None = None
        self._asked: int | None = None
        self._try = QTimer(self)
        self._try.setSingleShot(True)
        self._try.setInterval(TRY_MS)
        self._try.timeout.connect(self._ask)
        self.mover.moving.connect(self._show)
        self.mover.dropped.connect(self.pin)
        self.mover.left.connect(self._clear)
        desk.opened.connect(self._clear)

    # What can be done about the selected block.

    def pinned(self) -> bool:
        """Whether the selected block is pinned."""
        session, name = self._desk.session, self._name(self._view.chosen)
        return session is not None and any(pin.id == name for pin in session.project.pins)

    def turn(self) -> None:
        """Pin the selected block where it is, or let it go again."""
        shown = self._view.scene
        block = shown.block(self._view.chosen) if shown else None
        if block is not None and self.pinned():
            self._desk.change(Place.PLAN, "unpin", without_pin(self._name(block.id)))
        elif block is not None:
            self.pin(block.id, block.start_s)

    def pin(self, ident: str, start_s: int) -> None:
        """Let a block start at a moment from now on."""
        self._clear()
        session, name = self._desk.session, self._name(ident)
        if session is not None and name:
            at = datetime.fromtimestamp(start_s, UTC).astimezone(session.project.zone)
            self._desk.change(Place.PLAN, "pin", with_pin(Pin(id=name, at=at)))

    def _name(self, ident: str) -> str:
        """What is pinned when a block is: its run, or the whole work it is a piece of."""
        session, shown = self._desk.session, self._view.scene
        block = shown.block(ident) if shown else None
        if session is None or session.weekend is None or block is None:
            return ""
        return name_of(session.weekend, block)

    # While a block is held.

    def _show(self, ident: str, start_s: int) -> None:
        """Show where it is held, and ask soon what that would cost."""
        self._wanted = (ident, start_s)
        self._view.show_ghost(Ghost(ident, start_s, self._when(start_s)))
        self._try.start()

    def _when(self, start_s: int) -> str:
        shown = self._view.scene
        return short(start_s, shown.zone) if shown else ""

    def _ask(self) -> None:
        session = self._desk.session
        if self._wanted is None or session is None:
            return
        if session.weekend is None or session.answer is None:
            return
        ident, start_s = self._wanted
        self._desk.errands.drop(self._asked)
        request = PinRequest(
            weekend=session.weekend,
            plan=session.answer.plan,
            what=self._name(ident),
            start_s=start_s,
        )
        self._asked = self._desk.errands.ask(request, lambda got: self._tell(ident, start_s, got))

    def _tell(self, ident: str, start_s: int, got: PinResponse) -> None:
        """What would become of the plan."""
        self._asked = None
        if self._wanted == (ident, start_s):
            cost = phrase("pin-costs", before=share(got.before), after=share(got.on_time))
            ghost = Ghost(ident, start_s, f"{self._when(start_s)}: {cost}", got.course.blocks)
            self._view.show_ghost(ghost)

    def _clear(self) -> None:
        self._try.stop()
        self._desk.errands.drop(self._asked)
        self._wanted, self._asked = None, None
        self._view.show_ghost(None)


def name_of(weekend: Weekend, block: Block) -> str:
    """What is pinned when a block is: the id of its run, or of the work it is a piece of."""
    activities = {activity.id: activity for activity in weekend.activities}
    activity = activities.get(block.activity)
    return activity.of or activity.id if isinstance(activity, Task) else block.activity
