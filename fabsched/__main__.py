"""The program: puts the command line and the desktop together."""

import gc
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fabsched.model.plan import Answer
    from fabsched.model.state import State
    from fabsched.model.weekend import Weekend
    from fabsched.session.export_records import RunSheet, Written

STOPPED = 130
"""What shells report for a program ended by Ctrl-C (128 + SIGINT)."""


def main() -> int:
    """Run the program with the arguments it was started with.

    Returns:
        The exit code.
    """
    signal.signal(signal.SIGINT, _leave)  # before there is anybody who could say that it stopped
    with bringing_in():
        from fabsched.cli.command import run  # noqa: PLC0415 - see above
        from fabsched.cli.surroundings import Surroundings  # noqa: PLC0415 - see above

    signal.signal(signal.SIGINT, signal.default_int_handler)
    surroundings = Surroundings(draw=_draw, illustrate=_illustrate, window=_window, clock=_clock)
    return run(sys.argv[1:], surroundings)


@contextmanager
def bringing_in() -> Iterator[None]:
    """Bring modules in without looking for garbage among them, now or later.

    What a module defines stays to the end: looking through it took a tenth of the time until the
    window shows, and made pauses longer afterwards.
    """
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()


def _leave(_signal: int, _frame: FrameType | None) -> None:
    os._exit(STOPPED)


def _draw(
    weekend: "Weekend", answer: "Answer", path: Path, *, title: str, now_s: int, state: "State"
) -> None:
    from fabsched.desktop.picture import draw_plan  # noqa: PLC0415 - brings in Qt

    draw_plan(weekend, answer, path, title=title, now_s=now_s, state=state)


def _illustrate(
    weekend: "Weekend",
    answer: "Answer",
    sheet: "RunSheet",
    target: Path,
    *,
    now_s: int,
    state: "State",
) -> "tuple[Written, ...]":
    from fabsched.desktop.paper import illustrate  # noqa: PLC0415 - brings in Qt

    return illustrate(weekend, answer, sheet, target, now_s=now_s, state=state)


def _window(folder: Path | None) -> int:
    with bringing_in():
        from fabsched.cli.apology import apology  # noqa: PLC0415 - see above
        from fabsched.desktop.app import run as show  # noqa: PLC0415 - brings in Qt

    return show(folder, apology)


def _clock() -> datetime:
    return datetime.now(UTC)


if __name__ == "__main__":
    sys.exit(main())
