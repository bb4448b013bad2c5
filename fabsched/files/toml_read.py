"""TOML tables into records: every field checked, every fault said with its place.

A record's fields are described by rules. A rule turns a TOML value into a field's value, and knows
how to write one by way of example.
"""

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from fabsched.model.errors import Fault, InputError
from fabsched.model.spread import Spread

IDENT = re.compile(r"[^\W_][\w-]*")
"""Letters and digits of any script, underscores and hyphens; starts with a letter or digit."""

YEARS = (2000, 2199)
"""Moments lie within these years; any other is a slip of the pen."""

SHOWN = 60
"""Characters of a value shown in a message."""


class Rule(Protocol):
    """How one field is read."""

    @property
    def example(self) -> str:
        """A value as one would write it in TOML."""

    def read(self, value: object, where: str) -> object:
        """The field's value.

        Args:
            value: as tomllib gives it.
            where: the field, for errors.

        Raises:
            InputError: the value cannot be used.
        """


@dataclass(frozen=True, slots=True)
class Text:
    """Any text that is not blank."""

    example: str

    def read(self, value: object, where: str) -> str:
        """The text without blanks around it."""
        if not isinstance(value, str) or not value.strip():
            raise malformed(value, where, self.example)
        return value.strip()


@dataclass(frozen=True, slots=True)
class AnyText:
    """Text that may be empty."""

    example: str

    def read(self, value: object, where: str) -> str:
        """The text without blanks around it."""
        if not isinstance(value, str):
            raise malformed(value, where, self.example)
        return value.strip()


@dataclass(frozen=True, slots=True)
class Ident:
    """A name used in files."""

    example: str
    empty: bool = False

    def read(self, value: object, where: str) -> str:
        """The name itself."""
        if not isinstance(value, str):
            raise malformed(value, where, self.example)
        if not IDENT.fullmatch(value) and not (self.empty and not value):
            raise malformed(value, where, self.example)
        return value


@dataclass(frozen=True, slots=True)
class Idents:
    """A list of names."""

    example: str

    def read(self, value: object, where: str) -> tuple[str, ...]:
        """The names, each once, in their order."""
        if not isinstance(value, list):
            raise malformed(value, where, self.example)
        return tuple(dict.fromkeys(Ident(self.example).read(name, where) for name in value))


@dataclass(frozen=True, slots=True)
class Texts:
    """A list of texts."""

    example: str

    def read(self, value: object, where: str) -> tuple[str, ...]:
        """The texts, each once, in their order."""
        if not isinstance(value, list):
            raise malformed(value, where, self.example)
        return tuple(dict.fromkeys(Text(self.example).read(text, where) for text in value))


@dataclass(frozen=True, slots=True)
class Flag:
    """True or false."""

    example: str = "true"

    def read(self, value: object, where: str) -> bool:
        """The flag."""
        if not isinstance(value, bool):
            raise malformed(value, where, self.example)
        return value


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number between two limits."""

    example: str
    low: int
    high: int

    def read(self, value: object, where: str) -> int:
        """The number."""
        if not isinstance(value, int) or isinstance(value, bool):
            raise malformed(value, where, self.example)
        return int(_in_range(value, self.low, self.high, where))


@dataclass(frozen=True, slots=True)
class Number:
    """A number between two limits, both allowed."""

    example: str
    low: float
    high: float

    def read(self, value: object, where: str) -> float:
        """The number."""
        return _in_range(_number(value, where, self.example), self.low, self.high, where)


@dataclass(frozen=True, slots=True)
class Sizes:
    """A fixed count of lengths above zero."""

    example: str
    count: int
    low: float = 0.1
    high: float = 10_000.0

    def read(self, value: object, where: str) -> tuple[float, ...]:
        """The lengths in mm."""
        if not isinstance(value, list) or len(value) != self.count:
            raise malformed(value, where, self.example)
        numbers = [_number(entry, where, self.example) for entry in value]
        return tuple(_in_range(number, self.low, self.high, where) for number in numbers)


@dataclass(frozen=True, slots=True)
class Numbers:
    """A list of numbers between two limits, at least one."""

    example: str
    low: float
    high: float

    def read(self, value: object, where: str) -> tuple[float, ...]:
        """The numbers."""
        if not isinstance(value, list) or not value:
            raise malformed(value, where, self.example)
        numbers = [_number(entry, where, self.example) for entry in value]
        return tuple(_in_range(number, self.low, self.high, where) for number in numbers)


@dataclass(frozen=True, slots=True)
class Angles:
    """Degrees about x, y and z."""

    example: str = "[90, 0, 0]"

    def read(self, value: object, where: str) -> tuple[float, ...]:
        """The three angles, each within a full turn either way."""
        if not isinstance(value, list) or len(value) != 3:
            raise malformed(value, where, self.example)
        degrees = [_number(entry, where, self.example) for entry in value]
        return tuple(_in_range(angle, -360.0, 360.0, where) for angle in degrees)


@dataclass(frozen=True, slots=True)
class Three:
    """A low, likely and high figure, ascending; one number alone stands for all three."""

    example: str
    low: float
    high: float

    def read(self, value: object, where: str) -> Spread:
        """The three figures."""
        entries = value if isinstance(value, list) else [value, value, value]
        if len(entries) != 3:
            raise malformed(value, where, self.example)
        figures = [_number(entry, where, self.example) for entry in entries]
        low, likely, high = (_in_range(f, self.low, self.high, where) for f in figures)
        if not low <= likely <= high:
            raise malformed(value, where, self.example)
        return Spread(low, likely, high)


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of a few words."""

    words: type[StrEnum]

    @property
    def example(self) -> str:
        """The first of the words."""
        return f'"{next(iter(self.words))}"'

    def read(self, value: object, where: str) -> StrEnum:
        """The word."""
        if isinstance(value, str) and value in set(self.words):
            return self.words(value)
        known = ", ".join(self.words)
        raise InputError(Fault.NAME_UNKNOWN, where, name=shown(value), known=known)


