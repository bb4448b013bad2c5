"""Has plates and pieces to make what failed of looked for, and says how far that is."""

from collections.abc import Iterable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from fabsched.desktop.errands import Errands
from fabsched.desktop.prose import Prose
from fabsched.session.log_requests import PiecesRequest, PiecesResponse
from fabsched.session.wording import phrase


class PiecesAsked(Prose):
    """A line that is there as long as the search goes on.

    Signals:
        found: the response about a part.
    """

    found = Signal(object)

    def __init__(self, errands: Errands, parent: QWidget) -> None:
        """Nothing is looked for yet.

        Args:
            errands: where work is done.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._errands = errands
        self._done: dict[int, float] = {}
        self._say()

    def ask(self, requests: Iterable[PiecesRequest]) -> None:
        """Have some parts looked at; a search that fails ends without a word, it offers nothing."""
        for request in requests:
            self._ask(request)
        self._say()

    def drop(self) -> None:
        """Let the search go."""
        for ident in self._done:
            self._errands.drop(ident)
        self._done = {}
        self._say()

    def _ask(self, request: PiecesRequest) -> None:
        def then(response: PiecesResponse) -> None:
            self._end(request.id)
            self.found.emit(response)

        self._done[request.id] = 0.0
        self._errands.ask(
            request,
            then,
            failed=lambda _: self._end(request.id),
            progressed=lambda done, _: self._heard(request.id, done),
        )

    def _heard(self, ident: int, done: float) -> None:
        self._done[ident] = done
        self._say()

    def _end(self, ident: int) -> None:
        del self._done[ident]
        self._say()

    def _say(self) -> None:
        count = len(self._done)
        share = 100 * sum(self._done.values()) / count if count else 0.0
        self.setText(phrase("choice-pieces-more", share=f"{share:.0f}"))
        self.setVisible(bool(count))
