"""The log on disk: `log.sqlite`, only ever added to.

What `add` has returned is on the disk: the journal is a rollback journal with `synchronous=EXTRA`
(and `fullfsync`, which macOS needs), so that neither kill -9 nor a power cut loses it, and the one
file always holds everything. A write-ahead log would be quicker, which a few entries an hour do not
need; but it keeps the newest entries in a second file, which somebody who copies or synchronises a
project folder leaves behind, and it does not work on network drives (sqlite.org/wal.html, section
"Overview"; sqlite.org/pragma.html, "synchronous").

Every call opens the file anew and closes it, so that any number of windows and command lines, on any
thread, can use one project at once.
"""

import sqlite3
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from fabsched.files.log_json import body_of, entry_of
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.log import Entry

LOG_FILE = "log.sqlite"
"""Name of the log in a project folder."""

VERSION = 1
"""Of the tables below; a file that says more was written by a newer program."""

MARK = 0x66616273
"""The file's `application_id`: "fabs"."""

PATIENCE_S = 10.0
"""How long to wait for another process; each holds the file for some milliseconds only."""

TABLES = (
    """CREATE TABLE entry (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        moment_s INTEGER NOT NULL,
        noted_s INTEGER NOT NULL,
        kind TEXT NOT NULL,
        subject TEXT NOT NULL,
        body TEXT NOT NULL,
        crc INTEGER NOT NULL
    )""",
    """CREATE TRIGGER entry_stays BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are only added'); END""",
    """CREATE TRIGGER entry_stays_as_it_is BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are only added'); END""",
    """CREATE TRIGGER entry_is_not_replaced BEFORE INSERT ON entry
        WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id)
        BEGIN SELECT RAISE(ABORT, 'entries are only added'); END""",
    f"PRAGMA application_id = {MARK}",
    f"PRAGMA user_version = {VERSION}",
)

ROW = "id, moment_s, noted_s, kind, subject, body, crc"

COUNTER = slice(24, 28)
"""Where the file counts its changes (sqlite.org/fileformat.html, section 1.3.7)."""

DAMAGED = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
BUSY = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
CODE = 0xFF
"""The lower byte of an error code is its kind, the rest its reason."""

Tell = Callable[[tuple[Entry, ...]], Iterable[Entry]]
"""From all entries there are to those that are to be added."""


class _DamagedError(Exception):
    """A row or the file is not what was written."""


