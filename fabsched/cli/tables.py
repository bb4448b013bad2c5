"""Tables on stdout."""

import sys
from collections.abc import Iterable, Sequence
from itertools import takewhile, zip_longest
from textwrap import wrap

from rich.box import SIMPLE_HEAD
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from fabsched.cli.tongue import tr

WIDE = 140
"""Columns where stdout is no terminal, so that a file or a pipe gets whole lines."""

READABLE = 16
"""Narrowest column in which a sentence can be read (our own choice)."""

GAP = 3
"""Room a column takes beside its text."""

NARROW = 2
"""Room between columns whose widths are known before their rows."""

CLOSE = 1
"""The same where there is no more."""

SHORT = 7
"""So many letters, an amount with its unit, stay in one line (our own choice)."""


def console() -> Console:
    """A console on stdout, as wide as the terminal if there is one, that shows names as they are."""
    width = None if sys.stdout.isatty() else WIDE
    return Console(width=width, highlight=False, soft_wrap=False, markup=False, emoji=False)


def print_table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table, or a paragraph for each row where the terminal is too narrow for one.

    Args:
        columns: headings in English; one that begins with `>` stands over figures, set to the right.
        rows: a text for each column.
    """
    columns = [_heading(column) for column in columns]
    out, settled = console(), [tuple(row) for row in rows]
    for heads in (columns, _stacked(columns, settled)):
        if _least_width(heads, settled) <= out.width:
            out.print(_table(heads, settled))
            return
    for row in settled:
        out.print("\n".join(_wrapped(columns, row)))


class GrowingTable:
    """A table of which rows are printed as they come.

    Columns keep the width they begin with; a longer text moves the rest of its row. On a narrow
    terminal what a row is called stands above its figures, whose words are put one below the other;
    where that is too wide as well, each row becomes a paragraph.
    """

    def __init__(self, columns: Sequence[str], widest: Sequence[Sequence[str]]) -> None:
        """Print the headings.

        Args:
            columns: headings in English, see `print_table`.
            widest: rows with the widest texts that may come.
        """
        self._columns = [_heading(column) for column in columns]
        self._out = console()
        self._gap, self._is_close = NARROW, False
        heads, self._wide = self._columns, _widths(self._columns, widest)
        if self._total > self._out.width:
            heads = _stacked(self._columns, widest)
            self._wide = _widths(heads, widest)
        if self._total > self._out.width:
            heads = self._close_up(widest)
        self._is_table = self._total <= self._out.width
        if self._is_table:
            self._print("", *self._headings(heads), f" {chr(0x2500) * (self._total - 1)}")

    def _close_up(self, widest: Sequence[Sequence[str]]) -> list[str]:
        """Take the first column out of the row and make the others as narrow as their words; the heads."""
        self._gap, self._is_close = CLOSE, True
        columns = self._columns[1:]
        least = [
            max(map(_least, (_bare(cells[0]), *cells[1:])))
            for cells in zip(columns, *(row[1:] for row in widest), strict=True)
        ]
        room = self._out.width - sum(least) - CLOSE * len(columns)
        self._wide = _widened(
            least, [max(map(cell_len, c)) for c in zip(*widest, strict=True)][1:], room
        )
        return [
            column[: len(column) - len(_bare(column))] + "\n".join(_cell(_bare(column), wide))
            for column, wide in zip(columns, self._wide, strict=True)
        ]

    def _headings(self, heads: Sequence[str]) -> list[str]:
        above = [f" {_bare(self._columns[0])}"] if self._is_close else []
        return [*above, *map(self._line, _lines(heads))]

    @property
    def _total(self) -> int:
        """Width of all columns side by side."""
        return sum(self._wide) + self._gap * (len(self._wide) - 1) + self._gap

    def add(self, row: Sequence[str]) -> None:
        """Print a row."""
        if not self._is_table:
            self._print(*_wrapped(self._columns, row))
        elif self._is_close:
            stacks = [_cell(text, wide) for text, wide in zip(row[1:], self._wide, strict=True)]
            self._print(f" {row[0]}", *map(self._line, zip_longest(*stacks, fillvalue="")))
        else:
            self._print(self._line(row))

    def end(self) -> None:
        """Print what stands below."""
        self._print("")

    def _line(self, row: Sequence[str]) -> str:
        """Texts side by side, each as wide as its column."""
        columns = self._columns[1:] if self._is_close else self._columns
        cells = zip(columns, self._wide, row, strict=True)
        padded = (
            " " * (wide - cell_len(text)) + text
            if column.startswith(">")
            else text + " " * (wide - cell_len(text))
            for column, wide, text in cells
        )
        return f" {(' ' * self._gap).join(padded)}".rstrip()

    def _print(self, *lines: str) -> None:
        for line in lines:
            self._out.print(line, soft_wrap=True)
        self._out.file.flush()


def _widths(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[int]:
    """Of each column, without what stands between them."""
    return [max(map(_across, cells)) for cells in zip(map(_bare, heads), *rows, strict=True)]


def _widened(least: Sequence[int], natural: Sequence[int], room: int) -> list[int]:
    """Widths with what room is left given to the first that can use it.

    >>> _widened([4, 5, 3], [9, 5, 8], 6)
    [9, 5, 4]
    """
    widths = []
    for low, high in zip(least, natural, strict=True):
        more = max(0, min(high - low, room))
        widths.append(low + more)
        room -= more
    return widths


def _least(text: str) -> int:
    """Width of the longest word; of the whole text if it is short.

    >>> _least("12.3 mm"), _least("more than 99 in 100")
    (7, 4)
    """
    return cell_len(text) if cell_len(text) <= SHORT else max(map(cell_len, text.split()))


def _cell(text: str, wide: int) -> list[str]:
    """A text in lines of a width."""
    return wrap(text, wide, break_long_words=False, break_on_hyphens=False) or [""]


def _across(text: str) -> int:
    """Width of the longest line of a text."""
    return max(map(cell_len, text.split("\n")))


def _bare(column: str) -> str:
    return column.removeprefix(">")


def _stacked(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Headings with their words one below the other where they are wider than what they stand over."""
    widest = [max(map(cell_len, cells), default=0) for cells in zip(*rows, strict=True)]
    return [
        column[: len(column) - len(_bare(column))]
        + "\n".join(wrap(_bare(column), max(1, width), break_long_words=False))
        for column, width in zip(columns, widest or [READABLE] * len(columns), strict=True)
    ]


