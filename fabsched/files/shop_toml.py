"""`shop.toml`: what the maker has, in a file people write."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from platformdirs import user_config_path

from fabsched.files.access import told
from fabsched.files.areas_toml import Area, Areas, bordered
from fabsched.files.calendar_in import read_calendar
from fabsched.files.materials_toml import filaments, sheet_materials
from fabsched.files.names import readable
from fabsched.files.printer_kits import Raw, with_kit
from fabsched.files.resources import resource
from fabsched.files.shop_rules import Alone, Between, Busy, Hours, Inner
from fabsched.files.toml_read import (
    Field,
    Fields,
    Flag,
    Ident,
    Number,
    Sizes,
    Text,
    Texts,
    Whole,
    check_known,
    read_fields,
    shown,
    tables,
)
from fabsched.files.toml_source import parse_toml, read_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.materials import Filament, SheetMaterial, forbidden_by_name, usable
from fabsched.model.shop import (
    Build,
    Laser,
    Machine,
    Motion,
    Person,
    Place,
    Printer,
    Sheet,
    Shop,
    Spool,
    Travel,
)

SHOP_FILE = "shop.toml"
"""Name of the file, beside a project or in the user's configuration folder."""


def _speed(example: str) -> Field:
    return Field(Number(example, 0.1, 2000))


def _acceleration(example: str) -> Field:
    return Field(Number(example, 1, 100_000))


def _minutes(example: str) -> Field:
    return Field(Number(example, 0, 1440))


MOTION: Fields = {
    "wall_mm_s": _speed("50.0"),
    "inner_mm_s": _speed("90.0"),
    "solid_mm_s": _speed("110.0"),
    "sparse_mm_s": _speed("140.0"),
    "travel_mm_s": _speed("220.0"),
    "first_layer_mm_s": _speed("30.0"),
    "wall_mm_s2": _acceleration("2000.0"),
    "print_mm_s2": _acceleration("3000.0"),
    "travel_mm_s2": _acceleration("5000.0"),
    "corner_mm": Field(Number("0.02", 0.0001, 1)),
    "curve_mm_s2": Field(Number("3000.0", 0, 100_000)),
    "flow_mm3_s": Field(Number("12.0", 0.1, 500)),
}
"""The fields of `[printer.motion]`."""

BUILD: Fields = {
    "layer_mm": Field(Number("0.2", 0.02, 2)),
    "first_layer_mm": Field(Number("0.2", 0.02, 2)),
    "bead_mm": Field(Number("0.45", 0.05, 5)),
    "walls": Field(Whole("3", 1, 100)),
    "skins": Field(Whole("4", 0, 1000)),
    "infill": Field(Number("0.15", 0, 1)),
    "overhang_deg": Field(Number("45.0", 0, 90)),
    "support": Field(Number("0.15", 0, 1)),
    "layer_s": Field(Number("8.0", 0, 600)),
    "retract_s": Field(Number("0.06", 0, 10)),
}
"""The fields of `[printer.build]`."""

IDENTITY: Fields = {"id": Field(Ident('"home"'), required=True), "name": Field(Text('"Home"'))}
CHANCE = Field(Number("0.03", 0, 0.99))
COST = Field(Number("0.5", 0, 100_000))
HOURS = Field(Hours())
BUSY = Field(Busy())
PLACE_ID = Field(Ident('"home"'), required=True)
KEEP_OUT = Field(Areas())

PLACE: Fields = {**IDENTITY, "hours": HOURS, "busy": BUSY}
"""The fields of `[[place]]`."""

TRAVEL: Fields = {
    "between": Field(Between(), required=True),
    "minutes": Field(Number("25", 0, 1440), required=True),
}
"""The fields of `[[travel]]`."""

PERSON: Fields = {
    **IDENTITY,
    "base": PLACE_ID,
    "hours": Field(Hours('"Mo-Su 08:00-12:30,13:30-23:00"'), required=True),
    "busy": BUSY,
    "skills": Field(Texts('["soldering"]')),
}
"""The fields of `[[person]]`."""

