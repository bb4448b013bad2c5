"""`project.toml`: what the maker wants, in a file people read and edit.

This module reads it; `files.project_edit` writes it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any
from zoneinfo import ZoneInfo

from fabsched.files.access import told
from fabsched.files.areas_toml import Turns
from fabsched.files.fits_toml import Fits, read_channel, read_component
from fabsched.files.forks_toml import read_fork
from fabsched.files.length_units import said_mm
from fabsched.files.names import readable
from fabsched.files.routes import route_of
from fabsched.files.toml_read import (
    Angles,
    Field,
    Fields,
    Flag,
    Ident,
    Idents,
    Moment,
    Number,
    OneOf,
    Text,
    Three,
    Whole,
    Zone,
    check_known,
    malformed,
    read_fields,
    shown,
    tables,
)
from fabsched.files.toml_source import parse_toml, read_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.operations import Layers, Operation
from fabsched.model.project import Gate, Part, Pin, Project, Work
from fabsched.model.references import check_references

PROJECT_FILE = "project.toml"
"""Name of the file inside a project folder."""

MOST_MINUTES = 100_000
"""Ten weeks: more than any single step of a weekend."""

MOST_COPIES = 1000
"""Copies of one part; more are a slip of the pen."""

MOST_PEOPLE = 50
"""People at one piece of work; more are a slip of the pen."""

FILE_EXAMPLE = '"parts/lid.stl"'


@dataclass(frozen=True, slots=True)
class PartFile:
    """The path of a file inside the project folder."""

    example: str = FILE_EXAMPLE

    def read(self, value: object, where: str) -> str:
        """The path with forward slashes, relative to the folder."""
        text = Text(self.example).read(value, where)
        path = PurePosixPath(text)
        if "\\" in text or "\0" in text:
            raise malformed(value, where, self.example)
        if path.is_absolute() or ".." in path.parts or ":" in path.parts[0]:
            raise InputError(Fault.PATH_OUTSIDE, where, path=shown(text), example=self.example)
        return path.as_posix()


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of length."""

    example: str = '"inch"'

    def read(self, value: object, where: str) -> str:
        """The unit as written."""
        text = Text(self.example).read(value, where)
        said_mm(text, where)
        return text


@dataclass(frozen=True, slots=True)
class LayerNames:
    """Names of layers with what is done along each."""

    example: str = '{ outline = "cut", text = "engrave" }'

    def read(self, value: object, where: str) -> Layers:
        """The names as written, each with its operation; names that differ in case are one."""
        if not isinstance(value, dict):
            raise malformed(value, where, self.example)
        folded = [name.casefold() for name in value]
        for place, name in enumerate(value):
            if not name.strip():
                raise malformed(value, where, self.example)
            if folded[place] in folded[:place]:
                raise InputError(Fault.NAME_TWICE, where, name=shown(name))
        rule = OneOf(Operation)
        return tuple(
            (name, Operation(rule.read(word, f"{where}: {shown(name)}")))
            for name, word in value.items()
        )


MINUTES = Three("[20, 30, 60]", 0, MOST_MINUTES)
LATE = Three("[0, 60, 240]", 0, MOST_MINUTES)
THICKNESS = Number("3.0", 0.05, 100)
AFTER = Field(Idents('["lid"]'))
NEEDED = Field(Flag("false"))

PART: Fields = {
    "id": Field(Ident('"lid"'), required=True),
    "name": Field(Text('"Lid"')),
    "file": Field(PartFile(), required=True),
    "copies": Field(Whole("2", 1, MOST_COPIES)),
    "route": Field(OneOf(Route)),
    "material": Field(Ident('"PLA"')),
    "thickness_mm": Field(THICKNESS),
    "needed": NEEDED,
    "after": AFTER,
    "per_run": Field(Whole("1", 1, MOST_COPIES)),
    "unit": Field(Unit()),
    "turn_deg": Field(Angles()),
    "layers": Field(LayerNames()),
    "minutes": Field(MINUTES),
    "lay_deg": Field(Turns()),
    "fit": Field(Fits()),
}
"""The fields of `[[part]]`."""


def work_fields(zone: ZoneInfo) -> Fields:
    """The fields of `[[work]]`."""
    return {
        "id": Field(Ident('"wiring"'), required=True),
        "name": Field(Text('"Wiring"')),
        "minutes": Field(MINUTES, required=True),
        "after": AFTER,
        "place": Field(Ident('"home"', empty=True)),
        "splittable": Field(Flag()),
        "undoable": Field(Flag()),
        "needed": NEEDED,
        "skill": Field(Ident('"soldering"', empty=True)),
        "skills": Field(Idents('["soldering", "crimping"]')),
        "early": Field(Flag()),
        "not_before": Field(Moment(zone)),
        "late_minutes": Field(LATE),
        "people_needed": Field(Whole("2", 1, MOST_PEOPLE)),
    }


def gate_fields(zone: ZoneInfo) -> Fields:
    """The fields of `[[gate]]`."""
    return {
        **work_fields(zone),
        "chance": Field(Number("0.25", 0, 1)),
        "redo": Field(Idents('["lid"]')),
        "eases": Field(Ident('"test"', empty=True)),
        "left": Field(Number("0.25", 0, 1)),
        "shows": Field(Number("0.3", 0, 1)),
    }


