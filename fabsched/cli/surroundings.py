"""What the command line is given by whoever starts it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend


class Draw(Protocol):
    """Draws a plan into a picture file."""

    def __call__(
        self, weekend: Weekend, answer: Answer, path: Path, *, title: str, now_s: int
    ) -> None:
        """Draw it.

        Args:
            weekend: what was planned.
            answer: its plan.
            path: the file; its ending says the format.
            title: what stands at the top.
            now_s: the present moment.

        Raises:
            InputError: the ending is unknown, or the file cannot be written.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What lies outside the command line.

    Attributes:
        draw: draws a plan into a picture file.
        window: opens the window, with a project if one is given; returns the exit code.
        clock: tells the present moment, zone-aware.
    """

    draw: Draw
    window: Callable[[Path | None], int]
    clock: Callable[[], datetime]
