"""Progress of a part of the work as progress of the whole."""

from dataclasses import dataclass

from fabsched.model.progress import Watch


@dataclass(frozen=True, slots=True)
class Stretch:
    """A watch for one part.

    Attributes:
        watch: the one for the whole.
        low, high: shares of the whole that are done when the part begins and ends.
    """

    watch: Watch
    low: float
    high: float

    def report(self, done: float, stage: str) -> None:
        """Pass a report on."""
        self.watch.report(self.low + done * (self.high - self.low), stage)

    def stopped(self) -> bool:
        """Pass the question on."""
        return self.watch.stopped()
