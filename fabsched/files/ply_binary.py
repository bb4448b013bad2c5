"""Tables of binary PLY files.

Rows that are all laid out like the first one are read at once; only where lists differ in length is
a table walked row by row.
"""

import sys
from collections.abc import Iterator

import numpy as np

from fabsched.files.ply_header import Element, Header
from fabsched.files.ply_tables import Column, Rest, Table, checked_size
from fabsched.model.errors import Fault, InputError

Layout = np.dtype[np.void]
"""Of a row: column `i` is field `v{i}`, and the count before it, if it is a list, field `c{i}`."""


def binary_tables(data: bytes, header: Header, where: str) -> Iterator[tuple[Table, Rest]]:
    """Read one table after the other.

    Args:
        data: the whole file.
        header: its header.
        where: its name.

    Yields:
        The columns of each table, and what is left after it.

    Raises:
        InputError: the file ends before the last row.
    """
    at = header.start
    for element in header.elements:
        table, end = _table(data, at, element, where)
        left = len(data) - end
        row = (end - at) // element.rows if element.rows else 0
        at = end
        yield table, Rest(left, left // row if row and left % row == 0 else 0)


def _table(data: bytes, at: int, element: Element, where: str) -> tuple[Table, int]:
    """One table and where it ends."""
    least = sum((column.counted or column.kind).itemsize for column in element.properties)
    _check_end(data, at + element.rows * least, where)
    if not element.rows * least:
        return {}, at
    first, _ = _walked(data, at, element, 1, where)
    layout = _layout(element, first)
    end = at + element.rows * layout.itemsize
    if end <= len(data):
        rows = np.frombuffer(data, layout, element.rows, at)
        if all(
            (rows[name] == rows[name][0]).all() for name in layout.names or () if name[0] == "c"
        ):
            return _columns(rows, element), end
    return _walked(data, at, element, element.rows, where)


def _check_end(data: bytes, end: int, where: str) -> None:
    if end > len(data):
        raise InputError(Fault.FILE_TRUNCATED, where, have=len(data), want=end)


def _layout(element: Element, first: Table) -> Layout:
    """The layout of rows whose lists are as long as those of the first one."""
    fields: list[tuple[str, np.dtype[np.generic], tuple[int, ...]]] = []
    for i, column in enumerate(element.properties):
        size = first[column.name].sizes
        if column.counted and size is not None:
            fields.append((f"c{i}", column.counted, ()))
            fields.append((f"v{i}", column.kind, (int(size[0]),)))
        else:
            fields.append((f"v{i}", column.kind, ()))
    return np.dtype(fields)


def _columns(rows: np.ndarray[tuple[int], Layout], element: Element) -> Table:
    return {
        column.name: Column(
            np.ascontiguousarray(rows[f"v{i}"]).reshape(-1),
            rows[f"c{i}"].astype(np.int64) if column.counted else None,
        )
        for i, column in enumerate(element.properties)
    }


def _walked(data: bytes, at: int, element: Element, rows: int, where: str) -> tuple[Table, int]:
    """Some rows, value by value, and where they end."""
    pieces: list[list[bytes]] = [[] for _ in element.properties]
    sizes: list[list[int]] = [[] for _ in element.properties]
    for _ in range(rows):
        for i, column in enumerate(element.properties):
            size = 1
            if column.counted:
                size = _count(data, at, column.counted, where)
                at += column.counted.itemsize
            end = at + size * column.kind.itemsize
            pieces[i].append(data[at:end])
            sizes[i].append(size)
            at = end
        _check_end(data, at, where)
    table = {
        column.name: Column(
            np.frombuffer(b"".join(pieces[i]), column.kind),
            np.array(sizes[i], np.int64) if column.counted else None,
        )
        for i, column in enumerate(element.properties)
    }
    return table, at


def _count(data: bytes, at: int, kind: np.dtype[np.generic], where: str) -> int:
    """The count before a list."""
    raw = data[at : at + kind.itemsize]
    big = kind.byteorder == ">" or (kind.byteorder == "=" and sys.byteorder == "big")
    said = int.from_bytes(raw, "big" if big else "little", signed=kind.kind == "i")
    return checked_size(said, where)
