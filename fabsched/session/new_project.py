"""A project folder made from part files."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from fabsched.files.project_edit import new_project_text, save_project_text
from fabsched.files.shop_toml import find_shop, read_shop
from fabsched.model.project import Project
from fabsched.session.checks import check_deadline, check_empty
from fabsched.session.new_parts import check_adoptable, new_parts


def make_project(
    folder: Path,
    *,
    name: str,
    zone: ZoneInfo,
    deadline: datetime,
    files: Sequence[Path],
    now: datetime,
) -> None:
    """Make a project folder from part files. Nothing is made if anything is wrong.

    Args:
        folder: must not exist, or be empty.
        name: name shown; empty takes the folder's.
        zone: the zone everything is shown in.
        deadline: zone-aware, or naive in `zone`.
        files: part files; they are copied.
        now: the present moment, zone-aware.

    Raises:
        InputError: the folder is not empty, the deadline has passed or a file is no part.
    """
    check_empty(folder)
    aware = deadline if deadline.tzinfo else deadline.replace(tzinfo=zone)
    check_deadline(aware.astimezone(zone), now)
    for path in files:
        check_adoptable(path)
    shop = read_shop(find_shop(folder), folder)
    bare = Project(name=name or folder.resolve().name, zone=zone, deadline=aware.astimezone(zone))
    save_project_text(folder, new_project_text(bare))
    parts = new_parts(files, folder, shop)
    save_project_text(folder, new_project_text(replace(bare, parts=parts)))
