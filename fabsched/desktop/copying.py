"""Tables on the clipboard: as text with tabs for spreadsheets, and as an HTML table for letters."""

from collections.abc import Callable, Iterator, Sequence
from html import escape

from PySide6.QtCore import QMimeData, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import QTreeWidget, QTreeWidgetItem, QTreeWidgetItemIterator, QWidget

Row = Sequence[str]
"""Texts of a row, from left to right."""


def as_text(rows: Sequence[Row]) -> str:
    r"""Rows in lines, cells parted by tabs; tabs and line ends inside a cell become blanks.

    >>> as_text([("a", "b c"), ("1", "2")])
    'a\tb c\n1\t2\n'
    """
    return "".join("\t".join(" ".join(cell.split()) for cell in row) + "\n" for row in rows)


def as_html(rows: Sequence[Row], heads: int) -> str:
    """The same as a table.

    Args:
        rows: from the top.
        heads: how many of them are headings.
    """
    lines = []
    for number, row in enumerate(rows):
        tag = "th" if number < heads else "td"
        lines.append("".join(f"<{tag}>{escape(cell)}</{tag}>" for cell in row))
    return "<table>" + "".join(f"<tr>{line}</tr>" for line in lines) + "</table>"


def put_on_clipboard(rows: Sequence[Row], heads: int = 0) -> None:
    """Put a table on the clipboard in both forms; an empty one leaves it as it is.

    Args:
        rows: from the top.
        heads: how many of them are headings.
    """
    if rows:
        mime = QMimeData()
        mime.setText(as_text(rows))
        mime.setHtml(as_html(rows, heads))
        QGuiApplication.clipboard().setMimeData(mime)


def let_copy(widget: QWidget, rows: Callable[[], Sequence[Row]], heads: int = 0) -> None:
    """Let the platform's key for copying take a table from a widget that has the focus.

    Args:
        widget: it, or something in it, has the focus then.
        rows: tells the rows of then.
        heads: how many of them are headings.
    """
    within = Qt.ShortcutContext.WidgetWithChildrenShortcut
    keys = QKeySequence(QKeySequence.StandardKey.Copy)
    shortcut = QShortcut(keys, widget, context=within)
    shortcut.activated.connect(lambda: put_on_clipboard(rows(), heads))


def let_copy_tree(tree: QTreeWidget) -> None:
    """The same for a list with columns: all of it, with its headings if they are shown."""
    let_copy(tree, lambda: tuple(_rows(tree)), heads=int(not tree.isHeaderHidden()))


def _rows(tree: QTreeWidget) -> Iterator[Row]:
    if not tree.isHeaderHidden():
        yield _cells(tree, tree.headerItem())
    walk = QTreeWidgetItemIterator(tree)
    while (item := walk.value()) is not None:
        yield _cells(tree, item)
        walk += 1


def _cells(tree: QTreeWidget, item: QTreeWidgetItem) -> Row:
    return tuple(item.text(column) for column in range(tree.columnCount()))