@dataclass(frozen=True, slots=True)
class Moment:
    """A date with a clock time; without an offset it is meant in the project's zone."""

    zone: ZoneInfo
    example: str = "2026-10-25T20:00:00"

    def read(self, value: object, where: str) -> datetime:
        """The moment in the zone, whole seconds; a time the clocks skip is moved on by the gap."""
        if not isinstance(value, datetime):
            raise malformed(value, where, self.example)
        _in_range(value.year, *YEARS, where)
        return settled(value, self.zone)


@dataclass(frozen=True, slots=True)
class Day:
    """A date without a clock time."""

    example: str = "2026-10-25"

    def read(self, value: object, where: str) -> date:
        """The day."""
        if not isinstance(value, date) or isinstance(value, datetime):
            raise malformed(value, where, self.example)
        _in_range(value.year, *YEARS, where)
        return value


@dataclass(frozen=True, slots=True)
class Zone:
    """A time zone of the IANA database."""

    example: str = '"Europe/Berlin"'

    def read(self, value: object, where: str) -> ZoneInfo:
        """The zone."""
        text = Text(self.example).read(value, where)
        try:
            return ZoneInfo(text)
        except (KeyError, OSError, ValueError) as error:
            raise InputError(Fault.ZONE_UNKNOWN, where, zone=shown(text)) from error


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a table.

    Attributes:
        rule: how it is read.
        required: whether it may be left out.
    """

    rule: Rule
    required: bool = False


Fields = Mapping[str, Field]
"""The fields of a table by name."""


def read_fields(table: Mapping[str, object], fields: Fields, where: str) -> dict[str, Any]:
    """The values of a table's fields; those left out are left out here.

    Args:
        table: as tomllib gives it.
        fields: what may be in it.
        where: the table, for errors.

    Raises:
        InputError: a field is unknown, missing or cannot be used.
    """
    check_known(table, fields, where)
    for name, field in fields.items():
        if field.required and name not in table:
            example = f"{name} = {field.rule.example}"
            raise InputError(Fault.FIELD_MISSING, f"{where}: {name}", example=example)
    return {name: fields[name].rule.read(table[name], f"{where}: {name}") for name in table}


def check_known(table: Mapping[str, object], known: Mapping[str, object], where: str) -> None:
    """Refuse fields nobody knows, with the nearest name.

    Raises:
        InputError: `FIELD_UNKNOWN`.
    """
    for name in table:
        if name not in known:
            nearest = difflib.get_close_matches(name, known, n=1, cutoff=0.0)
            raise InputError(Fault.FIELD_UNKNOWN, f"{where}: {shown(name)}", nearest=nearest[0])


def tables(value: object, where: str, example: str) -> list[dict[str, object]]:
    """An array of tables.

    Raises:
        InputError: it is something else.
    """
    if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
        raise malformed(value, where, example)
    return value


def malformed(value: object, where: str, example: str) -> InputError:
    """The error for a value that cannot be read."""
    return InputError(Fault.FIELD_MALFORMED, where, value=shown(value), example=example)


def shown(value: object) -> str:
    """A value short enough for one line."""
    text = str(value).lower() if isinstance(value, bool) else str(value)
    text = " ".join(text.split())
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 1]}…"


def settled(moment: datetime, zone: ZoneInfo) -> datetime:
    """A moment in a zone, as the only one of its writings that counts: by way of UTC."""
    aware = moment if moment.tzinfo else moment.replace(tzinfo=zone)
    return datetime.fromtimestamp(int(aware.timestamp()), tz=zone)


def _number(value: object, where: str, example: str) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise malformed(value, where, example)
    return float(value)


def _in_range(value: float, low: float, high: float, where: str) -> float:
    if not low <= value <= high:
        raise InputError(Fault.FIELD_OUT_OF_RANGE, where, value=value, low=low, high=high)
    return value
