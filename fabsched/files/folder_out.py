"""Several files put out together."""

from collections.abc import Mapping
from pathlib import Path

from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.errors import Fault


def write_files(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder, each in one step; folders are made where they are missing.

    Args:
        folder: where.
        files: contents by name; a name may lead into folders below.

    Returns:
        Their paths, in order.

    Raises:
        InputError: one cannot be written.
    """
    paths = tuple(folder / name for name in files)
    for path, content in zip(paths, files.values(), strict=True):
        with told(str(path.parent), Fault.FILE_UNWRITABLE):
            path.parent.mkdir(parents=True, exist_ok=True)
        write_bytes_atomic(path, content)
    return paths