PRINTER: Fields = {
    **IDENTITY,
    "place": PLACE_ID,
    "bed_mm": Field(Sizes("[220, 220, 250]", 3), required=True),
    "hours": HOURS,
    "busy": BUSY,
    "unattended": Field(Alone()),
    "start_minutes": _minutes("10"),
    "watch_minutes": _minutes("0"),
    "clear_minutes": _minutes("5"),
    "change_minutes": _minutes("5"),
    "heat_s": Field(Number("180", 0, 7200)),
    "cool_s": Field(Number("300", 0, 7200)),
    "fail_start": CHANCE,
    "fail_hour": CHANCE,
    "motion": Field(Inner(Motion, MOTION, "{ wall_mm_s = 50.0 }")),
    "build": Field(Inner(Build, BUILD, "{ layer_mm = 0.2 }")),
    "filament_mm": Field(Number("1.75", 0.5, 10)),
    "cost_hour": COST,
    "keep_out": KEEP_OUT,
    "one_by_one": Field(Flag()),
    "head_mm": Field(Number("45.0", 0, 500)),
    "gantry_mm": Field(Number("25.0", 0, 500)),
}
"""The fields of `[[printer]]` beside `kit`."""

LASER: Fields = {
    **IDENTITY,
    "place": PLACE_ID,
    "bed_mm": Field(Sizes("[600, 400]", 2), required=True),
    "hours": HOURS,
    "busy": BUSY,
    "power_w": Field(Number("60", 0.1, 10_000)),
    "start_minutes": _minutes("10"),
    "clear_minutes": _minutes("2"),
    "watch_minutes": _minutes("2"),
    "clean_minutes": _minutes("6"),
    "travel_mm_s": _speed("200.0"),
    "accel_mm_s2": _acceleration("1500.0"),
    "corner_mm": Field(Number("0.02", 0.0001, 1)),
    "fail_start": CHANCE,
    "cost_hour": COST,
    "keep_out": KEEP_OUT,
}
"""The fields of `[[laser]]`."""

SPOOL: Fields = {
    "id": Field(Ident('"white"'), required=True),
    "material": Field(Ident('"PLA"'), required=True),
    "mass_g": Field(Number("1000", 0, 100_000), required=True),
}
"""The fields of `[[spool]]`."""

SHEET: Fields = {
    "id": Field(Ident('"plywood-3"'), required=True),
    "material": Field(Ident('"plywood"'), required=True),
    "thickness_mm": Field(Number("3.0", 0.05, 100), required=True),
    "size_mm": Field(Sizes("[600, 400]", 2)),
    "count": Field(Whole("2", 0, 10_000)),
    "cost": COST,
    "outline": Field(Area(file=True)),
}
"""The fields of `[[sheet]]`."""

KINDS: Mapping[str, tuple[type[Any], Fields]] = {
    "place": (Place, PLACE),
    "travel": (Travel, TRAVEL),
    "person": (Person, PERSON),
    "printer": (Printer, PRINTER),
    "laser": (Laser, LASER),
    "spool": (Spool, SPOOL),
    "sheet": (Sheet, SHEET),
}
"""The arrays of tables, with their records and fields."""

TOP: Fields = {"currency": Field(Text('"EUR"'))}
"""The fields above the tables."""


def find_shop(folder: Path) -> Path:
    """The shop file that counts for a project: beside it, else the user's, else the shipped one.

    Raises:
        InputError: a folder cannot be looked into.
    """
    for path in (folder / SHOP_FILE, user_shop()):
        with told(str(path)):
            if path.exists():
                return path
    return resource(f"shop/{SHOP_FILE}")


def user_shop() -> Path:
    """Where a user's own shop file is, if there is one."""
    return user_config_path("fabsched", appauthor=False) / SHOP_FILE


def read_shop(path: Path, home: Path | None = None) -> Shop:
    """The shop a file describes.

    Args:
        path: the file.
        home: the project folder; its own shop file is called by its name alone.

    Raises:
        InputError: the file is at fault.
    """
    try:
        return parse_shop(read_text(path, SHOP_FILE), path.parent)
    except InputError as error:
        file = SHOP_FILE if home is not None and path == home / SHOP_FILE else str(path)
        where = file + error.where.removeprefix(SHOP_FILE)
        raise InputError(error.code, where, **error.facts) from error


