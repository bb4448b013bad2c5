"""Writing `shop.toml`: only what differs is changed, all else stays as people wrote it."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, replace
from dataclasses import fields as fields_of
from functools import partial
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from fabsched.files.shop_toml import KINDS, SHOP_FILE, parse_shop
from fabsched.files.toml_chunks import Chunk, body_and_rest, dropped, join, split, with_new
from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import (
    Build,
    Calendar,
    Laser,
    Motion,
    Person,
    Place,
    Printer,
    Sheet,
    Shop,
    Spool,
    Travel,
)

Record = Place | Travel | Person | Printer | Laser | Spool | Sheet
"""What one table of a shop file stands for."""

LISTS: Mapping[str, str] = {
    "place": "places",
    "travel": "travels",
    "person": "people",
    "printer": "printers",
    "laser": "lasers",
    "spool": "spools",
    "sheet": "sheets",
}
"""Where a shop keeps the records of each kind of table."""

INNER = ("motion", "build")
"""Fields of a printer that are tables of their own."""

ODD = (TOMLKitError, ValueError, TypeError, AttributeError, LookupError)
"""What comes up where a file is laid out so that a change cannot be put in."""


def records_of(shop: Shop, kind: str) -> tuple[Record, ...]:
    """The records of one kind of table.

    Args:
        shop: whose.
        kind: name of the table.
    """
    records: tuple[Record, ...] = getattr(shop, LISTS[kind])
    return records


def with_records(shop: Shop, kind: str, records: Sequence[Record]) -> Shop:
    """The shop with other records of one kind."""
    lists: dict[str, Any] = {LISTS[kind]: tuple(records)}
    return replace(shop, **lists)


def keys_of(records: Sequence[Record]) -> list[str]:
    """What tells each record from the others of its kind; a way goes by its two places.

    >>> keys_of([Travel(between=("b", "a"), minutes=1), Travel(between=("a", "b"), minutes=2)])
    ['a - b', 'a - b - 2']
    """
    seen: Counter[str] = Counter()
    keys: list[str] = []
    for record in records:
        name = " - ".join(sorted(record.between)) if isinstance(record, Travel) else record.id
        seen[name] += 1
        keys.append(name if seen[name] == 1 else f"{name} - {seen[name]}")
    return keys


def shop_text(shop: Shop, before: str, folder: Path | None = None) -> str:
    """The text of a shop file after a change.

    Args:
        shop: what it shall say. Materials are taken from the file: they have to be as they were.
        before: what it says now; must be sound.
        folder: where files it names are.

    Returns:
        `before` with as little changed as possible.

    Raises:
        InputError: the shop breaks a rule of the file, or the file is laid out so oddly that the
            change cannot be put in.
    """
    old = parse_shop(before, folder)
    if shop == old:
        return before
    try:
        edited = _edited(before, old, shop)
        now = parse_shop(edited, folder)
    except ODD as error:
        raise _unwritable() from error
    if _without_content(now) != _without_content(shop):
        raise _unwritable()
    return edited


def _unwritable() -> InputError:
    why = "it is laid out in a way that no change can be put into by itself"
    return InputError(Fault.FILE_UNWRITABLE, SHOP_FILE, why=why)


def _without_content(shop: Shop) -> Shop:
    """The shop without what stands in the calendars it names: that is for the file to say."""
    for kind in ("place", "person", "printer", "laser"):
        shop = with_records(shop, kind, [_named_only(record) for record in records_of(shop, kind)])
    return shop


def _named_only(record: Record) -> Record:
    busy = getattr(record, "busy", None)
    changes: dict[str, Any] = {"busy": Calendar(file=busy.file) if busy else None}
    return replace(record, **changes)


def _edited(before: str, old: Shop, new: Shop) -> str:
    chunks = split(before)
    chunks[0] = Chunk("", _edited_head(chunks[0].text, old, new))
    for kind in KINDS:
        chunks = _edited_kind(chunks, kind, records_of(old, kind), records_of(new, kind))
    return join(chunks)


def _edited_head(text: str, old: Shop, new: Shop) -> str:
    if old.currency == new.currency:
        return text
    body, rest = body_and_rest(text)
    document = tomlkit.parse(body)
    document["currency"] = new.currency
    return tomlkit.dumps(document) + rest


def _edited_kind(
    chunks: list[Chunk], kind: str, old: Sequence[Record], new: Sequence[Record]
) -> list[Chunk]:
    """The pieces of a document with those of one kind as they shall be.

    Raises:
        ValueError: the tables are not written one by one.
    """
    if tuple(old) == tuple(new):
        return chunks
    places = [index for index, chunk in enumerate(chunks) if chunk.kind == kind]
    known = {
        key: (chunks[place], record)
        for key, place, record in zip(keys_of(old), places, old, strict=True)
    }
    wanted = dict(zip(keys_of(new), new, strict=True))
    for key, place in reversed(list(zip(known, places, strict=True))):
        if key not in wanted:
            chunks = dropped(chunks, place)
    kept = [(key, record) for key, record in wanted.items() if key in known]
    slots = iter([_edited_table(*known[key], record) for key, record in kept])
    filled = [next(slots) if chunk.kind == kind else chunk for chunk in chunks]
    tables = {key: partial(_new_table, kind, record) for key, record in wanted.items()}
    return with_new(filled, kind, [key for key, _ in kept], tables, list(KINDS))


def _edited_table(chunk: Chunk, old: Record, new: Record) -> Chunk:
    if old == new:
        return chunk
    body, rest = body_and_rest(chunk.text)
    document = tomlkit.parse(body)
    tables: Any = document[chunk.kind]
    _set_differing(tables[0], chunk.kind, old, new)
    return Chunk(chunk.kind, tomlkit.dumps(document) + rest)


def _set_differing(table: Any, kind: str, old: Record, new: Record) -> None:
    """Set the fields that differ; one without a value is taken out."""
    for name in KINDS[kind][1]:
        was, shall = getattr(old, name), getattr(new, name)
        if was == shall:
            continue
        if name in INNER:
            _set_inner(table, name, was, shall)
        elif (value := _plain(shall)) is not None:
            table[name] = value
        elif name in table:
            table.remove(name)


def _set_inner(table: Any, name: str, old: Motion | Build, new: Motion | Build) -> None:
    if name not in table:
        table[name] = tomlkit.inline_table()
    for field, value in _differing(old, new):
        table[name][field] = value


def _differing(old: Motion | Build, new: Motion | Build) -> Iterator[tuple[str, Any]]:
    for field in fields_of(new):
        if getattr(old, field.name) != getattr(new, field.name):
            yield field.name, _plain(getattr(new, field.name))


def _new_table(kind: str, record: Record) -> str:
    lines = [
        f"{name} = {tomlkit.item(value).as_string()}\n"
        for name in KINDS[kind][1]
        if name not in INNER
        and (name == "name" or not _is_usual(record, name))
        and (value := _plain(getattr(record, name))) is not None
    ]
    inner = _new_inner(record) if isinstance(record, Printer) else ""
    return f"[[{kind}]]\n{''.join(lines)}{inner}"


def _new_inner(printer: Printer) -> str:
    """What a new printer says about moving and building, where that is not the usual."""
    parts: list[str] = []
    for name, usual, own in (
        ("motion", Motion(), printer.motion),
        ("build", Build(), printer.build),
    ):
        lines = [f"{field} = {value}\n" for field, value in _differing(usual, own)]
        parts += [f"\n[printer.{name}]\n", *lines] if lines else []
    return "".join(parts)


def _is_usual(record: Record, name: str) -> bool:
    field = next(field for field in fields_of(record) if field.name == name)
    return field.default is not MISSING and getattr(record, name) == field.default


def _plain(value: object) -> Any:
    """A field's value as TOML has it; None where it is left out."""
    match value:
        case None | Calendar(file=""):
            return None
        case Calendar():
            return value.file
        case tuple():
            return [_plain(entry) for entry in value] or None
        case float():
            return int(value) if value == int(value) else value
        case _:
            return value
