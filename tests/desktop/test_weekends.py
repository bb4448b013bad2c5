"""Dates for a project that has none yet."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.desktop.weekends import (
    LEAST,
    coming_deadline,
    copy_sample,
    moved_to_come,
    sample_folder,
)
from fabsched.files.project_toml import read_project
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Project

BERLIN = ZoneInfo("Europe/Berlin")
moments = st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - hypothesis adds the zone


@given(moments, st.sampled_from(["UTC", "Europe/Berlin", "America/New_York", "Asia/Tokyo"]))
def test_the_coming_deadline_is_a_sunday_that_can_be_used(now: datetime, name: str) -> None:
    """It is a Sunday at 21:00, at least half a day and little more than a week ahead."""
    deadline = coming_deadline(now, ZoneInfo(name))
    assert (deadline.weekday(), deadline.hour, deadline.minute) == (6, 21, 0)
    left = deadline.timestamp() - now.timestamp()
    assert LEAST.total_seconds() <= left <= 7 * 86400 + LEAST.total_seconds() + 3600


@given(moments)
def test_a_moved_project_starts_at_its_clock_time_in_the_week_ahead(now: datetime) -> None:
    """Start and deadline keep weekday and clock time, and the start lies within a week from now."""
    project = Project(
        name="x",
        zone=BERLIN,
        start=datetime(2027, 3, 5, 18, tzinfo=BERLIN),
        deadline=datetime(2027, 3, 7, 21, tzinfo=BERLIN),
    )
    moved = moved_to_come(project, now)
    assert moved.start is not None
    assert (moved.start.weekday(), moved.start.hour) == (4, 18)
    assert (moved.deadline.weekday(), moved.deadline.hour) == (6, 21)
    assert moved.deadline.replace(tzinfo=None) - moved.start.replace(tzinfo=None) == timedelta(
        days=2, hours=3
    )
    ahead_s = moved.start.timestamp() - now.timestamp()
    assert 0 <= ahead_s <= 7 * 86400 + 3600


def test_a_project_without_start_is_moved_by_its_deadline() -> None:
    """Only the deadline moves then."""
    project = Project(name="x", zone=BERLIN, deadline=datetime(2020, 3, 8, 21, tzinfo=BERLIN))
    moved = moved_to_come(project, datetime(2026, 3, 12, tzinfo=UTC))
    assert moved.start is None
    assert moved.deadline == datetime(2026, 3, 15, 21, tzinfo=BERLIN)


def test_the_sample_is_copied_whole_and_moved(tmp_path: Path) -> None:
    """All but the pictures is copied, the shipped one is left alone, and only the dates differ."""
    target, now = tmp_path / "copy", datetime(2026, 3, 12, 9, tzinfo=UTC)
    before = read_project(sample_folder())
    copy_sample(target, now)
    files = {path.relative_to(target).as_posix() for path in target.rglob("*") if path.is_file()}
    shipped = [path for path in sample_folder().rglob("*") if path.is_file()]
    wanted = {path.relative_to(sample_folder()).as_posix() for path in shipped}
    assert files == {name for name in wanted if not name.endswith(".png")}
    after = read_project(target)
    assert after.start is not None
    assert after.start.isoformat() == "2026-03-13T18:00:00+01:00"
    assert after.deadline.isoformat() == "2026-03-15T21:00:00+01:00"
    assert (after.parts, after.works, after.gates) == (before.parts, before.works, before.gates)
    assert read_project(sample_folder()) == before
    assert "# A weather station" in (target / "project.toml").read_text("utf-8")


def test_the_sample_goes_into_a_new_folder_only(tmp_path: Path) -> None:
    """A folder that holds something is refused and left as it is."""
    (tmp_path / "mine.txt").write_text("x", "utf-8")
    with pytest.raises(InputError) as caught:
        copy_sample(tmp_path, datetime(2026, 3, 12, tzinfo=UTC))
    assert caught.value.code is Fault.FOLDER_NOT_EMPTY
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
