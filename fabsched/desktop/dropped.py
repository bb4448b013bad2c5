"""What was let go over the window: a project to open, or part files to take in."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from fabsched.files.project_toml import PROJECT_FILE
from fabsched.files.routes import ROUTES


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """What is to be done with it.

    Attributes:
        project: a project to open; then there is nothing to take in.
        files: part files, and what may be refused as one.
    """

    project: Path | None
    files: tuple[Path, ...]


def sorted_out(paths: Sequence[Path]) -> Dropped:
    """Tell projects from part files.

    A project folder or its `project.toml` that comes alone is opened. Of any other folder the part files
    right in it are meant. One that holds none is refused by its name: as a project if it comes alone,
    else as a part file.

    Args:
        paths: files and folders, at least one.
    """
    alone = paths[0] if len(paths) == 1 else None
    files = tuple(file for path in paths for file in _meant(path))
    if alone is not None and (_is_project(alone) or (alone.is_dir() and files == (alone,))):
        return Dropped(project=alone, files=())
    return Dropped(project=None, files=files)


def _is_project(path: Path) -> bool:
    return path.name == PROJECT_FILE or (path / PROJECT_FILE).is_file()


def _meant(path: Path) -> Iterator[Path]:
    """A file itself; of a folder what could be parts."""
    found = sorted(_parts_in(path)) if path.is_dir() else []
    yield from found or [path]


def _parts_in(folder: Path) -> Iterator[Path]:
    try:
        yield from (
            file for file in folder.iterdir() if file.suffix.lower() in ROUTES and file.is_file()
        )
    except OSError:
        return
