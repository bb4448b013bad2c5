"""Writing `project.toml`: only what differs is changed, all else stays as people wrote it."""

from collections.abc import Mapping, Sequence
from dataclasses import fields as fields_of
from dataclasses import replace
from datetime import datetime
from functools import lru_cache, partial
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Table
from tomlkit.items import Item as Entry

from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.fits_toml import CHANNEL, COMPONENT, fit_values
from fabsched.files.forks_toml import FORK, way_values
from fabsched.files.names import readable
from fabsched.files.project_toml import (
    KINDS,
    PROJECT_FILE,
    bare_part,
    gate_fields,
    parse_project,
    pin_fields,
    top_fields,
)
from fabsched.files.project_toml import PART as PART_FIELDS
from fabsched.files.toml_chunks import Chunk, body_and_rest, dropped, join, spaced, split, with_new
from fabsched.files.toml_read import settled
from fabsched.files.toml_source import parse_toml
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Channel, Component, Fit, Fork, Part, Pin, Project, Way, Work
from fabsched.model.spread import Spread

Item = Part | Work | Fork | Component | Channel | Pin
"""A part, a work, a gate, a fork, a component, a channel or a pin."""

Inner = Way | Fit
"""What stands inside the table of an item, as a table of its own."""

ALWAYS = frozenset(
    {"id", "at", "name", "file", "copies", "material", "minutes", "chance", "redo"}
) | {
    "cables_mm",
    "width_mm",
}
"""Fields written into a new table even where leaving them out would mean the same."""

HEAD = """\
# What is to be made, and by when. Everything here can be edited by hand; comments stay.
# Times are clock times in the zone below.

"""

TAIL = """\
# start = 2026-10-23T18:00:00    # when the weekend begins; without it, planning starts now

# Work for the hands looks like this (minutes: low, likely, high):
# [[work]]
# id = "wiring"
# minutes = [30, 45, 90]
# after = ["lid"]

"""


def new_project_text(project: Project) -> str:
    """The text of a new `project.toml`."""
    values = _top_values(project)
    optional = {"start": None, "wanted_odds": Project.__dataclass_fields__["wanted_odds"].default}
    lines = [
        f"{name} = {_written(value)}\n"
        for name, value in values.items()
        if name not in optional or value != optional[name]
    ]
    chunks = [Chunk("", f"{HEAD}{''.join(lines)}{TAIL}")]
    for kind in KINDS:
        for item in _of_kind(project, kind):
            chunks.append(spaced(chunks, Chunk(kind, _new_table(item, kind))))
    return join(chunks)


def project_text(project: Project, before: str, folder_name: str) -> str:
    """The text of a `project.toml` after a change.

    Args:
        project: what it shall say.
        before: what it says now; must be sound.
        folder_name: the project's name where the text gives none.

    Returns:
        `before` with as little changed as possible. In a file laid out so oddly that this fails,
        comments are lost.

    Raises:
        InputError: the project breaks a rule of the file, so that it could not be read again.
    """
    fresh = new_project_text(project)
    wanted = parse_project(fresh, folder_name)
    try:
        edited = _edited(project, before, folder_name)
        return edited if parse_project(edited, folder_name) == wanted else fresh
    except (TOMLKitError, InputError):
        return fresh


def save_project_text(folder: Path, text: str) -> None:
    """Put a `project.toml` in place, whole or not at all; the folder is made if it is missing.

    Raises:
        InputError: it cannot be written.
    """
    with told(str(folder), Fault.FILE_UNWRITABLE):
        folder.mkdir(parents=True, exist_ok=True)
    write_bytes_atomic(folder / PROJECT_FILE, text.encode())


def write_project(folder: Path, project: Project) -> None:
    """Write a project into its folder, keeping what people wrote into the file.

    Raises:
        InputError: the file is at fault, the project unsound or the folder cannot be written.
    """
    if (path := folder / PROJECT_FILE).exists():
        before = path.read_bytes().decode("utf-8-sig")
        text = project_text(project, before, folder.resolve().name)
    else:
        text = new_project_text(project)
    save_project_text(folder, text)


