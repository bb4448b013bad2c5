"""Numbers in text files, and the line at fault when one is none."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fabsched.model.errors import Fault, InputError

N = TypeVar("N", np.float64, np.int64)

UNDERSCORE = b"_"
"""Python reads 1_000 as a number; no other program does."""
SHOWN = 40
"""Characters shown of text that should have been a number."""


def floats(tokens: Sequence[bytes], data: bytes, where: str) -> NDArray[np.float64]:
    """Turn words into numbers.

    Args:
        tokens: n words of `data`.
        data: the whole file, for the line of a bad one.
        where: the file.

    Returns:
        (n,) float64; nan and inf are numbers here.

    Raises:
        InputError: a word is no number in the notation of C.
    """
    return _numbers(tokens, float, np.float64, data, where)


def integers(tokens: Sequence[bytes], data: bytes, where: str) -> NDArray[np.int64]:
    """Turn words into whole numbers; as `floats`, and beyond 64 bits they are refused too."""
    return _numbers(tokens, int, np.int64, data, where)


def _numbers(
    tokens: Sequence[bytes],
    kind: Callable[[bytes], float],
    dtype: type[N],
    data: bytes,
    where: str,
) -> NDArray[N]:
    with suppress(ValueError, OverflowError):
        if UNDERSCORE not in b"".join(tokens):
            return np.fromiter(map(kind, tokens), dtype, len(tokens))
    raise malformed(next(word for word in tokens if not _fits(word, kind, dtype)), data, where)


def _fits(word: bytes, kind: Callable[[bytes], float], dtype: type[N]) -> bool:
    try:
        np.array(kind(word), dtype)
    except (ValueError, OverflowError):
        return False
    return UNDERSCORE not in word


def malformed(word: bytes, data: bytes, where: str) -> InputError:
    """The error for a word that is no number, with the line where it first stands."""
    line = line_of(word, data)
    return InputError(Fault.NUMBER_MALFORMED, where, text=shown(word), line=line)


def line_malformed(number: int, data: bytes, where: str, *, kind: str) -> InputError:
    """The error for a line that is not what belongs there; lines count from 1."""
    text = shown(data.splitlines()[number - 1].strip())
    return InputError(Fault.LINE_MALFORMED, where, line=number, text=text, kind=kind)


def shown(text: bytes) -> str:
    """Text of a file as put into a message."""
    return text[:SHOWN].decode("ascii", "replace")


def line_of(word: bytes, data: bytes) -> int:
    """Number of the first line on which a word stands by itself."""
    for number, line in enumerate(data.splitlines(), start=1):
        if word in line.split():
            return number
    return data.count(b"\n", 0, data.find(word)) + 1
