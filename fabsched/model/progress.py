"""How a long computation tells of its progress and hears that it should stop."""

from typing import Protocol, runtime_checkable

from fabsched.model.errors import Cancelled


class Watch(Protocol):
    """Handed to every long computation."""

    def report(self, done: float, stage: str) -> None:
        """Say how far the work is.

        Args:
            done: share of the work done, 0 to 1.
            stage: code of the stage, a key of the wording table's `[stage]`.
        """

    def stopped(self) -> bool:
        """Whether the user wants the computation to end."""


@runtime_checkable
class Following(Watch, Protocol):
    """A watch of somebody who also takes what is found on the way."""

    def tell(self, what: object) -> None:
        """Hand over something that was found before the end; it must be fit to be pickled."""

    def enough(self) -> bool:
        """Whether the best so far will do, so that the search for a better one may end."""


class Unwatched:
    """A watch that hears nothing and never stops: the default."""

    def report(self, done: float, stage: str) -> None:
        """Ignore the report."""

    def stopped(self) -> bool:
        """Never."""
        return False


UNWATCHED = Unwatched()


def check(watch: Watch) -> None:
    """Leave the computation if the user asked for it.

    Raises:
        Cancelled: the watch says stop.
    """
    if watch.stopped():
        raise Cancelled


def tell(watch: Watch, what: object) -> None:
    """Hand something over before the end, if anybody takes it."""
    if isinstance(watch, Following):
        watch.tell(what)


def enough(watch: Watch) -> bool:
    """Whether somebody says that the best so far will do."""
    return isinstance(watch, Following) and watch.enough()
