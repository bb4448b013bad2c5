"""The header of a PLY file: which tables follow, and how each row is laid out."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fabsched.files.mesh_text import line_malformed
from fabsched.model.errors import Fault, InputError

TYPES = {
    "char": "i1",
    "uchar": "u1",
    "short": "i2",
    "ushort": "u2",
    "int": "i4",
    "uint": "u4",
    "float": "f4",
    "double": "f8",
    "int8": "i1",
    "uint8": "u1",
    "int16": "i2",
    "uint16": "u2",
    "int32": "i4",
    "uint32": "u4",
    "float32": "f4",
    "float64": "f8",
}
"""numpy's names of the number types; the format has two names for each."""
Order = Literal["<", ">", "="]
ORDERS: Mapping[str, Order | None] = {
    "ascii": None,
    "binary_little_endian": "<",
    "binary_big_endian": ">",
}
"""Byte order by the name of the format; text has none."""
LAST_LINE = b"end_header"
LONGEST = 65536
"""Bytes in which the header must end."""


@dataclass(frozen=True, slots=True)
class Property:
    """One column of a table.

    Attributes:
        name: as in the file.
        kind: type of its numbers.
        counted: type of the count before each list; None where it is no list.
    """

    name: str
    kind: np.dtype[np.generic]
    counted: np.dtype[np.generic] | None = None

    def ordered(self, order: Order) -> "Property":
        """The same column with a byte order."""
        counted = self.counted.newbyteorder(order) if self.counted else None
        return Property(self.name, self.kind.newbyteorder(order), counted)


@dataclass(frozen=True, slots=True)
class Element:
    """One table.

    Attributes:
        name: as in the file.
        rows: how many there are said to be.
        properties: the columns.
    """

    name: str
    rows: int
    properties: tuple[Property, ...]

    def ordered(self, order: Order) -> "Element":
        """The same table with a byte order."""
        columns = tuple(column.ordered(order) for column in self.properties)
        return replace(self, properties=columns)


@dataclass(frozen=True, slots=True)
class Header:
    """What a file says of itself.

    Attributes:
        text: whether the tables are text.
        elements: the tables in order.
        start: where the first one begins, in bytes.
    """

    text: bool
    elements: tuple[Element, ...]
    start: int


def parse_header(data: bytes, where: str) -> Header:
    """Read the header.

    Args:
        data: the whole file.
        where: its name.

    Raises:
        InputError: it is no PLY file, or a line of the header is not understood.
    """
    lines, start = _lines(data, where)
    form: str | None = None
    elements: list[Element] = []
    for number, line in enumerate(lines[1:], start=2):
        words = line.decode("ascii", "replace").split()
        if not words or words[0] in {"comment", "obj_info"}:
            continue
        if words[0] == "format" and len(words) > 1 and words[1] in ORDERS:
            form = words[1]
        elif not _describe(words, elements):
            raise line_malformed(number, data, where, kind="PLY")
    if form is None:
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="PLY")
    order = ORDERS[form]
    ordered = tuple(element.ordered(order or "=") for element in elements)
    return Header(order is None, ordered, start)


def _lines(data: bytes, where: str) -> tuple[list[bytes], int]:
    """The lines of the header but for the last, and where the tables begin.

    The first line shows how lines end: in binary files any byte may follow the last one.
    """
    newline = b"\r\n" if data.startswith(b"ply\r\n") else data[3:4]
    if not data.startswith(b"ply") or newline not in {b"\r\n", b"\r", b"\n"}:
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="PLY")
    end = data.find(newline + LAST_LINE + newline, 0, LONGEST)
    if end < 0:
        raise InputError(Fault.FILE_NO_END, where, mark=LAST_LINE.decode())
    return data[:end].split(newline), end + 2 * len(newline) + len(LAST_LINE)


def _describe(words: list[str], elements: list[Element]) -> bool:
    """Take in a line that describes a table or a column.

    Returns:
        Whether it was understood.
    """
    match words:
        case ["element", name, rows] if rows.isdecimal() and rows.isascii():
            elements.append(Element(name, int(rows), ()))
        case ["property", kind, name] if kind in TYPES:
            return _add(elements, Property(name, np.dtype(TYPES[kind])))
        case ["property", "list", counted, kind, name] if {counted, kind} <= set(TYPES):
            return TYPES[counted][0] != "f" and _add(
                elements, Property(name, np.dtype(TYPES[kind]), np.dtype(TYPES[counted]))
            )
        case _:
            return False
    return True


def _add(elements: list[Element], column: Property) -> bool:
    """Append a column to the last table, unless there is none or it has that column."""
    if not elements or column.name in {known.name for known in elements[-1].properties}:
        return False
    elements[-1] = replace(elements[-1], properties=(*elements[-1].properties, column))
    return True
