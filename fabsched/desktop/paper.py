"""Everything of an export that is drawn: the timeline, the run sheet, beds and sheets."""

from pathlib import Path

from fabsched.desktop.bed_picture import save_sketch
from fabsched.desktop.offscreen import application
from fabsched.desktop.picture import draw_plan
from fabsched.desktop.run_sheet import print_run_sheet
from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend
from fabsched.session.export_records import RunSheet, Written

TIMELINE, RUN_SHEET = "timeline.png", "run-sheet.pdf"


def illustrate(
    weekend: Weekend, answer: Answer, sheet: RunSheet, target: Path, *, now_s: int
) -> tuple[Written, ...]:
    """Draw what an export leaves to be drawn.

    Args:
        weekend: what was planned.
        answer: its plan.
        sheet: what belongs on paper.
        target: folder the files go to; the folders of beds and sheets are there.
        now_s: the present moment.

    Returns:
        The files that were written.

    Raises:
        InputError: a file cannot be written.
    """
    written = [
        Written(kind="run-sheet", path=target / RUN_SHEET),
        Written(kind="timeline", path=target / TIMELINE),
    ]
    with application():
        print_run_sheet(sheet, target / RUN_SHEET, now_s=now_s)
        draw_plan(weekend, answer, target / TIMELINE, title=sheet.title, now_s=now_s, zoom=2.0)
        for card in sheet.cards:
            if card.sketch is not None:
                save_sketch(card.sketch, target / card.picture)
                written.append(Written(kind="picture", path=target / card.picture, run=card.run))
    return tuple(written)
