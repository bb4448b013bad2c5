"""The one bridge between the pool of worker processes and the thread the window lives on.

The pool calls back on a thread of its own; a Qt signal carries what it says to the thread this
object belongs to. Requests that were dropped meanwhile are not heard of again.
"""

from typing import Any, Protocol

from PySide6.QtCore import QObject, Qt, Signal, Slot

from fabsched.model.errors import Cancelled
from fabsched.session.pool import Event, Failed, Finished, Listener, Progressed
from fabsched.session.requests import Request


class Workers(Protocol):
    """What the bridge needs of a pool."""

    def submit(self, request: Request[Any], tell: Listener) -> int:
        """Queue a request; its events go to `tell`, on any thread."""

    def cancel(self, ident: int) -> None:
        """End a request."""

    def close(self) -> None:
        """End everything and wait until it has ended."""


class Background(QObject):
    """Runs requests in the background.

    Signals, all on the thread of this object:
        progressed: id, share done from 0 to 1, code of the stage.
        finished: id, response.
        failed: id, error; not sent for requests that were dropped.
    """

    progressed = Signal(int, float, str)
    finished = Signal(int, object)
    failed = Signal(int, object)
    _heard = Signal(object)

    def __init__(self, pool: Workers, parent: QObject | None = None) -> None:
        """Take over a pool, which is closed with this object."""
        super().__init__(parent)
        self._pool = pool
        self._open: set[int] = set()
        self._heard.connect(self._pass_on, Qt.ConnectionType.QueuedConnection)

    @property
    def busy(self) -> bool:
        """Whether anything is under way."""
        return bool(self._open)

    def submit(self, request: Request[Any]) -> int:
        """Start a request.

        Returns:
            Its id.
        """
        self._open.add(request.id)
        return self._pool.submit(request, self._heard.emit)

    def drop(self, ident: int) -> None:
        """End a request nobody waits for any more; nothing more is heard of it."""
        self._open.discard(ident)
        self._pool.cancel(ident)

    def drop_all(self) -> None:
        """End all requests."""
        for ident in tuple(self._open):
            self.drop(ident)

    def close(self) -> None:
        """End all requests and every process."""
        self._open.clear()
        self._pool.close()

    @Slot(object)
    def _pass_on(self, event: Event) -> None:
        if event.id not in self._open:
            return
        match event:
            case Progressed(ident, done, stage):
                self.progressed.emit(ident, done, stage)
            case Finished(ident, response):
                self._open.discard(ident)
                self.finished.emit(ident, response)
            case Failed(ident, error):
                self._open.discard(ident)
                if not isinstance(error, Cancelled):
                    self.failed.emit(ident, error)
