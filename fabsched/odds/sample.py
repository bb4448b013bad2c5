"""How many weekends are simulated for a question, and out of which worlds."""

from dataclasses import dataclass

from fabsched.odds.compile import Frame
from fabsched.odds.draws import Draws, draw
from fabsched.odds.truths import AS_TOLD, Truths


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """What a question is answered from.

    Attributes:
        seed: not below zero; the same seed gives the same answer bit for bit.
        scenarios: how many weekends to simulate.
        truths: what is not known about the world.
        threads: how many share the work; the answer does not depend on it.
    """

    seed: int
    scenarios: int = 1000
    truths: Truths = AS_TOLD
    threads: int = 1

    def draws(self, frame: Frame) -> Draws:
        """The luck of these weekends."""
        return draw(frame, self.scenarios, self.seed, truths=self.truths, threads=self.threads)
