"""What the window tells of a part."""

from pathlib import Path

from fabsched.desktop.part_facts import facts_of
from fabsched.files.experience_sqlite import ExperienceFile, default_file
from fabsched.model.estimates import Route
from fabsched.model.experience import RunSeen
from tests.session import made


def _logged(count: int, factor: float) -> None:
    """So many prints that took so many times what was computed."""
    runs = [
        RunSeen(
            key=f"log/{i}",
            at_s=i,
            machine="printer",
            route=Route.PRINT,
            material="PLA",
            estimated_s=3600.0,
            ran_s=factor * 3600.0,
        )
        for i in range(count)
    ]
    ExperienceFile(default_file()).sync("log/", runs)


def test_what_the_log_taught_is_told(tmp_path: Path) -> None:
    """How many runs a time rests on, and what they made of it; nothing where nothing was logged."""
    session = made.estimated(made.session_of(tmp_path, "lid.stl"))
    (part,) = session.project.parts
    assert "logged runs" not in facts_of(session, part)
    _logged(10, 1.4)
    again = made.estimated(made.reopened(session))
    assert "10 logged runs (1.39 times what was computed)" in facts_of(again, part)
