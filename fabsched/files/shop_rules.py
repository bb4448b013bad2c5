"""How the fields are read that only a shop file has."""

from dataclasses import dataclass

from fabsched.files.opening_hours import check_hours
from fabsched.files.toml_read import Fields, Ident, Text, malformed, read_fields
from fabsched.model.shop import NEARBY, Build, Calendar, Motion, Unattended


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours in the `opening_hours` grammar."""

    example: str = '"Sa-Su 10:00-18:00"'

    def read(self, value: object, where: str) -> str:
        """The hours as written."""
        text = Text(self.example).read(value, where)
        check_hours(text, where)
        return text


@dataclass(frozen=True, slots=True)
class Busy:
    """The path of a calendar file."""

    example: str = '"calendar.ics"'

    def read(self, value: object, where: str) -> Calendar:
        """The calendar, not looked into."""
        return Calendar(file=Text(self.example).read(value, where))


@dataclass(frozen=True, slots=True)
class Alone:
    """Whether a machine may run with nobody beside it: true, false, or a word between them."""

    example: str = '"nearby"'

    def read(self, value: object, where: str) -> Unattended:
        """Always, never, or only while somebody is near."""
        if isinstance(value, bool):
            return value
        if value != NEARBY:
            raise malformed(value, where, f"true, false, {self.example}")
        return NEARBY


@dataclass(frozen=True, slots=True)
class Between:
    """Two different places."""

    example: str = '["home", "workshop"]'

    def read(self, value: object, where: str) -> tuple[str, str]:
        """Their ids."""
        if not isinstance(value, list) or len(value) != 2 or value[0] == value[1]:
            raise malformed(value, where, self.example)
        first, second = (Ident(self.example).read(name, where) for name in value)
        return first, second


@dataclass(frozen=True, slots=True)
class Inner:
    """A table inside a table, all fields of which may be left out."""

    record: type[Motion | Build]
    fields: Fields
    example: str

    def read(self, value: object, where: str) -> Motion | Build:
        """The record."""
        if not isinstance(value, dict):
            raise malformed(value, where, self.example)
        return self.record(**read_fields(value, self.fields, where))
