"""What has to hold before a project is made or planned."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path

from fabsched.files.access import told
from fabsched.files.project_toml import PROJECT_FILE
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Project


def check_deadline(deadline: datetime, now: datetime) -> None:
    """Refuse a deadline that has passed.

    Args:
        deadline: zone-aware; `now` is shown in its zone.
        now: zone-aware.

    Raises:
        InputError: the deadline is not after now.
    """
    if deadline.timestamp() <= now.timestamp():
        facts = {"deadline": _dated(deadline), "now": _dated(now.astimezone(deadline.tzinfo))}
        raise InputError(Fault.DEADLINE_PAST, "deadline", **facts)


def _dated(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")


def check_plannable(
    project: Project, problems: Mapping[str, Sequence[InputError]], now: datetime
) -> None:
    """Refuse what no plan can be made of.

    Args:
        project: what is wanted.
        problems: why parts cannot be made, by part id.
        now: zone-aware.

    Raises:
        InputError: there is nothing to plan, the deadline has passed or a part cannot be made.
    """
    if not project.items:
        raise InputError(Fault.NOTHING_TO_PLAN, PROJECT_FILE)
    check_deadline(project.deadline, now)
    for errors in problems.values():
        raise errors[0]


def check_empty(folder: Path) -> None:
    """Refuse a folder that already holds something.

    Raises:
        InputError: `FOLDER_NOT_EMPTY`, or it cannot be looked into.
    """
    with told(str(folder)):
        used = folder.is_file() or (folder.is_dir() and any(folder.iterdir()))
    if used:
        raise InputError(Fault.FOLDER_NOT_EMPTY, str(folder))


def check_target(folder: Path) -> None:
    """Refuse to put files where something else than a folder is.

    Raises:
        InputError: it is no folder.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError(Fault.FILE_UNWRITABLE, str(folder), why="not a folder")
