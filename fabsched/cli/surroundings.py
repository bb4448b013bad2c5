"""What the command line is given by whoever starts it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from fabsched.model.plan import Answer
from fabsched.model.state import State
from fabsched.model.weekend import Weekend
from fabsched.session.export_records import RunSheet, Written


class Draw(Protocol):
    """Draws a plan into a picture file."""

    def __call__(
        self,
        weekend: Weekend,
        answer: Answer,
        path: Path,
        *,
        title: str,
        now_s: int,
        state: State,
    ) -> None:
        """Draw it.

        Args:
            weekend: what was planned.
            answer: its plan.
            path: the file; its ending says the format.
            title: what stands at the top.
            now_s: the present moment.
            state: what has happened.

        Raises:
            InputError: the ending is unknown, or the file cannot be written.
        """


class Illustrate(Protocol):
    """Draws what an export leaves to be drawn."""

    def __call__(
        self,
        weekend: Weekend,
        answer: Answer,
        sheet: RunSheet,
        target: Path,
        *,
        now_s: int,
        state: State,
    ) -> tuple[Written, ...]:
        """Draw the timeline, the run sheet on paper, and every bed and sheet.

        Args:
            weekend: what was planned.
            answer: its plan.
            sheet: what belongs on paper.
            target: folder the files go to.
            now_s: the present moment.
            state: what has happened.

        Returns:
            The files that were written.

        Raises:
            InputError: a file cannot be written.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What lies outside the command line.

    Attributes:
        draw: draws a plan into a picture file.
        illustrate: draws what an export leaves to be drawn.
        window: opens the window, with a project if one is given; returns the exit code.
        clock: tells the present moment, zone-aware.
    """

    draw: Draw
    illustrate: Illustrate
    window: Callable[[Path | None], int]
    clock: Callable[[], datetime]
