"""What is wrong, kept for the place in the window where its cause is."""

from collections.abc import Callable, Iterable

from PySide6.QtCore import QObject, Signal

from fabsched.desktop.places import EVERYWHERE, PASSING, Place
from fabsched.model.errors import InputError


class Troubles(QObject):
    """Errors by place.

    Signals:
        troubled: an error has come up or gone; ask `errors`.
    """

    troubled = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        """Nothing is wrong yet."""
        super().__init__(parent)
        self._errors: dict[Place, tuple[Exception, ...]] = {}

    def errors(self, *places: Place) -> tuple[Exception, ...]:
        """What is wrong at some places."""
        return tuple(error for place in places for error in self._errors.get(place, ()))

    def attempt(self, place: Place, deed: Callable[[], object]) -> bool:
        """Do something that may be refused; a refusal is kept for `place`.

        Returns:
            Whether it went through.
        """
        try:
            deed()
        except InputError as error:
            self._set_errors(place, (error,))
            return False
        self._set_errors(place, ())
        return True

    def refuse(self, place: Place, error: Exception) -> None:
        """Keep why something a view had asked for was refused."""
        self._set_errors(place, (error,))

    def tell_fault(self, error: BaseException) -> None:
        """Keep a fault of the program itself, to be told wherever one looks."""
        self._set_errors(
            Place.START, (error if isinstance(error, Exception) else Exception(error),)
        )

    def _set_errors(self, place: Place, errors: tuple[Exception, ...]) -> None:
        if self._errors.get(place, ()) == errors:
            return
        if errors and place in EVERYWHERE:  # of what was tried, the line they share tells the last
            self._errors |= {other: () for other in PASSING if other in EVERYWHERE}
        self._errors[place] = errors
        self.troubled.emit()

    def _forget(self, places: Iterable[Place]) -> None:
        """Let errors go that no longer say anything."""
        for place in places:
            self._set_errors(place, ())