def _edited(project: Project, before: str, folder_name: str) -> str:
    old = parse_project(before, folder_name)
    chunks = split(before)
    chunks[0] = Chunk("", _edited_head(chunks[0].text, old, project))
    for kind in KINDS:
        chunks = _edited_kind(chunks, kind, _of_kind(old, kind), _of_kind(project, kind))
    return join(chunks)


def _edited_head(text: str, old: Project, new: Project) -> str:
    was, shall = _top_values(old), _top_values(new)
    body, rest = body_and_rest(text)
    document = tomlkit.parse(body)
    for kind in KINDS:
        if kind in document:
            document.remove(kind)
    _set_differing(document, was, shall)
    return tomlkit.dumps(document) + rest


def _edited_kind(
    chunks: list[Chunk], kind: str, old: Sequence[Item], new: Sequence[Item]
) -> list[Chunk]:
    """The pieces of a document with those of one kind as they shall be."""
    was = {item.id: item for item in old}
    shall = [item.id for item in new]
    for index in reversed(range(len(chunks))):
        if index == len(chunks):  # blank lines that went with what stood behind them
            continue
        if chunks[index].kind == kind and _ident(chunks[index]) not in shall:
            chunks = dropped(chunks, index)
    texts = {_ident(chunk): chunk for chunk in chunks if chunk.kind == kind}
    kept = [item for item in new if item.id in texts]
    slots = iter([_edited_table(texts[item.id], was[item.id], item) for item in kept])
    filled = [next(slots) if chunk.kind == kind else chunk for chunk in chunks]
    tables = {item.id: partial(_new_table, item, kind) for item in new}
    return with_new(filled, kind, [item.id for item in kept], tables, KINDS)


@lru_cache(maxsize=4096)
def _ident(chunk: Chunk) -> str:
    """The id of a table; remembered, since most tables stay as they are from change to change."""
    return str(_table(chunk)["id"])


def _table(chunk: Chunk) -> Mapping[str, Any]:
    tables: Any = parse_toml(chunk.text, PROJECT_FILE)[chunk.kind]
    table: Mapping[str, Any] = tables[0]
    return table


def _edited_table(chunk: Chunk, old: Item, new: Item) -> Chunk:
    if old == new:
        return chunk
    body, rest = body_and_rest(chunk.text)
    document = tomlkit.parse(body)
    tables: Any = document[chunk.kind]
    _set_differing(tables[0], _values(old), _values(new), _values(_bare(new)))
    name, was = _inner(old)
    _set_inner(tables[0], f"{chunk.kind}.{name}", was, _inner(new)[1])
    return Chunk(chunk.kind, tomlkit.dumps(document) + rest)


def _set_differing(
    table: Table | Container,
    was: Mapping[str, object],
    shall: Mapping[str, object],
    usual: Mapping[str, object] | None = None,
) -> None:
    """Set the fields that differ; a field without a value is taken out.

    So is one that comes to say what is usual and stands at the end, where a change puts new ones,
    unless somebody has written a comment beside it: so there and back again leaves no trace.
    """
    for name, value in shall.items():
        if value == was.get(name):
            continue
        needless = usual is not None and name not in ALWAYS and value == usual.get(name)
        if value is not None and not (needless and _is_bare_end(table, name)):
            table[name] = _plain(value)
        elif name in table:
            table.remove(name)


def _is_bare_end(table: Table | Container, name: str) -> bool:
    """Whether a field is the last above the inner tables, and has no comment in its line."""
    inside = table if isinstance(table, Container) else table.value
    own = [key for key, value in inside.items() if not isinstance(value, AoT)]
    last = inside.item(own[-1])
    return own[-1] == name and isinstance(last, Entry) and not last.trivia.comment


def _set_inner(table: Table, header: str, was: Sequence[Inner], shall: Sequence[Inner]) -> None:
    """Set the fields of inner tables that differ; where some come or go, all are written anew."""
    _, _, name = header.partition(".")
    if [entry.id for entry in was] == [entry.id for entry in shall]:
        for entry, old, new in zip(table.get(name, ()), was, shall, strict=True):
            _set_differing(entry, _inner_values(old), _inner_values(new))
        return
    if name in table:
        table.remove(name)
    if shall:
        text = "\n".join(_new_inner(name, entry) for entry in shall)
        table.append(name, tomlkit.parse(text)[name])


