"""Who does something together is told wherever people read their part of a plan."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from fabsched.model.project import Project
from fabsched.session.calendar import calendar_events
from fabsched.session.export_records import ExportInput
from fabsched.session.run_sheet import run_sheet, run_sheet_text
from tests.cli.made import NOW_S, crewed
from tests.session.test_estimating import SHOP


def test_everybody_finds_with_whom_in_their_calendar() -> None:
    """An event for each, at the same moments, that names the other."""
    week, answer = crewed()
    events = {e.summary: (e.start_s, e.end_s) for e in calendar_events(week, answer, SHOP)}
    assert events["Ada: Lift, with Bo"] == events["Bo: Lift, with Ada"]
    assert not any("with" in summary for summary in events if "Lift" not in summary)


def test_the_run_sheet_says_with_whom(tmp_path: Path) -> None:
    """A line for each of them, with a box to tick."""
    week, answer = crewed()
    given = ExportInput(
        project=Project(
            name="Box",
            zone=ZoneInfo("Europe/Berlin"),
            deadline=datetime(2026, 10, 25, 18, tzinfo=UTC),
        ),
        shop=SHOP,
        estimates={},
        folder=tmp_path,
        weekend=week,
        answer=answer,
        target=tmp_path,
        now_s=NOW_S,
    )
    text = run_sheet_text(run_sheet(given, ()))
    assert "Lift, with Bo  (Ada, Home)" in text
    assert "Lift, with Ada  (Bo, Home)" in text
