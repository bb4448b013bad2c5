"""Tables on stdout."""

import sys
from collections.abc import Iterable, Sequence
from itertools import takewhile
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
    if _least_width(columns, settled) <= out.width:
        out.print(_table(columns, settled))
        return
    for row in settled:
        out.print("\n".join(_wrapped(columns, row)))


class GrowingTable:
    """A table of which rows are printed as they come; paragraphs where the terminal is too narrow.

    Columns keep the width they begin with; a longer text moves the rest of its row.
    """

    def __init__(self, columns: Sequence[str], widest: Sequence[Sequence[str]]) -> None:
        """Print the headings.

        Args:
            columns: headings in English, see `print_table`.
            widest: rows with the widest texts that may come.
        """
        self._columns = [_heading(column) for column in columns]
        heads = [column.removeprefix(">") for column in self._columns]
        lengths = [max(map(cell_len, cells)) for cells in zip(heads, *widest, strict=True)]
        self._out, self._wide = console(), lengths
        total = sum(lengths) + NARROW * (len(lengths) - 1) + 2
        self._is_table = total <= self._out.width
        if self._is_table:
            rule = "\u2500" * (total - 1)
            self._print("", self._line(heads), f" {rule}")

    def add(self, row: Sequence[str]) -> None:
        """Print a row."""
        self._print(*([self._line(row)] if self._is_table else _wrapped(self._columns, row)))

    def end(self) -> None:
        """Print what stands below."""
        self._print("")

    def _line(self, row: Sequence[str]) -> str:
        """Texts side by side, each as wide as its column."""
        cells = zip(self._columns, self._wide, row, strict=True)
        padded = (
            " " * (wide - cell_len(text)) + text
            if column.startswith(">")
            else text + " " * (wide - cell_len(text))
            for column, wide, text in cells
        )
        return f" {(' ' * NARROW).join(padded)}".rstrip()

    def _print(self, *lines: str) -> None:
        for line in lines:
            self._out.print(line, soft_wrap=True)
        self._out.file.flush()


def _wrapped(columns: Sequence[str], row: Sequence[str]) -> list[str]:
    """A row as a paragraph."""
    return wrap(_paragraph(columns, row), console().width, subsequent_indent="    ")


def _heading(column: str) -> str:
    """A heading in the language of now."""
    figures = ">" if column.startswith(">") else ""
    return figures + tr(column.removeprefix(">"))


def _least_width(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> int:
    """Columns of the screen below which the table cannot be read."""
    longest = [max(map(cell_len, cells), default=0) for cells in zip(columns, *rows, strict=True)]
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
            column.removeprefix(">"),
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
