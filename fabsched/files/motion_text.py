"""Lines of a motion program into words: compiled, since such files have millions of lines.

The grammar is that of NISTIR 6556, "The NIST RS274NGC Interpreter - Version 3" (Kramer, Proctor &
Messina, 2000), section 3.3: a line is a block of words, each a letter and a number; blanks are
skipped, even inside numbers; letters may be small or large; comments stand in parentheses.
A semicolon begins a comment as well, up to the end of the line (common practice).
"""

import math
from typing import Protocol

import numpy as np
from numba import njit
from numpy.typing import NDArray

Text = NDArray[np.uint8]
"""The bytes of a file."""
Floats = NDArray[np.float64]
"""float64 array; one-dimensional unless stated."""
Ints = NDArray[np.int64]
"""One-dimensional int64 array."""
Flags = NDArray[np.uint8]
"""One-dimensional array of zeros and ones."""

SOUND, DELIMITER, MALFORMED, TWICE, MISSING, UNKNOWN, UNEQUAL, UNREACHED, NEGATIVE = range(9)
"""What became of a line: all is well, a line of `%`, or what is wrong with it."""

A, B, C, D, E, F, G, H, I, J, K, L, M, N, O, P, Q, R, S, T, U, V, W, X, Y, Z = range(26)  # noqa: E741 - the letters of the standard
NO_WORDS = (O, U, V, W)
"""Letters that begin no word; E, which the standard leaves free, is the axis of the filament."""
AXES = (X, Y, Z, E)
MOST_CODES = 32
"""Words with G on one line; there are not as many modal groups."""
HIGHEST = 9999
"""Numbers of codes are not larger; those with G count in tenths."""
STANDARD_M = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 30, 48, 49, 60)
"""Codes with M that the standard defines (NISTIR 6556, section 3.6)."""
CLOSE = 1e-4
"""A number this close to a whole one is meant to be it (section 3.3.2.1)."""

_SPACE, _TAB, _LF, _CR = ord(" "), ord("\t"), ord("\n"), ord("\r")
_OPEN, _SHUT, _REST, _PERCENT, _SLASH = ord("("), ord(")"), ord(";"), ord("%"), ord("/")
_PLUS, _MINUS, _POINT, _ZERO, _NINE = ord("+"), ord("-"), ord("."), ord("0"), ord("9")
_LARGE_A, _LARGE_Z, _SMALL_A, _SMALL_Z = ord("A"), ord("Z"), ord("a"), ord("z")
_FULL = 10**17
"""Digits beyond this are below what a float64 holds."""
_TENS = np.array([10.0**i for i in range(23)])
"""Powers of ten that are exact as float64."""


class Line(Protocol):
    """The words of one line; the record is used again for the next.

    Attributes:
        value: (26,) the number of each letter but G and M.
        seen: (26,) 1 where a letter stands on the line.
        g: (MOST_CODES,) numbers after G, in tenths.
        g_count: how many of them there are.
        m: (MOST_CODES,) numbers after M, of those codes that the standard defines.
        m_count: how many of them there are.
        open_m: the number after M that the standard leaves open; -1 if there is none.
        detail: (3,) letters or lengths that say what is wrong.
    """

    value: Floats
    seen: Flags
    g: Ints
    g_count: int
    m: Ints
    m_count: int
    open_m: int
    detail: Floats


LINE = np.dtype(
    (
        np.record,
        [
            ("value", "f8", 26),
            ("seen", "u1", 26),
            ("g", "i8", MOST_CODES),
            ("g_count", "i8"),
            ("m", "i8", MOST_CODES),
            ("m_count", "i8"),
            ("open_m", "i8"),
            ("detail", "f8", 3),
        ],
    )
)
"""`Line` in memory: compiled code passes one pointer instead of counting references to arrays."""


def new_line() -> Line:
    """Room for the words of a line."""
    line: Line = np.zeros(1, LINE)[0]
    return line


@njit(cache=True, nogil=True)
def line_end(data: Text, at: int) -> int:
    """Where the line ends that holds position `at`."""
    while at < data.size and data[at] != _LF and data[at] != _CR:
        at += 1
    return at


@njit(cache=True, nogil=True)
def next_line(data: Text, end: int) -> int:
    """Where the line begins after the one that ends at `end`."""
    if end + 1 < data.size and data[end] == _CR and data[end + 1] == _LF:
        return end + 2
    return end + 1


@njit(cache=True, nogil=True)
def _skip(data: Text, at: int, end: int) -> int:
    """The next position that is no blank."""
    while at < end and (data[at] == _SPACE or data[at] == _TAB):
        at += 1
    return at


