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
from collections.abc import Callable, Iterable
from pathlib import Path

from fabsched.files.ledger import DamagedError, Ledger, crc, is_empty, saved
from fabsched.files.log_home import Home, home_of, settle
from fabsched.files.log_json import body_of, entry_of
from fabsched.model.errors import Fact, Fault
from fabsched.model.findings import Finding, Remark
from fabsched.model.log import Entry

LOG_FILE = "log.sqlite"
"""Name of the log in a project folder."""

VERSION = 1
"""Of the tables below; a file that says more was written by a newer program."""

MARK = 0x66616273
"""The file's `application_id`: "fabs"."""

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

LEDGER = Ledger(
    mark=MARK,
    version=VERSION,
    tables=TABLES,
    stem="log",
    newer=Fault.LOG_NEWER,
    busy=Fault.LOG_BUSY,
)

ROW = "id, moment_s, noted_s, kind, subject, body, crc"

COUNTER = slice(24, 28)
"""Where the file counts its changes (sqlite.org/fileformat.html, section 1.3.7)."""

Tell = Callable[[tuple[Entry, ...]], Iterable[Entry]]
"""From all entries there are to those that are to be added."""


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
            with LEDGER.opened(self._path, "rw") as base:
                return _entries(base), ()
        except DamagedError:
            return self._mended(seen)

    def home(self, entries: tuple[Entry, ...]) -> Home:
        """Whose log it is.

        Args:
            entries: all it has, as `read` gave them.

        Raises:
            InputError: as for `read`.
        """
        if not self._path.exists():
            return Home("")
        try:
            with LEDGER.opened(self._path, "ro") as base:
                return home_of(base, self._path, entries)
        except DamagedError:
            return Home("")

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
        with LEDGER.opened(self._path, "rwc") as base:
            base.execute("BEGIN IMMEDIATE")
            LEDGER.make(base, self._path)
            known = _entries(base)
            added = tuple(_insert(base, entry) for entry in tell(known))
            if added:
                settle(base, self._path, known, added)
            base.execute("COMMIT" if added else "ROLLBACK")
        return added

    def _mended(self, seen: int) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
        """Set the damaged file aside, and go on with what can be read of it."""
        if self._path.exists() and self._path.stat().st_ino != seen:
            return self.read()  # another process has done so
        kept = LEDGER.set_aside(self._path)
        entries = tuple(saved(kept, _row))
        with LEDGER.opened(self._path, "rwc") as base:
            base.execute("BEGIN IMMEDIATE")
            LEDGER.make(base, self._path)
            for entry in entries:
                _insert(base, entry)
            base.execute("COMMIT")
        facts: dict[str, Fact] = {"kept": kept.name, "count": len(entries)}
        return entries, (Finding(code=Remark.LOG_DAMAGED, where=LOG_FILE, facts=facts),)


def _insert(base: sqlite3.Connection, entry: Entry) -> Entry:
    """Add an entry; one that has an id already, saved from a damaged log, keeps it."""
    body = body_of(entry)
    values = (entry.moment_s, entry.noted_s, str(entry.kind), entry.subject, body)
    ident = base.execute(
        f"INSERT INTO entry ({ROW}) VALUES (?, ?, ?, ?, ?, ?, ?)",  # noqa: S608 - our own columns
        (entry.id or None, *values, crc(values)),
    ).lastrowid
    return entry_of((ident or 0, *values[:4]), body)


def _entries(base: sqlite3.Connection) -> tuple[Entry, ...]:
    if is_empty(base):
        return ()
    rows = base.execute(f"SELECT {ROW} FROM entry ORDER BY id")  # noqa: S608 - our own columns
    return tuple(_entry(row) for row in rows)


def _entry(row: tuple[int, int, int, str, str, str, int]) -> Entry:
    """The entry of a row.

    Raises:
        DamagedError: it is not what was written.
    """
    ident, *values, told = row
    try:
        if told == crc(tuple(values)):
            return entry_of(row[:5], row[5])
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise DamagedError from error
    raise DamagedError(ident)


def _row(base: sqlite3.Connection, ident: int) -> list[Entry]:
    """The entry of that id, if it can be read."""
    try:
        query = f"SELECT {ROW} FROM entry WHERE id = ?"  # noqa: S608 - our own columns
        return [_entry(row) for row in base.execute(query, (ident,))]
    except (sqlite3.Error, DamagedError):
        return []