class LogFile:
    """The log of one project folder."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / LOG_FILE

    @property
    def path(self) -> Path:
        """The file, whether it is there or not."""
        return self._path

    def mark(self) -> bytes:
        """Changes whenever somebody adds to the log; costs next to nothing to look at."""
        try:
            with self._path.open("rb") as file:
                return file.read(COUNTER.stop)[COUNTER]
        except OSError:
            return b""

    def read(self) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
        """All entries, in the order they were written; none if there is no log yet.

        A damaged log is set aside under another name, and what can be read of it goes on.

        Raises:
            InputError: the log cannot be opened, is held by another program for long, or was
                written by a newer version.
        """
        if not self._path.exists():
            return (), ()
        seen = self._path.stat().st_ino
        try:
            with self._opened("rw") as base:
                return _entries(base), ()
        except _DamagedError:
            return self._mended(seen)

    def add(self, tell: Tell) -> tuple[Entry, ...]:
        """Add entries, all or none; when this returns they are safe on the disk.

        Args:
            tell: makes them of all there are; nobody else adds any meanwhile. May be called again,
                if the log was found damaged.

        Returns:
            What was added, with ids.

        Raises:
            InputError: as for `read`, or it cannot be written; then nothing was added.
        """
        self.read()  # sets a damaged log aside
        with self._opened("rwc") as base:
            base.execute("BEGIN IMMEDIATE")
            _make(base, self._path)
            added = tuple(_insert(base, entry) for entry in tell(_entries(base)))
            base.execute("COMMIT" if added else "ROLLBACK")
        return added

    @contextmanager
    def _opened(self, mode: str) -> Iterator[sqlite3.Connection]:
        """A connection; complaints of the library in words of ours.

        Raises:
            _DamagedError: the file is damaged.
            InputError: anything else is in the way.
        """
        try:
            with closing(_connected(self._path, mode)) as base:
                _check_version(base, self._path)
                yield base
        except sqlite3.Error as error:
            raise _told(error, self._path) from error

    def _mended(self, seen: int) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
        """Set the damaged file aside, and go on with what can be read of it."""
        if self._path.exists() and self._path.stat().st_ino != seen:
            return self.read()  # another process has done so
        kept = _set_aside(self._path)
        saved = _saved(kept)
        with self._opened("rwc") as base:
            base.execute("BEGIN IMMEDIATE")
            _make(base, self._path)
            for entry in saved:
                _insert(base, entry)
            base.execute("COMMIT")
        facts: dict[str, Fact] = {"kept": kept.name, "count": len(saved)}
        return saved, (Finding(code=Remark.LOG_DAMAGED, where=LOG_FILE, facts=facts),)


def _connected(path: Path, mode: str) -> sqlite3.Connection:
    base = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        timeout=PATIENCE_S,
        uri=True,
        isolation_level=None,
    )
    base.execute("PRAGMA synchronous = EXTRA")
    base.execute("PRAGMA fullfsync = ON")
    return base


def _check_version(base: sqlite3.Connection, path: Path) -> None:
    """Refuse what a newer program wrote; a database of something else is no log.

    Raises:
        InputError: it is newer.
        _DamagedError: it is none of ours.
    """
    (version,) = base.execute("PRAGMA user_version").fetchone()
    (mark,) = base.execute("PRAGMA application_id").fetchone()
    (tables,) = base.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if mark == MARK and version > VERSION:
        raise InputError(Fault.LOG_NEWER, str(path), version=version, known=VERSION)
    if tables and mark != MARK:
        raise _DamagedError


def _make(base: sqlite3.Connection, path: Path) -> None:
    """Make the tables, unless somebody has."""
    _check_version(base, path)
    if not base.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
        for statement in TABLES:
            base.execute(statement)


def _insert(base: sqlite3.Connection, entry: Entry) -> Entry:
    """Add an entry; one that has an id already, saved from a damaged log, keeps it."""
    body = body_of(entry)
    values = (entry.moment_s, entry.noted_s, str(entry.kind), entry.subject, body)
    ident = base.execute(
        f"INSERT INTO entry ({ROW}) VALUES (?, ?, ?, ?, ?, ?, ?)",  # noqa: S608 - our own columns
        (entry.id or None, *values, _crc(values)),
    ).lastrowid
    return entry_of((ident or 0, *values[:4]), body)


def _entries(base: sqlite3.Connection) -> tuple[Entry, ...]:
    if not base.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
        return ()
    rows = base.execute(f"SELECT {ROW} FROM entry ORDER BY id")  # noqa: S608 - our own columns
    return tuple(_entry(row) for row in rows)


def _entry(row: tuple[int, int, int, str, str, str, int]) -> Entry:
    """The entry of a row.

    Raises:
        _DamagedError: it is not what was written.
    """
    ident, *values, crc = row
    try:
        if crc == _crc(tuple(values)):
            return entry_of(row[:5], row[5])
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise _DamagedError from error
    raise _DamagedError(ident)


def _crc(values: tuple[object, ...]) -> int:
    """Tells a row from what a failing disk makes of it, which the library does not notice."""
    return zlib.crc32("\0".join(map(str, values)).encode("utf-8", "surrogatepass"))


def _set_aside(path: Path) -> Path:
    """Give a damaged log, with its journal, a name nothing else has; nothing is deleted."""
    number = 1
    while (kept := path.with_name(f"log.damaged-{number}.sqlite")).exists():
        number += 1
    journal = path.with_name(path.name + "-journal")
    if journal.exists():
        journal.replace(kept.with_name(kept.name + "-journal"))
    return path.replace(kept)


def _saved(path: Path) -> tuple[Entry, ...]:
    """What can be read of a damaged log, entry by entry."""
    saved: list[Entry] = []
    try:
        with closing(_connected(path, "ro")) as base:
            (last,) = base.execute("SELECT max(seq) FROM sqlite_sequence").fetchone()
            for ident in range(1, (last or 0) + 1):
                saved += _row(base, ident)
    except sqlite3.Error:
        return tuple(saved)
    return tuple(saved)


def _row(base: sqlite3.Connection, ident: int) -> list[Entry]:
    """The entry of that id, if it can be read."""
    try:
        query = f"SELECT {ROW} FROM entry WHERE id = ?"  # noqa: S608 - our own columns
        return [_entry(row) for row in base.execute(query, (ident,))]
    except (sqlite3.Error, _DamagedError):
        return []


def _told(error: sqlite3.Error, path: Path) -> Exception:
    """What a complaint of the library means."""
    kind = getattr(error, "sqlite_errorcode", 0) & CODE
    if kind in DAMAGED:
        return _DamagedError(str(error))
    if kind in BUSY:
        return InputError(Fault.LOG_BUSY, str(path), seconds=PATIENCE_S)
    if kind in {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR}:
        return InputError(Fault.FILE_UNWRITABLE, str(path), why=str(error))
    return InputError(Fault.FILE_UNREADABLE, str(path), why=str(error))