@njit(cache=True, nogil=True, error_model="numpy")
def _number(data: Text, at: int, end: int) -> tuple[float, int]:
    """Read a number: sign, digits and one point, blanks anywhere (section 3.3.2.1).

    Up to 15 digits it is the float64 nearest to what is written (Clinger, "How to read floating
    point numbers accurately", PLDI 1990: both parts of the quotient are exact).

    Returns:
        The number, nan if there is none, and the position after it.
    """
    at = _skip(data, at, end)
    sign = 1.0
    if at < end and (data[at] == _PLUS or data[at] == _MINUS):
        sign = -1.0 if data[at] == _MINUS else 1.0
        at += 1
    whole, digits, shift = 0, 0, 0
    point = False
    while at < end:
        c = data[at]
        if _ZERO <= c <= _NINE:
            digits += 1
            kept = whole < _FULL
            if kept:
                whole = 10 * whole + int(c - _ZERO)
            shift += int(kept and point) - int(not kept and not point)
        elif c == _POINT and not point:
            point = True
        elif c not in (_SPACE, _TAB):
            break
        at += 1
    return (sign * _scaled(whole, shift) if digits else np.nan), at


@njit(cache=True, nogil=True, error_model="numpy")
def _scaled(whole: int, shift: int) -> float:
    """Digits with the point so many places from the right."""
    if 0 <= shift < _TENS.size:
        return float(whole / _TENS[shift])
    return float(whole * math.pow(10.0, -shift))


@njit(cache=True, nogil=True)
def _clear(line: Line) -> None:
    for letter in range(26):
        line.seen[letter] = 0
    line.g_count = line.m_count = 0
    line.open_m = -1


@njit(cache=True, nogil=True)
def _letter(c: int) -> int:
    """Which letter a byte is, from 0; -1 if it begins no word."""
    letter = -1
    if _LARGE_A <= c <= _LARGE_Z:
        letter = c - _LARGE_A
    elif _SMALL_A <= c <= _SMALL_Z:
        letter = c - _SMALL_A
    return -1 if letter in NO_WORDS else letter


@njit(cache=True, nogil=True)
def _comment_end(data: Text, at: int, end: int) -> int:
    """The position after a comment that begins at `at`; -1 if it is not closed on the line."""
    if data[at] == _REST:
        return end
    for i in range(at + 1, end):
        if data[i] == _OPEN:
            return -1
        if data[i] == _SHUT:
            return i + 1
    return -1


@njit(cache=True, nogil=True)
def _code(value: float) -> int:
    """The whole number that is meant; -1 if there is none."""
    code = int(value + 0.5) if 0.0 <= value <= HIGHEST else -1
    return code if abs(value - code) <= CLOSE else -1


@njit(cache=True, nogil=True)
def _enter_g(line: Line, value: float) -> int:
    """Enter a word with G."""
    code = _code(10.0 * value)
    if code < 0 or line.g_count == MOST_CODES:
        return MALFORMED
    line.g[line.g_count] = code
    line.g_count += 1
    return SOUND


@njit(cache=True, nogil=True)
def _enter_m(line: Line, value: float) -> int:
    """Enter a word with M."""
    code = _code(value)
    if code < 0 or line.m_count == MOST_CODES:
        return MALFORMED
    if code in STANDARD_M:
        line.m[line.m_count] = code
        line.m_count += 1
    else:
        line.open_m = code
    return SOUND


@njit(cache=True, nogil=True)
def _word(line: Line, letter: int, value: float, words: int) -> int:
    """Enter a word."""
    if np.isnan(value) or (letter == N and words):
        return MALFORMED
    if letter == G:
        return _enter_g(line, value)
    if letter == M:
        return _enter_m(line, value)
    if line.seen[letter]:
        line.detail[0] = line.detail[1] = letter
        return TWICE
    line.seen[letter] = 1
    line.value[letter] = value
    return SOUND


@njit(cache=True, nogil=True)
def scan_line(data: Text, at: int, end: int, line: Line) -> int:
    """Take one line apart.

    What follows an M code that the standard leaves open belongs to that code and is skipped.

    Args:
        data: the file.
        at: where the line begins.
        end: where it ends.
        line: receives the words.

    Returns:
        `SOUND`, `DELIMITER`, or what is wrong.
    """
    _clear(line)
    at = _skip(data, at, end)
    if at < end and data[at] == _PERCENT:
        return DELIMITER if _skip(data, at + 1, end) == end else MALFORMED
    if at < end and data[at] == _SLASH:
        at += 1
    words = 0
    while True:
        at = _skip(data, at, end)
        if at >= end or line.open_m >= 0:
            return SOUND
        if data[at] in (_OPEN, _REST):
            at = _comment_end(data, at, end)
            if at < 0:
                return MALFORMED
            continue
        letter = _letter(data[at])
        if letter < 0:
            return MALFORMED
        value, at = _number(data, at + 1, end)
        status = _word(line, letter, value, words)
        if status != SOUND:
            return status
        words += 1
