"""What the window tells of a part."""

from pathlib import Path

from fabsched.desktop.part_facts import facts_of
from tests.logged_runs import log_runs
from tests.session import made


def test_what_the_log_taught_is_told(tmp_path: Path) -> None:
    """How many runs a time rests on, and what they made of it; nothing where nothing was logged."""
    session = made.estimated(made.session_of(tmp_path, "lid.stl"))
    (part,) = session.project.parts
    assert "logged runs" not in facts_of(session, part)
    log_runs(10, 1.4)
    again = made.estimated(made.reopened(session))
    assert "10 logged runs (1.39 times what was computed)" in facts_of(again, part)
