"""The program: puts the command line and the desktop together."""

import sys
from datetime import UTC, datetime
from pathlib import Path

from fabsched.cli.command import run
from fabsched.cli.surroundings import Surroundings
from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend


def main() -> int:
    """Run the program with the arguments it was started with.

    Returns:
        The exit code.
    """
    return run(sys.argv[1:], Surroundings(draw=_draw, window=_window, clock=_clock))


def _draw(weekend: Weekend, answer: Answer, path: Path, *, title: str, now_s: int) -> None:
    from fabsched.desktop.picture import draw_plan  # noqa: PLC0415 - brings in Qt

    draw_plan(weekend, answer, path, title=title, now_s=now_s)


def _window(folder: Path | None) -> int:
    from fabsched.desktop.app import run as show  # noqa: PLC0415 - brings in Qt

    return show(folder)


def _clock() -> datetime:
    return datetime.now(UTC)


if __name__ == "__main__":
    sys.exit(main())
