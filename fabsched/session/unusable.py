"""Files that can be no parts, found before anything is made of them."""

from collections.abc import Iterable
from pathlib import Path

from fabsched.files.parts import read_part
from fabsched.model.errors import Fault, InputError
from fabsched.session.new_parts import check_adoptable

MENDABLE = (Fault.UNIT_UNKNOWN, Fault.SIZE_ABSURD)
"""What the `unit` of a part in `project.toml` puts right."""


def unusable(files: Iterable[Path]) -> dict[Path, InputError]:
    """Why files can be no parts, each of them read as a whole; those that can are left out."""
    found: dict[Path, InputError] = {}
    for path in files:
        try:
            check_adoptable(path)
            read_part(path)
        except InputError as error:
            if error.code not in MENDABLE:
                found[path] = error
    return found
