"""`[[fork]]` of `project.toml`: things that can be made in several ways."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fabsched.files.names import readable
from fabsched.files.toml_read import (
    Field,
    Fields,
    Ident,
    Idents,
    Text,
    malformed,
    read_fields,
    shown,
)
from fabsched.model.project import Fork, Way

WAYS_EXAMPLE = '[{ id = "whole", items = ["base"] }, { id = "plate", items = ["plate", "hooks"] }]'


@dataclass(frozen=True, slots=True)
class SomeIdents:
    """A list of names that is not empty."""

    example: str

    def read(self, value: object, where: str) -> tuple[str, ...]:
        """The names, each once, in their order."""
        names = Idents(self.example).read(value, where)
        if not names:
            raise malformed(value, where, self.example)
        return names


WAY: Fields = {
    "id": Field(Ident('"plate"'), required=True),
    "name": Field(Text('"Plate with pieces"')),
    "items": Field(SomeIdents('["plate", "hooks"]'), required=True),
}
"""The fields of `[[fork.way]]`."""


@dataclass(frozen=True, slots=True)
class Ways:
    """Two ways or more, as tables of their own or inline."""

    example: str = WAYS_EXAMPLE

    def read(self, value: object, where: str) -> tuple[Way, ...]:
        """The ways in their order."""
        tables = value if isinstance(value, list) else []
        if len(tables) < 2 or not all(isinstance(table, dict) for table in tables):
            raise malformed(value, where, self.example)
        return tuple(_way(table, where, number) for number, table in enumerate(tables, start=1))


FORK: Fields = {
    "id": Field(Ident('"base"'), required=True),
    "name": Field(Text('"Base"')),
    "chosen": Field(Ident('"plate"', empty=True)),
    "way": Field(Ways(), required=True),
}
"""The fields of `[[fork]]`."""


def read_fork(table: Mapping[str, object], where: str) -> Fork:
    """One fork.

    Raises:
        InputError: the table is at fault.
    """
    values = read_fields(table, FORK, where)
    ways = values.pop("way")
    return Fork(**{"name": readable(values["id"]), **values}, ways=ways)


def way_values(way: Way) -> dict[str, object]:
    """A way's fields in the order people read them."""
    return {name: getattr(way, name) for name in WAY}


def _way(table: Mapping[str, Any], where: str, number: int) -> Way:
    ident = table.get("id")
    name = f"'{shown(ident)}'" if isinstance(ident, str) else f"no. {number}"
    values = read_fields(table, WAY, f"{where} {name}")
    return Way(**{"name": readable(values["id"]), **values})
