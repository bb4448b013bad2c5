"""A column of a PLY table, and what readers of text and binary tables share."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.errors import Fault, InputError


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """The values of one property.

    Attributes:
        values: of all rows, lists one after the other.
        sizes: length of each row's list, (rows,); None where it is no list.
    """

    values: NDArray[np.generic]
    sizes: NDArray[np.int64] | None = None


@dataclass(frozen=True, slots=True)
class Rest:
    """What is left of a file after a table.

    Attributes:
        size: in bytes, blanks of text left out.
        rows: how many more rows of the table these may be; 0 if they do not look like any.
    """

    size: int
    rows: int


Table = dict[str, Column]
"""Columns by name."""


def checked_size(said: int, where: str) -> int:
    """The length of a list, once it can be one."""
    if said < 0:
        raise InputError(Fault.COUNT_MISMATCH, where, what="corners", want=said, have=0)
    return said
