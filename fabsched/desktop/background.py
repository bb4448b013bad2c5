"""The one bridge between the pool of worker processes and the thread the window lives on.

The pool calls back on a thread of its own; a Qt signal carries what it says to the thread this
object belongs to. Requests that were dropped meanwhile are not heard of again.
"""

from itertools import count
from typing import Any, Protocol

from PySide6.QtCore import QObject, Qt, Signal, Slot

from fabsched.model.errors import Cancelled
from fabsched.session.pool import Event, Failed, Finished, Listener
from fabsched.session.requests import Request
from fabsched.session.worker import Progressed


class Workers(Protocol):
    """What the bridge needs of a pool."""

    def submit(self, request: Request[Any], tell: Listener) -> int:
        """Queue a request; its events go to `tell`, on any thread."""

    def cancel(self, ident: int) -> None:
        """End a request."""

    def enough(self, ident: int) -> None:
        """Let a request end with the best it has so far."""

    def close(self) -> None:
        """End everything and wait until it has ended."""


class Background(QObject):
    """Runs requests in the background.

    Signals, all on the thread of this object:
        progressed: id, share done from 0 to 1, code of the stage.
        found: id, what was found before the end.
        finished: id, response.
        failed: id, error; not sent for requests that were dropped.
    """

    progressed = Signal(int, float, str)
    found = Signal(int, object)
    finished = Signal(int, object)
    failed = Signal(int, object)
    _heard = Signal(int, object)

    def __init__(self, pool: Workers, parent: QObject | None = None) -> None:
        """Take over a pool, which is closed with this object."""
        super().__init__(parent)
        self._pool = pool
        self._open: dict[int, int] = {}
        self._tokens = count(1)
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
        token = self._open[request.id] = next(self._tokens)
        return self._pool.submit(request, lambda event: self._heard.emit(token, event))

    def enough(self, ident: int) -> None:
        """Let a request end with the best it has so far."""
        self._pool.enough(ident)

    def drop(self, ident: int) -> None:
        """End a request nobody waits for any more; nothing more is heard of it."""
        self._open.pop(ident, None)
        self._pool.cancel(ident)

    def drop_all(self) -> None:
        """End all requests."""
        for ident in tuple(self._open):
            self.drop(ident)

    def close(self) -> None:
        """End all requests and every process."""
        self._open.clear()
        self._pool.close()

    @Slot(int, object)
    def _pass_on(self, token: int, event: Event) -> None:
        """Hand an event on, unless its request was dropped; it may be under way once more since."""
        if self._open.get(event.id) != token:
            return
        match event:
            case Progressed(ident, done, stage, None):
                self.progressed.emit(ident, done, stage)
            case Progressed(ident, _, _, what):
                self.found.emit(ident, what)
            case Finished(ident, response):
                del self._open[ident]
                self.finished.emit(ident, response)
            case Failed(ident, error):
                del self._open[ident]
                if not isinstance(error, Cancelled):
                    self.failed.emit(ident, error)