def parse_shop(text: str, folder: Path | None = None) -> Shop:
    """The shop a text describes.

    Args:
        text: of a `shop.toml`.
        folder: where files it names are; without one borders of sheets and calendars are not read.

    Raises:
        InputError: the text is at fault.
    """
    document = parse_toml(text, SHOP_FILE)
    arrays = (*KINDS, "filament", "sheet_material")
    check_known(document, {**TOP, **dict.fromkeys(arrays)}, SHOP_FILE)
    head = {name: value for name, value in document.items() if name not in arrays}
    records = {kind: _records(document.get(kind, []), kind, folder) for kind in KINDS}
    shop = Shop(
        **read_fields(head, TOP, SHOP_FILE),
        places=records["place"],
        travels=records["travel"],
        people=records["person"],
        printers=records["printer"],
        lasers=records["laser"],
        spools=records["spool"],
        sheets=records["sheet"],
        filaments=filaments(document.get("filament", []), SHOP_FILE),
        sheet_materials=sheet_materials(document.get("sheet_material", []), SHOP_FILE),
    )
    _check_names(shop)
    return shop


def _records(value: object, kind: str, folder: Path | None) -> tuple[Any, ...]:
    record, fields = KINDS[kind]
    entries = tables(value, f"{SHOP_FILE}: {kind}", f"[[{kind}]]")
    return tuple(
        _record(record, fields, entry, _where(kind, entry, number), folder)
        for number, entry in enumerate(entries, start=1)
    )


def _record(record: type[Any], fields: Fields, table: Raw, where: str, folder: Path | None) -> Any:
    if record is Printer:
        table = with_kit(table, where)
    if record is Laser and (told := {"unattended", "attended"} & table.keys()):
        raise InputError(Fault.LASER_ATTENDED, f"{where}: {min(told)}")
    values = read_fields(table, fields, where)
    if "name" in fields:
        values = {"name": readable(values["id"]), **values}
    if record is Sheet:
        values = bordered(values, where, folder)
    if folder is not None and "busy" in values:
        values["busy"] = read_calendar(folder, values["busy"].file, f"{where}: busy")
    return record(**values)


def _where(kind: str, table: Raw, number: int) -> str:
    ident = table.get("id")
    name = f"'{shown(ident)}'" if isinstance(ident, str) else f"no. {number}"
    return f"{SHOP_FILE}: {kind} {name}"


def _check_names(shop: Shop) -> None:
    """Refuse names used twice or not defined; hours are looked up by them."""
    with_hours = (*shop.places, *shop.people, *shop.printers, *shop.lasers)
    for records in (with_hours, shop.spools, shop.sheets):
        _check_once(records)
    places = [place.id for place in shop.places]
    for travel in shop.travels:
        for place in travel.between:
            where = f"{SHOP_FILE}: travel {' - '.join(travel.between)}: between"
            _check_defined(place, places, where)
    for person in shop.people:
        _check_defined(person.base, places, _field(person, "base"))
    machines: tuple[Machine, ...] = (*shop.printers, *shop.lasers)
    for machine in machines:
        _check_defined(machine.place, places, _field(machine, "place"))
    _check_stock(shop)


def _check_once(records: Iterable[Any]) -> None:
    seen: set[str] = set()
    for record in records:
        if record.id in seen:
            raise InputError(Fault.NAME_TWICE, _field(record, "id"), name=record.id)
        seen.add(record.id)


def _check_defined(name: str, known: list[str], where: str) -> None:
    if name not in known:
        raise InputError(Fault.NAME_UNKNOWN, where, name=name, known=", ".join(known) or "none")


def _check_stock(shop: Shop) -> None:
    stocks: tuple[tuple[Iterable[Any], tuple[Filament | SheetMaterial, ...]], ...] = (
        (shop.spools, shop.filaments),
        (shop.sheets, shop.sheet_materials),
    )
    for stock, materials in stocks:
        known = [material.id for material in materials]
        for entry in stock:
            if entry.material not in known:
                _check_may_be_cut(shop, entry)
                facts = {"material": entry.material, "known": ", ".join(usable(materials))}
                raise InputError(Fault.MATERIAL_UNKNOWN, _field(entry, "material"), **facts)


def _check_may_be_cut(shop: Shop, entry: Spool | Sheet) -> None:
    """Refuse sheets that are called by another name of what must not be cut, with the reason."""
    if isinstance(entry, Sheet) and (
        bad := forbidden_by_name(shop.sheet_materials, entry.material)
    ):
        facts = {"material": entry.material, "reason": bad.reason}
        raise InputError(Fault.MATERIAL_FORBIDDEN, _field(entry, "material"), **facts)


def _field(record: Any, name: str) -> str:
    return f"{SHOP_FILE}: {type(record).__name__.lower()} '{record.id}': {name}"
