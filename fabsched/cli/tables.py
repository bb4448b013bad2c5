"""Tables on stdout."""

import sys
from collections.abc import Iterable, Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

WIDE = 140
"""Columns where stdout is no terminal, so that a file or a pipe gets whole lines."""


def console() -> Console:
    """A console on stdout, as wide as the terminal if there is one, that shows names as they are."""
    width = None if sys.stdout.isatty() else WIDE
    return Console(width=width, highlight=False, soft_wrap=False, markup=False, emoji=False)


def print_table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table.

    Args:
        columns: headings; one that begins with `>` stands over figures, set to the right.
        rows: a text for each column.
    """
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
    console().print(table)
