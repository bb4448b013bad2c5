"""Tables of PLY files written as text: words in the order of the columns.

As in binary files, rows laid out like the first one are taken at once, others one by one.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from fabsched.files.mesh_text import floats, integers
from fabsched.files.ply_header import Element, Header, Property
from fabsched.files.ply_tables import Column, Rest, Table, checked_size
from fabsched.model.errors import Fault, InputError


@dataclass(frozen=True, slots=True)
class Cells:
    """The words of one column.

    Attributes:
        words: of all rows, lists one after the other.
        sizes: how many of them belong to each row.
    """

    words: list[bytes]
    sizes: list[int]


def text_tables(
    data: bytes, header: Header, wanted: Collection[str], where: str
) -> Iterator[tuple[Table, Rest]]:
    """Read one table after the other.

    Args:
        data: the whole file.
        header: its header.
        wanted: names of the columns to read.
        where: its name.

    Yields:
        The wanted columns of each table, and what is left after it.

    Raises:
        InputError: words are missing, or a wanted one is no number.
    """
    words = data[header.start :].split()
    for element in header.elements:
        cells, end = _cells(words, element, data, where)
        width = end // element.rows if element.rows else 0
        words = words[end:]
        pairs = zip(element.properties, cells, strict=True)
        table = {
            column.name: _column(cell, column, data, where)
            for column, cell in pairs
            if column.name in wanted
        }
        more = len(words) // width if width and all(word.isdigit() for word in words) else 0
        yield table, Rest(sum(map(len, words)), more)


def _column(cell: Cells, column: Property, data: bytes, where: str) -> Column:
    numbers = floats if column.kind.kind == "f" else integers
    sizes = np.array(cell.sizes, np.int64) if column.counted else None
    return Column(numbers(cell.words, data, where), sizes)


def _cells(
    words: Sequence[bytes], element: Element, data: bytes, where: str
) -> tuple[list[Cells], int]:
    """The words of every column, and where the table ends."""
    if not element.rows or not element.properties:
        return [Cells([], []) for _ in element.properties], 0
    first, width = _walked(words, element, 1, data, where)
    end = element.rows * width
    place = 0
    cells = []
    for column, cell in zip(element.properties, first, strict=True):
        counts = words[place:end:width]
        if len(words) < end or (column.counted and set(counts) != {words[place]}):
            return _walked(words, element, element.rows, data, where)
        place += 1 if column.counted else 0
        lanes = [words[place + k : end : width] for k in range(cell.sizes[0])]
        cells.append(
            Cells(list(chain.from_iterable(zip(*lanes, strict=True))), cell.sizes * element.rows)
        )
        place += cell.sizes[0]
    return cells, end


def _walked(
    words: Sequence[bytes], element: Element, rows: int, data: bytes, where: str
) -> tuple[list[Cells], int]:
    """The words of some rows, one by one, and where they end."""
    cells = [Cells([], []) for _ in element.properties]
    at = 0
    for row in range(rows):
        for column, cell in zip(element.properties, cells, strict=True):
            size = 1
            if column.counted:
                size = _size(words[at : at + 1], data, where)
                at += 1
            cell.words.extend(words[at : at + size])
            cell.sizes.append(size)
            at += size
        if at > len(words):
            what = f"rows of {element.name}"
            raise InputError(Fault.COUNT_MISMATCH, where, what=what, want=element.rows, have=row)
    return cells, at


def _size(words: Sequence[bytes], data: bytes, where: str) -> int:
    """The count before a list; none at the end of the file, where the row is short anyway."""
    return checked_size(int(integers(words, data, where)[0]), where) if words else 0
