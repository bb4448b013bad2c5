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
    for heads in (columns, _stacked(columns, settled)):
        if _least_width(heads, settled) <= out.width:
            out.print(_table(heads, settled))
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
        self._out = console()
        heads, self._wide = self._columns, _widths(self._columns, widest)
        if _total(self._wide) > self._out.width:
            heads = _stacked(self._columns, widest)
            self._wide = _widths(heads, widest)
        self._is_table = _total(self._wide) <= self._out.width
        if self._is_table:
            rule = "\u2500" * (_total(self._wide) - 1)
            self._print("", *map(self._line, _lines(heads)), f" {rule}")

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


def _widths(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[int]:
    """Of each column, without what stands between them."""
    return [max(map(_across, cells)) for cells in zip(map(_bare, heads), *rows, strict=True)]


def _total(widths: Sequence[int]) -> int:
    """Of all columns side by side."""
    return sum(widths) + NARROW * (len(widths) - 1) + 2


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