def _lines(heads: Sequence[str]) -> list[list[str]]:
    """Stacked headings line by line, the last words of all in the last."""
    stacks = [_bare(head).split("\n") for head in heads]
    height = max(map(len, stacks))
    return [
        [stack[line - height] if height - line <= len(stack) else "" for stack in stacks]
        for line in range(height)
    ]


def _wrapped(columns: Sequence[str], row: Sequence[str]) -> list[str]:
    """A row as a paragraph."""
    return wrap(_paragraph(columns, row), console().width, subsequent_indent="    ")


def _heading(column: str) -> str:
    """A heading in the language of now."""
    figures = ">" if column.startswith(">") else ""
    return figures + tr(column.removeprefix(">"))


def _least_width(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> int:
    """Columns of the screen below which the table cannot be read."""
    longest = [max(map(_across, cells)) for cells in zip(columns, *rows, strict=True)]
    figures = [column.startswith(">") for column in columns]
    return sum(
        GAP + (length if figure else min(length, READABLE))
        for length, figure in zip(longest, figures, strict=True)
    )


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        right = column.startswith(">")
        table.add_column(
            _bare(column),
            justify="right" if right else "left",
            no_wrap=right,
            overflow="fold",
        )
    for row in rows:
        table.add_row(*(Text(text) for text in row))
    return table


def _paragraph(columns: Sequence[str], row: Sequence[str]) -> str:
    """A row in one line; figures that do not lead it are named."""
    lead = len(list(takewhile(lambda column: column.startswith(">"), columns)))
    texts = [
        f"{column[1:]} {text}" if place >= lead and column.startswith(">") else text
        for place, (column, text) in enumerate(zip(columns, row, strict=True))
        if text
    ]
    return "  ".join(texts)
