"""Expressions and parameters of a motion program, turned into plain numbers.

Grammar of NISTIR 6556, section 3.3.2: a number may be written as an expression in square brackets,
as a function of one, or as a parameter (`#3`); `#3 = 15` sets a parameter, which takes effect when
the line is over. Few programs use them, so only lines that do come here.
"""

import math
import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from fabsched.files.mesh_text import shown
from fabsched.files.motion_text import STANDARD_M
from fabsched.model.errors import Fault, InputError

MARKS = (b"[", b"#")
"""No line without one of these holds anything but plain numbers."""
KIND = "RS274"
"""What such programs are called in messages."""
COMMENT = re.compile(r"\([^()]*\)|;.*")
FIRST_M = re.compile(r"/?(?:N\d+)?M(\d{1,9})")
"""A line that begins with a code for which the standard has no meaning has a grammar of its own."""
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)")
FUNCTION = re.compile(r"ABS|ACOS|ASIN|COS|EXP|FIX|FUP|LN|ROUND|SIN|SQRT|TAN")
HIGHEST = 5399
"""Number of the last parameter."""
DEEPEST = 50
"""Numbers within numbers beyond this are refused (our own bound)."""

FUNCTIONS: Mapping[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda x: math.degrees(math.acos(x)),
    "ASIN": lambda x: math.degrees(math.asin(x)),
    "COS": lambda x: math.cos(math.radians(x)),
    "EXP": math.exp,
    "FIX": math.floor,
    "FUP": math.ceil,
    "LN": math.log,
    "ROUND": lambda x: math.floor(x + 0.5),
    "SIN": lambda x: math.sin(math.radians(x)),
    "SQRT": math.sqrt,
    "TAN": lambda x: math.tan(math.radians(x)),
}
"""Functions of one number; angles in degrees."""
LEVELS: tuple[Mapping[str, Callable[[float, float], float]], ...] = (
    {
        "AND": lambda a, b: float(bool(a) and bool(b)),
        "XOR": lambda a, b: float(bool(a) != bool(b)),
        "OR": lambda a, b: float(bool(a) or bool(b)),
        "+": operator.add,
        "-": operator.sub,
    },
    {"*": operator.mul, "/": operator.truediv, "MOD": operator.mod},
    {"**": math.pow},
)
"""Operations, the loosest first; those of one level are carried out from the left."""


@dataclass(slots=True)
class Parameters:
    """Parameters set so far.

    Attributes:
        where: the file.
        values: by number.
    """

    where: str
    values: dict[int, float] = field(default_factory=dict)

    def plain(self, line: bytes, number: int) -> bytes:
        """A line with all its expressions and parameters worked out.

        Args:
            line: the line without its end.
            number: counted from 1.

        Raises:
            InputError: the line cannot be read, or uses a parameter that is not set.

        >>> Parameters("x").plain(b"G1 X[2.0/3*1.5-5.5/11.0]", 1)
        b'G1X0.5'
        """
        plain = re.sub(r"[ \t]", "", COMMENT.sub("", line.decode("latin-1"))).upper()
        code = FIRST_M.match(plain)
        if code and int(code.group(1)) not in STANDARD_M:
            return plain.encode("latin-1")
        reader = _Reader(plain, self.values)
        try:
            rest = reader.line()
        except KeyError as error:
            what = f"#{error.args[0]}"
            raise InputError(Fault.WORD_MISSING, self.where, line=number, what=what) from error
        except (ArithmeticError, ValueError) as error:
            text = shown(line.strip())
            raise InputError(
                Fault.LINE_MALFORMED, self.where, line=number, text=text, kind=KIND
            ) from error
        self.values |= reader.set
        return rest.encode("latin-1")


def without_expressions(data: bytes, where: str) -> bytes:
    """A program in which every number is plain; line for line the same.

    Raises:
        InputError: an expression cannot be worked out.
    """
    if not any(mark in data for mark in MARKS):
        return data
    parameters = Parameters(where)
    lines = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    for i, line in enumerate(lines):
        if any(mark in line for mark in MARKS):
            lines[i] = parameters.plain(line, i + 1)
    return b"\n".join(lines)


@dataclass(slots=True)
class _Reader:
    """Reads one line from the left.

    Attributes:
        text: the line, in capitals and without blanks and comments.
        values: parameters as they were before the line.
        set: those the line sets.
        at: how far it has come.
        depth: numbers that are being read inside each other.
    """

    text: str
    values: Mapping[int, float]
    set: dict[int, float] = field(default_factory=dict)
    at: int = 0
    depth: int = 0

    def line(self) -> str:
        """The words of the line with plain numbers; settings of parameters are left out."""
        words: list[str] = []
        while self.at < len(self.text):
            if self._skip("#"):
                index = self._index()
                self._demand("=")
                self.set[index] = self._value()
            else:
                letter = self.text[self.at]
                self.at += 1
                words.append(letter + (_plain(self._value()) if letter not in "/%" else ""))
        return "".join(words)

    def _skip(self, sign: str) -> bool:
        """Go past a sign if it comes next."""
        found = self.text.startswith(sign, self.at)
        self.at += len(sign) * found
        return found

    def _demand(self, sign: str) -> None:
        if not self._skip(sign):
            raise ValueError(self.text)

    def _match(self, pattern: re.Pattern[str]) -> str:
        """Go past what matches a pattern; empty if nothing does."""
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return found.group() if found else ""

    def _index(self) -> int:
        index = self._value()
        if index != round(index) or not 1 <= index <= HIGHEST:
            raise ValueError(index)
        return int(index)

    def _value(self) -> float:
        """A number, however it is written."""
        self.depth += 1
        if self.depth > DEEPEST:
            raise ValueError(self.text)
        value = self._number()
        self.depth -= 1
        return value

    def _number(self) -> float:
        if self._skip("["):
            return self._expression()
        if self._skip("#"):
            return self.values[self._index()]
        if self._skip("ATAN["):
            over = self._expression()
            self._demand("/[")
            return math.degrees(math.atan2(over, self._expression())) % 360.0
        if name := self._match(FUNCTION):
            self._demand("[")
            return FUNCTIONS[name](self._expression())
        return float(self._match(NUMBER))

    def _expression(self) -> float:
        """What stands between a bracket that is open and its partner."""
        value = self._level(0)
        self._demand("]")
        return value

    def _level(self, level: int) -> float:
        """Operations of one level and all closer ones."""
        if level == len(LEVELS):
            return self._value()
        value = self._level(level + 1)
        while (sign := self._sign(level)) is not None:
            value = LEVELS[level][sign](value, self._level(level + 1))
        return _real(value)

    def _sign(self, level: int) -> str | None:
        """Go past an operation of a level if one comes next; `*` is none where `**` stands."""
        if level == 1 and self.text.startswith("**", self.at):
            return None
        return next((sign for sign in LEVELS[level] if self._skip(sign)), None)


def _real(value: float) -> float:
    """Refuse what is beyond all bounds."""
    if not math.isfinite(value):
        raise ValueError(value)
    return float(value)


def _plain(value: float) -> str:
    """A number as digits with a point."""
    return np.format_float_positional(_real(value), trim="-")
