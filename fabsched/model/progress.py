"""How a long computation tells of its progress and hears that it should stop."""

from typing import Protocol

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
