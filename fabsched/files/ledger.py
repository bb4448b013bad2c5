"""Files of SQLite that are only ever added to: opened, checked, set aside where they are damaged.

What has been written is on the disk: a rollback journal with `synchronous=EXTRA`, and `fullfsync`,
which macOS needs (sqlite.org/pragma.html). Every call opens the file anew and closes it, so that any
number of windows and command lines can use one at once.
"""

import sqlite3
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from fabsched.model.errors import Fault, InputError

PATIENCE_S = 10.0
"""How long to wait for another process; each holds the file for some milliseconds only."""

DAMAGED = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
BUSY = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
KIND = 0xFF
"""The lower byte of an error code is its kind, the rest its reason."""

RowT = TypeVar("RowT")


class DamagedError(Exception):
    """A row or the file is not what was written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """What tells one sort of such files from another.

    Attributes:
        mark: the file's `application_id`.
        version: of its tables; a file that says more was written by a newer program.
        tables: statements that make them.
        stem: name of a file of this sort, without its ending.
        newer: fault of a file that a newer program wrote.
        busy: fault of a file that another program holds for long.
    """

    mark: int
    version: int
    tables: tuple[str, ...]
    stem: str
    newer: Fault
    busy: Fault

    @contextmanager
    def opened(self, path: Path, mode: str) -> Iterator[sqlite3.Connection]:
        """A connection; complaints of the library in words of ours.

        Raises:
            DamagedError: the file is damaged, or none of ours.
            InputError: anything else is in the way.
        """
        try:
            with closing(connected(path, mode)) as base:
                self._check_version(base, path)
                yield base
        except sqlite3.Error as error:
            raise self._complaint(error, path) from error

    def make(self, base: sqlite3.Connection, path: Path) -> None:
        """Make the tables, unless somebody has."""
        self._check_version(base, path)
        if is_empty(base):
            for statement in self.tables:
                base.execute(statement)

    def _check_version(self, base: sqlite3.Connection, path: Path) -> None:
        """Refuse what a newer program wrote; a database of something else is damage.

        Raises:
            InputError: it is newer.
            DamagedError: it is none of ours.
        """
        (version,) = base.execute("PRAGMA user_version").fetchone()
        (mark,) = base.execute("PRAGMA application_id").fetchone()
        if mark == self.mark and version > self.version:
            raise InputError(self.newer, str(path), version=version, known=self.version)
        if mark != self.mark and not is_empty(base):
            raise DamagedError

    def _complaint(self, error: sqlite3.Error, path: Path) -> Exception:
        """What a complaint of the library means."""
        kind = getattr(error, "sqlite_errorcode", 0) & KIND
        if kind in DAMAGED:
            return DamagedError(str(error))
        if kind in BUSY:
            return InputError(self.busy, str(path), seconds=PATIENCE_S)
        if kind in {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR}:
            return InputError(Fault.FILE_UNWRITABLE, str(path), why=str(error))
        return InputError(Fault.FILE_UNREADABLE, str(path), why=str(error))

    def set_aside(self, path: Path) -> Path:
        """Give a damaged file, with its journal, a name nothing else has; nothing is deleted."""
        number = 1
        while (kept := path.with_name(f"{self.stem}.damaged-{number}.sqlite")).exists():
            number += 1
        journal = path.with_name(path.name + "-journal")
        if journal.exists():
            journal.replace(kept.with_name(kept.name + "-journal"))
        return path.replace(kept)


def connected(path: Path, mode: str) -> sqlite3.Connection:
    """A connection that writes durably and leaves transactions to its user."""
    base = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        timeout=PATIENCE_S,
        uri=True,
        isolation_level=None,
    )
    base.execute("PRAGMA synchronous = EXTRA")
    base.execute("PRAGMA fullfsync = ON")
    return base


def is_empty(base: sqlite3.Connection) -> bool:
    """Whether there are no tables yet."""
    return not base.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]


def crc(values: tuple[object, ...]) -> int:
    """Tells a row from what a failing disk makes of it, which the library does not notice."""
    return zlib.crc32("\0".join(map(str, values)).encode("utf-8", "surrogatepass"))


def saved(path: Path, rows: Callable[[sqlite3.Connection, int], list[RowT]]) -> list[RowT]:
    """What can be read of a damaged file, row by row.

    Args:
        path: the file.
        rows: the row of an id as a list; empty where it cannot be read or means nothing.
    """
    found: list[RowT] = []
    try:
        with closing(connected(path, "ro")) as base:
            (last,) = base.execute("SELECT max(seq) FROM sqlite_sequence").fetchone()
            for ident in range(1, (last or 0) + 1):
                found += rows(base, ident)
    except sqlite3.Error:
        return found
    return found
