"""Small things a view has worked out for itself: pictures, odds, comparisons. Nobody waits for them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Slot

from fabsched.desktop.background import Background
from fabsched.session.requests import Request


def _silent(_error: Exception) -> None:
    """What nobody asked about is not told."""


@dataclass(frozen=True, slots=True)
class _Errand:
    """What is done with the outcome.

    Attributes:
        then: takes the response.
        failed: takes the error.
        progressed: takes the share done and the code of the stage.
        found: takes what was found before the end.
    """

    then: Callable[[Any], None]
    failed: Callable[[Exception], None]
    progressed: Callable[[float, str], None] | None
    found: Callable[[Any], None] | None


class Errands(QObject):
    """Runs requests of views beside the project's own work."""

    def __init__(self, background: Background, parent: QObject | None = None) -> None:
        """Nothing to do yet.

        Args:
            background: where work is done.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._background = background
        self._open: dict[int, _Errand] = {}
        background.finished.connect(self._finished)
        background.failed.connect(self._failed)
        background.progressed.connect(self._progressed)
        background.found.connect(self._found)

    def ask(
        self,
        request: Request[Any],
        then: Callable[[Any], None],
        *,
        failed: Callable[[Exception], None] = _silent,
        progressed: Callable[[float, str], None] | None = None,
        found: Callable[[Any], None] | None = None,
    ) -> int:
        """Have something worked out.

        Args:
            request: what.
            then: called with the response, on the thread of this object.
            failed: called with the error instead.
            progressed: called with the share done and the code of the stage.
            found: called with what was found before the end.

        Returns:
            The number by which it can be dropped.
        """
        self._open[request.id] = _Errand(then, failed, progressed, found)
        return self._background.submit(request)

    def enough(self, ident: int) -> None:
        """Let something end with what it has so far."""
        if ident in self._open:
            self._background.enough(ident)

    def drop(self, ident: int | None) -> None:
        """Let something go; nothing more is heard of it. What has ended is let be."""
        if ident is not None and self._open.pop(ident, None) is not None:
            self._background.drop(ident)

    def drop_all(self) -> None:
        """Let everything go."""
        for ident in tuple(self._open):
            self.drop(ident)

    @Slot(int, object)
    def _finished(self, ident: int, response: object) -> None:
        if (errand := self._open.pop(ident, None)) is not None:
            errand.then(response)

    @Slot(int, object)
    def _failed(self, ident: int, error: Exception) -> None:
        if (errand := self._open.pop(ident, None)) is not None:
            errand.failed(error)

    @Slot(int, float, str)
    def _progressed(self, ident: int, done: float, stage: str) -> None:
        errand = self._open.get(ident)
        if errand is not None and errand.progressed is not None:
            errand.progressed(done, stage)

    @Slot(int, object)
    def _found(self, ident: int, what: object) -> None:
        errand = self._open.get(ident)
        if errand is not None and errand.found is not None:
            errand.found(what)
