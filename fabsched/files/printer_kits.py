"""Figures of generic printers, which a shop file may name instead of giving its own."""

from collections.abc import Mapping
from functools import cache

from fabsched.files.resources import resource
from fabsched.files.toml_read import shown
from fabsched.files.toml_source import parse_toml, read_text
from fabsched.model.errors import Fault, InputError

KITS_FILE = "shop/printers.toml"
"""The shipped figures of generic printers, by size."""

Raw = Mapping[str, object]
"""A table as tomllib gives it."""


def with_kit(table: Raw, where: str) -> Raw:
    """A printer's table over the figures of the kit it names.

    Raises:
        InputError: there is no such kit.
    """
    if "kit" not in table:
        return table
    kit = table["kit"]
    if not isinstance(kit, str) or kit not in _kits():
        known = ", ".join(_kits())
        raise InputError(Fault.NAME_UNKNOWN, f"{where}: kit", name=shown(kit), known=known)
    below = _kits()[kit]
    own = {name: value for name, value in table.items() if name != "kit"}
    inner = {
        name: {**_as_table(below.get(name)), **_as_table(own.get(name))}
        for name in ("motion", "build")
        if isinstance(own.get(name, {}), dict)
    }
    return {**below, **own, **inner}


def _as_table(value: object) -> dict[str, object]:
    return value if isinstance(value, dict) else {}


@cache
def _kits() -> Mapping[str, dict[str, object]]:
    document = parse_toml(read_text(resource(KITS_FILE), KITS_FILE), KITS_FILE)
    return {name: _as_table(table) for name, table in document.items()}
