"""Whose log a log is: a copied project folder tells its own story from then on.

What a copy says of the time before was told by the log it was copied from, and counts once. So each
log keeps, beside its entries, by what name it is known, where it lies, and from which entry on it
speaks for itself. A log that lies somewhere else than it says has been moved, unless the log it was
copied from still lies there.
"""

import hashlib
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from fabsched.files.ledger import connected
from fabsched.model.log import Entry

TABLE = """CREATE TABLE IF NOT EXISTS home (
    own TEXT NOT NULL,
    place TEXT NOT NULL,
    after INTEGER NOT NULL
)"""


@dataclass(frozen=True, slots=True)
class Home:
    """Whose a log is.

    Attributes:
        own: what tells it from all others; empty for a copy that has not been added to.
        after: entries with a greater number are its own.
    """

    own: str
    after: int = 0


def mark_of(entries: Iterable[Entry]) -> str:
    """What tells a log from all others, by its first entry; empty for a log without entries."""
    first = min(entries, key=lambda entry: entry.id, default=None)
    if first is None:
        return ""
    told = repr((first.kind.value, first.moment_s, first.noted_s, first.subject, first.meant.name))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def home_of(base: sqlite3.Connection, path: Path, entries: tuple[Entry, ...]) -> Home:
    """Whose the log is that lies at `path`.

    Args:
        base: a connection to it.
        path: where it lies.
        entries: all its entries.
    """
    row = _row(base)
    if row is None:
        return Home(mark_of(entries))
    own, place, after = row
    if _is_copy(own, Path(place), path):
        return Home("", max((entry.id for entry in entries), default=0))
    return Home(own, after)


def settle(
    base: sqlite3.Connection, path: Path, known: tuple[Entry, ...], added: tuple[Entry, ...]
) -> None:
    """Write down whose a log is, within the transaction that adds to it.

    Args:
        base: a connection to it.
        path: where it lies.
        known: entries there were before.
        added: what was added; not empty.
    """
    base.execute(TABLE)
    row, home = _row(base), home_of(base, path, (*known, *added))
    if row is not None and home.own and row[1] == _place(path):
        return
    after = home.after
    if not home.own:
        after = max((entry.id for entry in known), default=0)
        told = repr((row, _place(path), after, added[0].noted_s))
        home = Home(hashlib.sha256(told.encode()).hexdigest()[:16])
    base.execute("INSERT INTO home VALUES (?, ?, ?)", (home.own, _place(path), after))


def _place(path: Path) -> str:
    return str(path.resolve())


def _row(base: sqlite3.Connection) -> tuple[str, str, int] | None:
    """What a log says of itself; None if it says nothing."""
    try:
        found = base.execute("SELECT own, place, after FROM home ORDER BY rowid DESC LIMIT 1")
        row = found.fetchone()
    except sqlite3.OperationalError:  # it was written before logs said so
        return None
    return None if row is None else (str(row[0]), str(row[1]), int(row[2]))


def _is_copy(own: str, other: Path, path: Path) -> bool:
    """Whether the log of that name lies elsewhere as well."""
    try:
        if str(other) == _place(path) or not other.exists() or other.samefile(path):
            return False
        with closing(connected(other, "ro")) as base:
            row = _row(base)
    except (OSError, sqlite3.Error):
        return False
    return row is not None and row[0] == own and row[1] == str(other)
