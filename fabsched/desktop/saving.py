"""Saving all files of the present plan: written in the background, drawn bit by bit in between."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from fabsched.desktop.beds_page import export_request
from fabsched.desktop.desk import Desk
from fabsched.desktop.paper import drawings
from fabsched.desktop.picture import BEFORE
from fabsched.desktop.places import Place
from fabsched.session.export_records import Written
from fabsched.session.export_request import ExportRequest, ExportResponse

if TYPE_CHECKING:  # brings in numba
    from fabsched.schedule.layouts import RunLayout


class Saving(QObject):
    """Saves files, one plan at a time.

    Signals:
        begun: writing has begun.
        ended: folder, and how many files lie in it.
    """

    begun = Signal()
    ended = Signal(object, int)

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        """Nothing to save yet."""
        super().__init__(parent)
        self._desk = desk
        self._asked: int | None = None
        self._left: Iterator[Callable[[], Written]] = iter(())
        self._count = 0
        self._target = Path()
        self._next = QTimer(self)
        self._next.timeout.connect(self._draw_one)
        desk.opened.connect(self.stop)
        desk.closed.connect(self.stop)

    def save(self, target: Path, layouts: "tuple[RunLayout, ...]" = ()) -> None:
        """Save all files of the present plan into a folder.

        Args:
            target: the folder.
            layouts: where everything lies, if that was improved.
        """
        request = export_request(self._desk, target, layouts)
        if request is not None:
            self.stop()
            self.begun.emit()
            self._asked = self._desk.errands.ask(
                request, lambda got: self._draw(request, got), failed=self._refuse
            )

    def stop(self) -> None:
        """Leave what has not been written yet."""
        self._next.stop()
        self._desk.errands.drop(self._asked)
        self._asked, self._left = None, iter(())

    def _draw(self, request: ExportRequest, got: ExportResponse) -> None:
        self._asked = None
        self._target, self._count = request.target, len(got.written)
        self._left = drawings(
            request.weekend,
            request.answer,
            got.run_sheet,
            request.target,
            now_s=request.now_s,
            state=session.log.state if (session := self._desk.session) else BEFORE,
        )
        self._next.start(0)

    def _draw_one(self) -> None:
        draw = next(self._left, None)
        if draw is None:
            self._next.stop()
            self._desk.attempt(Place.FILES, lambda: None)
            self.ended.emit(self._target, self._count)
        elif self._desk.attempt(Place.FILES, draw):
            self._count += 1
        else:
            self.stop()

    def _refuse(self, error: Exception) -> None:
        self._asked = None
        self._desk.refuse(Place.FILES, error)