def _inner(item: Item) -> tuple[str, Sequence[Inner]]:
    """The inner tables of an item, and their name."""
    match item:
        case Fork():
            return "way", item.ways
        case Part():
            return "fit", item.fits
        case _:
            return "", ()


def _inner_values(entry: Inner) -> dict[str, object]:
    return way_values(entry) if isinstance(entry, Way) else fit_values(entry)


def _new_table(item: Item, kind: str) -> str:
    usual = _values(_bare(item))
    lines = [
        f"{name} = {_written(value)}\n"
        for name, value in _values(item).items()
        if value is not None and (name in ALWAYS or value != usual.get(name))
    ]
    name, entries = _inner(item)
    inner = [f"\n{_new_inner(f'{kind}.{name}', entry)}" for entry in entries]
    return f"[[{kind}]]\n{''.join((*lines, *inner))}"


def _new_inner(header: str, entry: Inner) -> str:
    values = {name: value for name, value in _inner_values(entry).items() if value is not None}
    lines = [f"{name} = {_written(value)}\n" for name, value in values.items()]
    return f"[[{header}]]\n{''.join(lines)}"


def _bare(item: Item) -> Item:
    """The item with nothing given but what has to be."""
    if isinstance(item, Part):
        return bare_part(item.id, item.file)
    if isinstance(item, Fork):
        return Fork(id=item.id, name=readable(item.id), ways=item.ways)
    if isinstance(item, Component):
        return Component(id=item.id, name=readable(item.id))
    if isinstance(item, Channel):
        return replace(item, name=readable(item.id), height_mm=0.0)
    if isinstance(item, Pin):
        return item
    return type(item)(id=item.id, name=readable(item.id), minutes=item.minutes)


def _of_kind(project: Project, kind: str) -> Sequence[Item]:
    items: dict[str, Sequence[Item]] = {
        "part": project.parts,
        "work": project.works,
        "gate": project.gates,
        "fork": project.forks,
        "component": project.components,
        "channel": project.channels,
        "pin": project.pins,
    }
    return items[kind]


def _values(item: Item) -> dict[str, object]:
    """The item's fields in the order people read them."""
    zone = ZoneInfo("UTC")
    own = {
        Part: PART_FIELDS,
        Fork: FORK,
        Component: COMPONENT,
        Channel: CHANNEL,
        Pin: pin_fields(zone),
    }
    order = own.get(type(item), gate_fields(zone))
    names = {field.name for field in fields_of(item)}
    values = {name: getattr(item, name) for name in order if name in names}
    if isinstance(item, Part):  # a table without entries is left out
        values["layers"] = dict(item.layers) or None
    return values


def _top_values(project: Project) -> dict[str, object]:
    return {name: getattr(project, name) for name in top_fields(project.zone)}


def _written(value: object) -> str:
    return str(tomlkit.item(_plain(value)).as_string())


def _plain(value: object) -> Any:
    """A field's value as TOML has it."""
    match value:
        case Spread():
            return [_short(figure) for figure in (value.low, value.likely, value.high)]
        case datetime():
            return _local(value)
        case ZoneInfo():
            return value.key
        case dict():
            return _inline(value)
        case tuple():
            return [_short(entry) if isinstance(entry, float) else _plain(entry) for entry in value]
        case _:
            return str(value) if isinstance(value, str) else value


def _inline(words: Mapping[str, str]) -> InlineTable:
    """Words by name as a table in one line."""
    table = tomlkit.inline_table()
    for name, word in words.items():
        table.append(tomlkit.key(name), str(word))
    return table


def _short(figure: float) -> int | float:
    return int(figure) if figure == int(figure) else figure


def _local(moment: datetime) -> datetime:
    """Clock time without offset, unless the clocks show that time twice."""
    zone = moment.tzinfo
    whole = moment.replace(microsecond=0)
    naive = whole.replace(tzinfo=None, fold=0)
    if isinstance(zone, ZoneInfo) and settled(naive, zone).timestamp() == whole.timestamp():
        return naive
    return whole
