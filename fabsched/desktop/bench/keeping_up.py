"""Keeps the plan of a weekend under way up with the clock, also while nobody tells anything."""

from PySide6.QtCore import QObject, QTimer

from fabsched.desktop.desk import Desk
from fabsched.model.units import MINUTE_S

LOOK_MS = 60_000
"""How often it is looked (our own choice)."""
OLD_S = 15 * MINUTE_S
"""A plan that was made longer ago than this is made again (our own choice)."""


class KeepingUp(QObject):
    """Has the rest planned again from time to time, once anything has happened."""

    def __init__(self, desk: Desk, parent: QObject) -> None:
        """Watch a desk.

        Args:
            desk: whose plan.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk = desk
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()
        desk.closed.connect(self._timer.stop)

    def look(self) -> None:
        """Plan again if the plan is old, nothing is being computed, and nothing has to be decided."""
        desk, session = self._desk, self._desk.session
        if session is None or desk.busy or desk.stopped or not session.log.state.has_begun:
            return
        found = session.replanned
        old_s = int(desk.now().timestamp()) - (found.weekend.begin_s if found else 0)
        if found is not None and not found.remedies and old_s >= OLD_S:
            desk.plan_again()
