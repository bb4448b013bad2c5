"""Adds the program to the applications menu of a Linux desktop, when asked to.

After the specifications of freedesktop.org: Desktop Entry 1.5 (keys, and how `Exec` is quoted), Icon
Theme (`hicolor`), Shared MIME-info (a type of its own for `project.toml`) and XDG Base Directory
(everything goes below `XDG_DATA_HOME`, so that it is the user's alone and needs no rights).
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from fabsched.files.resources import resource
from fabsched.model.errors import Fault, InputError

ENTRY = Path("applications/fabsched.desktop")
ICON = Path("icons/hicolor/scalable/apps/fabsched.svg")
TYPE = Path("mime/packages/fabsched.xml")
UPDATES = (("update-desktop-database", ENTRY.parent), ("update-mime-database", Path("mime")))
"""Programs that tell a desktop of what is new, where there are any, each with its folder."""
PATIENCE_S = 20


def offered() -> bool:
    """Whether this is a platform with such menus."""
    return sys.platform.startswith(("linux", "freebsd"))


def data_home(variables: Mapping[str, str]) -> Path:
    """The user's folder for data (XDG Base Directory Specification 0.8).

    Args:
        variables: the environment.
    """
    given = variables.get("XDG_DATA_HOME", "")
    return Path(given) if Path(given).is_absolute() else Path.home() / ".local/share"


def command() -> tuple[str, ...]:
    """The command that starts this program again."""
    script = shutil.which("fabsched", path=str(Path(sys.executable).parent))
    return (script,) if script else (sys.executable, "-m", "fabsched")


def quoted(words: tuple[str, ...]) -> str:
    r"""Words of a command as `Exec` takes them: quoted, then escaped as any value of an entry.

    >>> quoted(("/opt/my tools/fabsched", "a%b"))
    '"/opt/my tools/fabsched" "a%%b"'
    """
    shielded = [
        "".join(f"\\{sign}" if sign in '"`$\\' else sign for sign in word) for word in words
    ]
    return " ".join(f'"{word}"' for word in shielded).replace("\\", "\\\\").replace("%", "%%")


def add(home: Path, words: tuple[str, ...]) -> Path:
    """Write entry, icon and type of file.

    Args:
        home: the user's folder for data.
        words: the command that starts the program.

    Returns:
        The entry.

    Raises:
        InputError: one of them cannot be written.
    """
    entry = resource("linux/fabsched.desktop").read_text("utf-8").replace("{exec}", quoted(words))
    _write(home / ENTRY, entry)
    _write(home / TYPE, resource("linux/fabsched.xml").read_text("utf-8"))
    _write(home / ICON, resource("icons/fabsched.svg").read_text("utf-8"))
    for program, folder in UPDATES:
        _update(program, home / folder)
    return home / ENTRY


def add_here() -> Path:
    """The same for this user and this program; see `add`."""
    return add(data_home(os.environ), command())


def _write(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(Fault.FILE_UNWRITABLE, str(path), why=why) from error


def _update(program: str, folder: Path) -> None:
    """Have a desktop take notice at once; without it, it does at the next login."""
    if (found := shutil.which(program)) is not None:
        with suppress(OSError, subprocess.SubprocessError):
            subprocess.run(  # noqa: S603 - a program of the desktop's, and our own folder
                [found, str(folder)], check=False, capture_output=True, timeout=PATIENCE_S
            )
