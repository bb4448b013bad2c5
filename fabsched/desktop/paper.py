"""Everything of an export that is drawn: the timeline, the run sheet, beds and sheets."""

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from fabsched.desktop.bed_picture import save_sketch
from fabsched.desktop.offscreen import application
from fabsched.desktop.picture import BEFORE, draw_plan
from fabsched.desktop.run_sheet import print_run_sheet
from fabsched.model.plan import Answer
from fabsched.model.state import State
from fabsched.model.weekend import Weekend
from fabsched.session.export_records import RunSheet, Sketch, Written

TIMELINE, RUN_SHEET = "timeline.png", "run-sheet.pdf"


def illustrate(
    weekend: Weekend,
    answer: Answer,
    sheet: RunSheet,
    target: Path,
    *,
    now_s: int,
    state: State = BEFORE,
) -> tuple[Written, ...]:
    """Draw what an export leaves to be drawn.

    Args:
        weekend: what was planned.
        answer: its plan.
        sheet: what belongs on paper.
        target: folder the files go to; the folders of beds and sheets are there.
        now_s: the present moment.
        state: what has happened.

    Returns:
        The files that were written.

    Raises:
        InputError: a file cannot be written.
    """
    with application():
        drawn = drawings(weekend, answer, sheet, target, now_s=now_s, state=state)
        return tuple(draw() for draw in drawn)


def drawings(
    weekend: Weekend,
    answer: Answer,
    sheet: RunSheet,
    target: Path,
    *,
    now_s: int,
    state: State = BEFORE,
) -> Iterator[Callable[[], Written]]:
    """The same one by one, for whoever must not be kept long: each call draws one file.

    Raises:
        InputError: by a call, if its file cannot be written.
    """

    def run_sheet() -> Written:
        print_run_sheet(sheet, target / RUN_SHEET, now_s=now_s)
        return Written(kind="run-sheet", path=target / RUN_SHEET)

    def timeline() -> Written:
        path = target / TIMELINE
        draw_plan(weekend, answer, path, title=sheet.title, now_s=now_s, state=state, zoom=2.0)
        return Written(kind="timeline", path=path)

    def picture(run: str, sketch: Sketch, name: str) -> Written:
        save_sketch(sketch, target / name)
        return Written(kind="picture", path=target / name, run=run)

    yield from (run_sheet, timeline)
    for card in sheet.cards:
        if card.sketch is not None:
            yield partial(picture, card.run, card.sketch, card.picture)