def pin_fields(zone: ZoneInfo) -> Fields:
    """The fields of `[[pin]]`."""
    return {
        "id": Field(Ident('"lid"'), required=True),
        "at": Field(Moment(zone), required=True),
    }


def top_fields(zone: ZoneInfo) -> Fields:
    """The fields above the tables."""
    return {
        "name": Field(Text('"Weather station"')),
        "zone": Field(Zone(), required=True),
        "start": Field(Moment(zone)),
        "deadline": Field(Moment(zone), required=True),
        "wanted_odds": Field(Number("0.8", 0, 1)),
    }


KINDS = ("part", "work", "gate", "fork", "component", "channel", "pin")
"""The arrays of tables."""


def read_project(folder: Path) -> Project:
    """The project in a folder.

    Raises:
        InputError: there is none, or its file is at fault.
    """
    return parse_project(read_project_text(folder), folder.resolve().name)


def read_project_text(folder: Path) -> str:
    """The text of a folder's `project.toml`.

    Raises:
        InputError: there is none, or it cannot be read.
    """
    path = folder / PROJECT_FILE
    with told(str(folder)):
        if not folder.exists():
            raise InputError(Fault.FILE_MISSING, str(folder))
        if not path.exists():
            raise InputError(Fault.NOT_A_PROJECT, str(folder))
    return read_text(path, PROJECT_FILE)


def parse_project(text: str, folder_name: str) -> Project:
    """The project a text describes.

    Args:
        text: of a `project.toml`.
        folder_name: the project's name where the text gives none.

    Raises:
        InputError: the text is at fault.
    """
    document = parse_toml(text, PROJECT_FILE)
    zone = _zone(document)
    fields = top_fields(zone)
    check_known(document, {**fields, **dict.fromkeys(KINDS)}, PROJECT_FILE)
    head = {name: value for name, value in document.items() if name not in KINDS}
    items = {kind: _items(document.get(kind, []), kind, zone) for kind in KINDS}
    project = Project(
        **{"name": folder_name or "Project", **read_fields(head, fields, PROJECT_FILE)},
        parts=items["part"],
        works=items["work"],
        gates=items["gate"],
        forks=items["fork"],
        components=items["component"],
        channels=items["channel"],
        pins=items["pin"],
    )
    check_references(project)
    return project


def _zone(document: Mapping[str, object]) -> ZoneInfo:
    """The zone, which the moments need; a fault in it is found again with the other fields."""
    try:
        return Zone().read(document.get("zone"), PROJECT_FILE)
    except InputError:
        return ZoneInfo("UTC")


def _items(value: object, kind: str, zone: ZoneInfo) -> Any:
    entries = tables(value, f"{PROJECT_FILE}: {kind}", f"[[{kind}]]")
    return tuple(
        read_item(entry, kind, zone, item_where(entry, kind, number))
        for number, entry in enumerate(entries, start=1)
    )


def item_where(table: Mapping[str, object], kind: str, number: int) -> str:
    """A table as the user knows it: by its id, or by its place if it has none."""
    ident = table.get("id")
    name = f"'{shown(ident)}'" if isinstance(ident, str) else f"no. {number}"
    return f"{PROJECT_FILE}: {kind} {name}"


def read_item(table: Mapping[str, object], kind: str, zone: ZoneInfo, where: str) -> Any:
    """One part, work, gate, fork, component, channel or pin, by kind.

    Raises:
        InputError: the table is at fault.
    """
    if kind == "part":
        return _part(table, where)
    if kind == "fork":
        return read_fork(table, where)
    if kind == "component":
        return read_component(table, where)
    if kind == "channel":
        return read_channel(table, where)
    if kind == "pin":
        return Pin(**read_fields(table, pin_fields(zone), where))
    record, fields = (Work, work_fields(zone)) if kind == "work" else (Gate, gate_fields(zone))
    values = read_fields(table, fields, where)
    if "late_minutes" in values and "not_before" not in values:
        example = f"not_before = {fields['not_before'].rule.example}"
        raise InputError(Fault.FIELD_MISSING, f"{where}: not_before", example=example)
    return record(**{"name": readable(values["id"]), **values})


def _part(table: Mapping[str, object], where: str) -> Part:
    values = read_fields(table, PART, where)
    bare = bare_part(values["id"], values["file"])
    part = replace(bare, fits=values.pop("fit", ()), **values)
    if part.route is Route.CUT:
        _check_cut(values, where)
    return part


def bare_part(ident: str, file: str) -> Part:
    """What a part is if nothing but its id and file is given.

    Raises:
        InputError: files of this ending are not read.
    """
    route = route_of(PurePosixPath(file), file)
    return Part(id=ident, name=readable(ident), file=file, route=route)


def _check_cut(values: Mapping[str, object], where: str) -> None:
    """A cut part must name its sheet: there is no usual one."""
    for name in ("material", "thickness_mm"):
        if name not in values:
            example = f"{name} = {PART[name].rule.example}"
            raise InputError(Fault.FIELD_MISSING, f"{where}: {name}", example=example)
