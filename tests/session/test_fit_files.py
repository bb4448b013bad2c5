"""Lines of the files that carry a change out: what is told is what is written."""

from pathlib import Path

from fabsched.advise.fits import Fit, Lever
from fabsched.model.units import HOUR_S
from fabsched.session.fit_files import LineChange, line_changes
from fabsched.session.fit_taking import take_fit
from fabsched.session.project_session import Session
from tests.session.test_fit_taking import asked_for, session, weekend_of

__all__ = ["session"]


def edited(text: str, changes: list[LineChange]) -> list[str]:
    """A file's lines after what somebody is told to do by hand; empty ones left out."""
    lines = text.splitlines()
    for change in reversed(changes):
        count = len(change.old)
        start = change.line - 1
        while count and lines[start : start + count] != list(change.old):
            lines.pop(start)  # an empty one that goes with them
        lines[start : start + count] = change.new
    return [line for line in lines if line.strip()]


def test_what_is_told_by_lines_is_what_one_action_writes(session: Session) -> None:
    """Every change that has a step: both files come out line by line as told, and undo differs."""
    weekend = weekend_of(session)
    asked = asked_for(weekend)
    singles = [changes[0].fit for changes in asked.values()]
    later = Fit(code=Lever.DEADLINE, size_s=HOUR_S, until_s=weekend.deadline_s + HOUR_S)
    way = Fit(code=Lever.WAY, subject="two", name="Way: Two")
    some = Fit(code=Lever.SET, parts=(later, asked[Lever.MACHINE][0].fit))
    files = [session.folder / name for name in ("project.toml", "shop.toml")]
    for fit in (*singles, later, way, some):
        before = {path: path.read_text() for path in files}
        changes = line_changes(session, weekend, fit)
        assert changes
        assert all(change.copied is None for change in changes)
        assert {path: path.read_text() for path in files} == before
        assert take_fit(session, weekend, fit)
        for path in files:
            mine = [change for change in changes if change.file == path]
            assert edited(before[path], mine) == _lines(path)
        session.undo()


def test_a_change_without_a_step_has_no_lines(session: Session) -> None:
    """A machine nobody has cannot be doubled."""
    weekend = weekend_of(session)
    assert line_changes(session, weekend, Fit(code=Lever.MACHINE, subject="none")) == ()


def _lines(path: Path) -> list[str]:
    return [line for line in path.read_text().splitlines() if line.strip()]
