"""What was learnt as text, one JSON object each."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, fields
from typing import Any

from fabsched.model.estimates import Moves, Route
from fabsched.model.experience import (
    ChanceTold,
    LateSeen,
    LookSeen,
    RunSeen,
    Seen,
    TimeTold,
    WorkSeen,
)
from fabsched.model.spread import Spread

SORTS: Mapping[type[Seen], str] = {
    RunSeen: "run",
    WorkSeen: "work",
    LookSeen: "look",
    LateSeen: "late",
    TimeTold: "time",
    ChanceTold: "chance",
}
"""What each kind of entry is called on disk."""


def body_of(seen: Seen) -> str:
    """An entry as text."""
    return json.dumps(asdict(seen), separators=(",", ":"), allow_nan=False)


def seen_of(sort: str, body: str) -> Seen:
    """The entry of a text; fields it has beyond ours, from a later program, tell us nothing.

    Raises:
        ValueError, TypeError, KeyError, AttributeError: the text is not what `body_of` made.
    """
    sorts = {name: record for record, name in SORTS.items()}
    ours = {field.name for field in fields(sorts[sort])}
    entry = {name: value for name, value in json.loads(body).items() if name in ours}
    return _READ[sort](entry)


def _run(entry: dict[str, Any]) -> RunSeen:
    moves = entry.get("moves")
    return RunSeen(
        **{
            **entry,
            "route": Route(entry["route"]),
            "moves": moves and moves_of_entry(moves),
        }
    )


def moves_of_entry(entry: Mapping[str, Any]) -> Moves:
    """The record of what `asdict` made of it.

    Raises:
        KeyError, TypeError: it is not that.
    """
    rows = tuple(tuple(row) for row in entry["moving_s"])
    return Moves(fixed_s=entry["fixed_s"], moving_s=rows)


def _work(entry: dict[str, Any]) -> WorkSeen:
    return WorkSeen(**{**entry, "expected": Spread(**entry["expected"])})


def _look(entry: dict[str, Any]) -> LookSeen:
    return LookSeen(**entry)


def _late(entry: dict[str, Any]) -> LateSeen:
    return LateSeen(**{**entry, "expected": Spread(**entry["expected"])})


def _time(entry: dict[str, Any]) -> TimeTold:
    return TimeTold(**{**entry, "told": Spread(**entry["told"])})


def _chance(entry: dict[str, Any]) -> ChanceTold:
    return ChanceTold(**entry)


_READ: Mapping[str, Callable[[dict[str, Any]], Seen]] = {
    "run": _run,
    "work": _work,
    "look": _look,
    "late": _late,
    "time": _time,
    "chance": _chance,
}
