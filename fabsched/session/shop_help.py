"""What each field of a shop file means, as its schema says it, and its usual value."""

import json
from collections.abc import Mapping
from dataclasses import MISSING
from dataclasses import fields as fields_of
from functools import cache
from typing import Any

from fabsched.files.resources import resource
from fabsched.files.shop_toml import KINDS
from fabsched.model.shop import Build, Motion

INNER: Mapping[str, type[Any]] = {"motion": Motion, "build": Build}
"""Tables inside a printer's."""


@cache
def _tables() -> Mapping[str, Any]:
    text = resource("schemas/shop.schema.json").read_text("utf-8")
    tables: dict[str, Any] = json.loads(text)["$defs"]
    printer = tables["printer"]["properties"]
    return {**tables, **{name: printer[name] for name in INNER}}


def meaning(table: str, field: str) -> str:
    """What a field means, in a sentence.

    Args:
        table: its table; `motion` and `build` are those inside a printer.
        field: its name.

    >>> meaning("travel", "minutes")
    'Door to door.'
    """
    return str(_tables()[table]["properties"][field]["description"])


def usual(table: str, field: str) -> object:
    """What counts where a field is left out; None where it has to be given."""
    record = INNER.get(table) or KINDS[table][0]
    default = next(f.default for f in fields_of(record) if f.name == field)
    return None if default is MISSING else default
