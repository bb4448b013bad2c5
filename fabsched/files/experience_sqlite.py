"""What was learnt, for each user: `experience.sqlite` in the platform's data folder, only added to.

A row says what was seen, under a key; the last row of a key counts. Forgetting is a row as well, so
that nothing is ever lost and everything can be had back. Rows of sorts that only a later program knows
stay as they are and count for nothing here. What has been written is on the disk: a
rollback journal with `synchronous=EXTRA` (sqlite.org/pragma.html), as for the log of a project. Every
call opens the file anew and closes it, so that several windows and command lines can learn at once.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from fabsched.files.experience_json import SORTS, body_of, seen_of
from fabsched.files.ledger import DamagedError, Ledger, crc, is_empty, saved
from fabsched.model.errors import Fault, InputError
from fabsched.model.experience import Seen
from fabsched.model.findings import Finding, Remark

FILE = "experience.sqlite"
"""Name of the file."""

VERSION = 1
"""Of the tables below; a file that says more was written by a newer program."""

MARK = 0x66616265
"""The file's `application_id`: "fabe"."""

FORGOTTEN, WITHDRAWN = "forgotten", "withdrawn"
"""Sorts of rows that take a key out: the maker wants it so, or the log no longer says it."""

TABLES = (
    """CREATE TABLE seen (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL,
        sort TEXT NOT NULL,
        body TEXT NOT NULL,
        crc INTEGER NOT NULL
    )""",
    """CREATE TRIGGER seen_stays BEFORE DELETE ON seen
        BEGIN SELECT RAISE(ABORT, 'rows are only added'); END""",
    """CREATE TRIGGER seen_stays_as_it_is BEFORE UPDATE ON seen
        BEGIN SELECT RAISE(ABORT, 'rows are only added'); END""",
    f"PRAGMA application_id = {MARK}",
    f"PRAGMA user_version = {VERSION}",
)

LEDGER = Ledger(
    mark=MARK,
    version=VERSION,
    tables=TABLES,
    stem="experience",
    newer=Fault.EXPERIENCE_NEWER,
    busy=Fault.EXPERIENCE_BUSY,
)

Row = tuple[str, str, str]
"""Key, sort and body."""


@dataclass(frozen=True, slots=True)
class Experience:
    """What was learnt so far.

    Attributes:
        seen: what counts, ordered by key.
        forgotten: keys the maker does not want to count.
        unlearnt: what stood under these, ordered by key.
    """

    seen: tuple[Seen, ...] = ()
    forgotten: frozenset[str] = frozenset()
    unlearnt: tuple[Seen, ...] = ()


def default_file() -> Path:
    """Where the platform wants a user's data to be."""
    return user_data_path("fabsched", appauthor=False) / FILE


