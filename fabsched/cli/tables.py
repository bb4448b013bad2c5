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
        lines = wrap(_paragraph(columns, row), out.width, subsequent_indent="    ")
        out.print("\n".join(lines))


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
