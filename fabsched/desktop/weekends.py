"""Dates for a project that has none yet: the coming weekend. No Qt here."""

import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from fabsched.files.project_edit import project_text, save_project_text
from fabsched.files.project_toml import parse_project, read_project_text
from fabsched.files.resources import ResourceMissing, package_folder
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Project

SUNDAY = 6
"""Weekday number of Sunday, as in `datetime.weekday`."""
LAST_HOUR = 21
"""When a weekend ends unless the maker says otherwise (our own choice)."""
LEAST = timedelta(hours=12)
"""With less time left than that, the next weekend is meant (our own choice)."""

SAMPLE = "balcony_station"
"""Folder of the sample project."""


def coming_deadline(now: datetime, zone: ZoneInfo) -> datetime:
    """Sunday evening of the weekend that can still be used.

    Args:
        now: the present moment, zone-aware.
        zone: the project's zone.

    >>> coming_deadline(
    ...     datetime(2026, 3, 12, 9, tzinfo=ZoneInfo("UTC")), ZoneInfo("UTC")
    ... ).isoformat()
    '2026-03-15T21:00:00+00:00'
    """
    today = now.astimezone(zone)
    sunday = today + timedelta(days=(SUNDAY - today.weekday()) % 7)
    deadline = sunday.replace(hour=LAST_HOUR, minute=0, second=0, microsecond=0)
    left = deadline.timestamp() - now.timestamp()
    return deadline if left >= LEAST.total_seconds() else deadline + timedelta(weeks=1)


def moved_to_come(project: Project, now: datetime) -> Project:
    """The project moved by whole weeks, clock times kept, to the first weekend that lies ahead."""
    begin = project.start or project.deadline
    weeks = -(-(now.timestamp() - begin.timestamp()) // timedelta(weeks=1).total_seconds())
    shift = timedelta(weeks=weeks)
    while (begin + shift).timestamp() < now.timestamp():
        shift += timedelta(weeks=1)
    return replace(
        project,
        start=project.start + shift if project.start else None,
        deadline=project.deadline + shift,
    )


def copy_sample(target: Path, now: datetime) -> None:
    """Copy the sample project into a new folder and move it to the coming weekend.

    Args:
        target: must not exist, or be empty.
        now: the present moment, zone-aware.

    Raises:
        InputError: the folder is not empty or cannot be written.
    """
    if target.exists() and (target.is_file() or any(target.iterdir())):
        raise InputError(Fault.FOLDER_NOT_EMPTY, str(target))
    try:
        no_pictures = shutil.ignore_patterns("*.png")
        shutil.copytree(sample_folder(), target, ignore=no_pictures, dirs_exist_ok=True)
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(Fault.FILE_UNWRITABLE, str(target), why=why) from error
    before = read_project_text(target)
    moved = moved_to_come(parse_project(before, target.name), now)
    save_project_text(target, project_text(moved, before, target.name))


def sample_folder() -> Path:
    """Where the sample project is: inside the package, or beside it in a checkout.

    Raises:
        ResourceMissing: neither place has it.
    """
    package = package_folder()
    for root in (package, package.parent):
        folder = root / "sample_projects" / SAMPLE
        if folder.is_dir():
            return folder
    raise ResourceMissing(SAMPLE)