class ExperienceFile:
    """The file of one user.

    Args:
        path: where it is; made, with its folder, when something is first learnt.
    """

    def __init__(self, path: Path) -> None:
        self._path = path

    @property
    def path(self) -> Path:
        """The file, whether it is there or not."""
        return self._path

    def read(self) -> tuple[Experience, tuple[Finding, ...]]:
        """All that was learnt; nothing if there is no file yet.

        A damaged file is set aside under another name, and what can be read of it goes on.

        Raises:
            InputError: the file cannot be opened, is held by another program for long, or was
                written by a newer version.
        """
        if not self._path.exists():
            return Experience(), ()
        was = self._path.stat().st_ino
        try:
            with LEDGER.opened(self._path, "rw") as base:
                return _experience(_rows(base)), ()
        except DamagedError:
            return self._mended(was)

    def sync(self, prefix: str, wanted: Sequence[Seen]) -> int:
        """Make what is known under a prefix be what a log says now.

        What is known already is not written again, what has changed replaces what was known, what
        the log no longer says is taken out, what the maker has forgotten stays forgotten.

        Args:
            prefix: keys that begin so belong to that log.
            wanted: what it says; all keys begin with the prefix.

        Returns:
            How many rows that took.

        Raises:
            InputError: as for `read`, or the file cannot be written; then nothing has changed.
        """
        return self._add(lambda last: _changes(last, prefix, wanted))

    def forget(self, keys: Iterable[str]) -> int:
        """Let entries no longer count. Returns how many did. Raises as `sync`."""
        asked = frozenset(keys)
        return self._add(
            lambda last: [
                (key, FORGOTTEN, body)
                for key, (sort, body) in last.items()
                if key in asked and sort != FORGOTTEN
            ]
        )

    def recall(self, keys: Iterable[str]) -> int:
        """Let forgotten entries count again. Returns how many do. Raises as `sync`."""
        asked = frozenset(keys)
        with self._told():
            known = _known(self._all())
        return self._add(
            lambda last: [
                (key, *known[key])
                for key, (sort, _) in last.items()
                if key in asked and sort == FORGOTTEN and key in known
            ]
        )

    def _all(self) -> list[Row]:
        """All rows in the order they were written."""
        if not self._path.exists():
            return []
        with LEDGER.opened(self._path, "rw") as base:
            return list(_rows(base))

    def _add(self, tell: Callable[[Mapping[str, tuple[str, str]]], Sequence[Row]]) -> int:
        self.read()  # sets a damaged file aside
        self._make_folder()
        with self._told(), LEDGER.opened(self._path, "rwc") as base:
            base.execute("BEGIN IMMEDIATE")
            LEDGER.make(base, self._path)
            rows = tell(_last(_rows(base)))
            for row in rows:
                _insert(base, row)
            base.execute("COMMIT" if rows else "ROLLBACK")
        return len(rows)

    def _make_folder(self) -> None:
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            why = error.strerror or type(error).__name__
            raise InputError(Fault.FILE_UNWRITABLE, str(self._path), why=why) from error

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Damage found while writing, in words of ours: the next call sets the file aside."""
        try:
            yield
        except DamagedError as error:
            facts = {"why": str(error) or "damaged"}
            raise InputError(Fault.FILE_UNREADABLE, str(self._path), **facts) from error

    def _mended(self, was: int) -> tuple[Experience, tuple[Finding, ...]]:
        """Set the damaged file aside, and go on with what can be read of it."""
        if self._path.exists() and self._path.stat().st_ino != was:
            return self.read()  # another process has done so
        kept = LEDGER.set_aside(self._path)
        rows = saved(kept, _row)
        with LEDGER.opened(self._path, "rwc") as base:
            base.execute("BEGIN IMMEDIATE")
            LEDGER.make(base, self._path)
            for row in rows:
                _insert(base, row)
            base.execute("COMMIT")
        facts: dict[str, str | int | float] = {"kept": kept.name, "count": len(rows)}
        finding = Finding(code=Remark.EXPERIENCE_DAMAGED, where=str(self._path), facts=facts)
        return _experience(rows), (finding,)


def _changes(last: Mapping[str, tuple[str, str]], prefix: str, wanted: Sequence[Seen]) -> list[Row]:
    """Rows that bring a log's part of what is known up to date."""
    fresh = {seen.key: (SORTS[type(seen)], body_of(seen)) for seen in wanted}
    kept = {key for key, (sort, _) in last.items() if sort == FORGOTTEN}
    rows = [
        (key, sort, body)
        for key, (sort, body) in fresh.items()
        if key not in kept and last.get(key) != (sort, body)
    ]
    gone = [
        (key, WITHDRAWN, "")
        for key, (sort, _) in last.items()
        if key.startswith(prefix) and key not in fresh and sort in SORTS.values()
    ]
    return rows + gone


def _experience(rows: Sequence[Row]) -> Experience:
    """The entries that count, and those that did until the maker took them out.

    Raises:
        DamagedError: one is not what was written.
    """
    last, known = _last(rows), _known(rows)
    told = {key: row for key, row in last.items() if row[0] in SORTS.values()}
    forgotten = frozenset(key for key, (sort, _) in last.items() if sort == FORGOTTEN)
    try:
        seen = tuple(seen_of(*row) for _, row in sorted(told.items()))
        unlearnt = tuple(seen_of(*known[key]) for key in sorted(forgotten & known.keys()))
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise DamagedError from error
    return Experience(seen, forgotten, unlearnt)


def _known(rows: Iterable[Row]) -> dict[str, tuple[str, str]]:
    """Sort and body of the last row of each key that tells something."""
    return {key: (sort, body) for key, sort, body in rows if sort in SORTS.values()}


def _last(rows: Iterable[Row]) -> dict[str, tuple[str, str]]:
    """Sort and body of the last row of each key."""
    return {key: (sort, body) for key, sort, body in rows}


def _insert(base: sqlite3.Connection, row: Row) -> None:
    values = (*row, crc(row))
    base.execute("INSERT INTO seen (key, sort, body, crc) VALUES (?, ?, ?, ?)", values)


def _rows(base: sqlite3.Connection) -> list[Row]:
    """All rows in order.

    Raises:
        DamagedError: one is not what was written.
    """
    if is_empty(base):
        return []
    found = base.execute("SELECT key, sort, body, crc FROM seen ORDER BY id").fetchall()
    return [_checked(row) for row in found]


def _checked(row: tuple[str, str, str, int]) -> Row:
    key, sort, body, told = row
    if told != crc((key, sort, body)):
        raise DamagedError(key)
    return key, sort, body


def _row(base: sqlite3.Connection, ident: int) -> list[Row]:
    """The row of that id, if it can be read and means something."""
    try:
        found = base.execute("SELECT key, sort, body, crc FROM seen WHERE id = ?", (ident,))
        rows = [_checked(row) for row in found]
        _experience(rows)
    except (sqlite3.Error, DamagedError):
        return []
    return rows
