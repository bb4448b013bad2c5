"""Notices that the program ended without being closed, and what was open then.

While a window is open, a marker file in the platform's state folder names its project, and a lock
file beside it is held (`QLockFile`, which knows locks whose holder has died). Closing the window
takes both away; a marker nobody holds the lock of was left by a crash.
"""

import json
import uuid
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from platformdirs import user_state_path
from PySide6.QtCore import QLockFile

from fabsched.files.log_sqlite import LOG_FILE
from fabsched.files.project_toml import PROJECT_FILE
from fabsched.model.errors import InputError
from fabsched.session.bench import Bench
from fabsched.session.clock import day, hour


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A project as a crash left it.

    Attributes:
        folder: its folder.
        name: its name.
        moment: day and hour of the last change that is on the disk, in the project's zone.
        entries: how many entries its log holds.
        planned: whether there is a plan, shown or taken in hand.
    """

    folder: Path
    name: str
    moment: str
    entries: int
    planned: bool


class Marker:
    """Says that a window is open, and with which project."""

    def __init__(self, home: Path | None = None) -> None:
        """Put a marker down; where that cannot be done, there is none.

        Args:
            home: the folder of markers; by default in the platform's state folder.
        """
        self._file = (home or default_home()) / f"{uuid.uuid4().hex}.json"
        with suppress(OSError):
            self._file.parent.mkdir(parents=True, exist_ok=True)
        self._lock = _lock(self._file)
        self._held = self._lock.tryLock(0)

    def name(self, folder: Path | None) -> None:
        """Note which project is open."""
        if self._held and folder is not None:
            with suppress(OSError):
                self._file.write_text(json.dumps({"folder": str(folder)}), "utf-8")

    def take_away(self) -> None:
        """The window is closed as it should be."""
        if self._held:
            with suppress(OSError):
                self._file.unlink(missing_ok=True)
            self._lock.unlock()
            self._held = False


def default_home() -> Path:
    """Where markers are kept."""
    return user_state_path("fabsched", appauthor=False) / "open"


def take_left(home: Path | None = None) -> tuple[Left, ...]:
    """Projects that were open when the program ended without being closed; told only once.

    Args:
        home: the folder of markers; by default in the platform's state folder.
    """
    folders = dict.fromkeys(_taken(home or default_home()))
    return tuple(left for folder in folders if (left := _look(folder)) is not None)


def _taken(home: Path) -> Iterator[Path]:
    """Folders named by markers whose holder is gone; the markers are taken away."""
    for marker in sorted(home.glob("*.json")):
        lock = _lock(marker)
        if not lock.tryLock(0):
            continue
        with suppress(OSError, ValueError, KeyError, TypeError):
            yield Path(str(json.loads(marker.read_text("utf-8"))["folder"]))
        with suppress(OSError):
            marker.unlink(missing_ok=True)
        lock.unlock()


def _lock(marker: Path) -> QLockFile:
    lock = QLockFile(str(marker.with_suffix(".lock")))
    lock.setStaleLockTime(0)  # never by age, only when its holder has died
    return lock


def _look(folder: Path) -> Left | None:
    """What is there of a project; None where it is away or cannot be read."""
    try:
        bench = Bench.open(folder)
        log = bench.log
        files = [file for name in (PROJECT_FILE, LOG_FILE) if (file := folder / name).is_file()]
        changed_s = int(max(file.stat().st_mtime for file in files))
    except (InputError, OSError):
        return None
    return Left(
        folder=folder,
        name=bench.project.name,
        moment=_moment(changed_s, bench),
        entries=len(log.entries),
        planned=log.in_hand is not None,
    )


def _moment(changed_s: int, bench: Bench) -> str:
    """Hour, with its day unless that is today."""
    zone = bench.project.zone
    text = hour(changed_s, zone)
    today = datetime.fromtimestamp(changed_s, zone).date() == datetime.now(zone).date()
    return text if today else f"{day(changed_s, zone)} {text}"
