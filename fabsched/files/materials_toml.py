"""The material tables: shipped ones, with a shop's own entries over them."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from fabsched.files.resources import resource
from fabsched.files.toml_read import (
    AnyText,
    Day,
    Field,
    Fields,
    Ident,
    Number,
    OneOf,
    Texts,
    Three,
    Whole,
    read_fields,
    shown,
    tables,
)
from fabsched.files.toml_source import parse_toml, read_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.materials import CutSetting, Cutting, Filament, SheetMaterial, as_words

Raw = Mapping[str, object]
"""A table as tomllib gives it."""

FILAMENT: Fields = {
    "id": Field(Ident('"PLA"'), required=True),
    "density_g_cm3": Field(Number("1.24", 0.1, 25), required=True),
    "flow_share": Field(Number("1.0", 0.01, 2)),
    "layer_s": Field(Number("8.0", 0, 600)),
    "warp": Field(Number("0.3", 0, 1)),
    "glass_c": Field(Number("60.0", -150, 400)),
    "cost_kg": Field(Number("20.0", 0, 100_000)),
    "source": Field(AnyText('"maker\'s data sheet"')),
}
"""The fields of `[[filament]]`."""

SHEET_MATERIAL: Fields = {
    "id": Field(Ident('"plywood"'), required=True),
    "cutting": Field(OneOf(Cutting), required=True),
    "reason": Field(AnyText('"gives off chlorine"')),
    "also": Field(Texts('["vinyl"]')),
    "density_g_cm3": Field(Number("0.68", 0.01, 25)),
    "youngs_mpa": Field(Number("3200", 0, 1_000_000)),
    "poisson": Field(Number("0.3", 0, 0.49)),
}
"""The fields of `[[sheet_material]]` beside its settings."""

SETTING: Fields = {
    "thickness_mm": Field(Number("3.0", 0.05, 100), required=True),
    "power_w": Field(Number("60.0", 0.1, 10_000), required=True),
    "feed_mm_s": Field(Three("[8, 12, 18]", 0.01, 2000), required=True),
    "pierce_s": Field(Number("0.3", 0, 60), required=True),
    "passes": Field(Whole("1", 1, 50), required=True),
    "kerf_mm": Field(Number("0.15", 0, 3), required=True),
    "source": Field(AnyText('"measured here"')),
    "measured": Field(Day()),
}
"""The fields of `[[sheet_material.setting]]`."""

SETTINGS = "setting"
"""Name of the array of settings inside a sheet material."""


def filaments(own: object, where: str) -> tuple[Filament, ...]:
    """The shipped filaments with a shop's own over them.

    Args:
        own: the shop's `filament`, as tomllib gives it. An entry with a shipped id changes the
            fields it names; any other is new.
        where: the shop file, for errors.

    Raises:
        InputError: the shop's entries are at fault.
    """
    shipped = _shipped("filament")
    entries = _laid_over(shipped, tables(own, f"{where}: filament", "[[filament]]"))
    return tuple(
        Filament(**read_fields(entry, FILAMENT, _where(where, "filament", entry, number)))
        for number, entry in enumerate(entries, start=1)
    )


def sheet_materials(own: object, where: str) -> tuple[SheetMaterial, ...]:
    """The shipped sheet materials with a shop's own over them.

    Settings of a shop replace shipped ones of the same thickness. What the shipped table forbids
    stays forbidden: such materials give off poisonous or corrosive fumes, or burn.

    Args:
        own: the shop's `sheet_material`, as tomllib gives it.
        where: the shop file, for errors.

    Raises:
        InputError: the shop's entries are at fault, or allow what is forbidden.
    """
    shipped = _shipped("sheet_material")
    mine = tables(own, f"{where}: sheet_material", "[[sheet_material]]")
    for number, entry in enumerate(mine, start=1):
        _check_not_lifted(entry, shipped, _where(where, "sheet_material", entry, number))
    return tuple(
        _sheet_material(entry, _where(where, "sheet_material", entry, number))
        for number, entry in enumerate(_laid_over(shipped, mine), start=1)
    )


@cache
def _shipped(kind: str) -> tuple[Raw, ...]:
    name = {"filament": "materials/filaments.toml", "sheet_material": "materials/sheets.toml"}[kind]
    path = resource(name)
    return tuple(tables(parse_toml(read_text(path, name), name)[kind], name, f"[[{kind}]]"))


def _laid_over(shipped: tuple[Raw, ...], own: list[dict[str, object]]) -> list[Raw]:
    """The shipped tables with own fields over those of the same id, then the new ones."""
    merged: dict[object, Raw] = {table["id"]: table for table in shipped}
    for number, table in enumerate(own):
        ident = table.get("id", number)  # one without id is refused when it is read
        below = merged.get(ident, {})
        merged[ident] = {**below, **table, **_settings_over(below, table)}
    return list(merged.values())


def _settings_over(below: Raw, table: Raw) -> dict[str, object]:
    """Both tables' settings; a thickness the upper one names is taken from it alone."""
    upper, lower = table.get(SETTINGS), below.get(SETTINGS)
    if not isinstance(upper, list) or not isinstance(lower, list):
        return {}
    named = {entry.get("thickness_mm") for entry in upper if isinstance(entry, dict)}
    return {SETTINGS: [*(e for e in lower if e["thickness_mm"] not in named), *upper]}


def _check_not_lifted(entry: Raw, shipped: tuple[Raw, ...], where: str) -> None:
    """Refuse to allow what is forbidden, under its own name, another one, or as part of a name."""
    if entry.get("cutting", Cutting.FORBIDDEN) == Cutting.FORBIDDEN:
        return
    others = entry.get("also", [])
    own = [str(name) for name in (entry.get("id"), *(others if isinstance(others, list) else []))]
    for table in shipped:
        also = table.get("also", [])
        names = [table["id"], *(also if isinstance(also, list) else [])]
        same = any(as_words(str(name)) in as_words(one) for name in names for one in own)
        if same and table["cutting"] == Cutting.FORBIDDEN:
            facts = {"material": str(table["id"]), "reason": str(table.get("reason", ""))}
            raise InputError(Fault.MATERIAL_FORBIDDEN, f"{where}: cutting", **facts)


def _sheet_material(entry: Raw, where: str) -> SheetMaterial:
    plain = {name: value for name, value in entry.items() if name != SETTINGS}
    # The settings are known here too, so that a slip of the pen is told the nearest name.
    values = read_fields(plain, SHEET_MATERIAL, where)
    settings = tables(entry.get(SETTINGS, []), f"{where}: {SETTINGS}", "[[sheet_material.setting]]")
    return SheetMaterial(**values, settings=tuple(_setting(s, where) for s in settings))


def _setting(table: Raw, where: str) -> CutSetting:
    thickness = shown(table.get("thickness_mm", "?"))
    values: dict[str, Any] = read_fields(table, SETTING, f"{where}: {SETTINGS} {thickness} mm")
    return CutSetting(**values)


def _where(where: str, kind: str, table: Raw, number: int) -> str:
    ident = table.get("id")
    name = f"'{shown(ident)}'" if isinstance(ident, str) else f"no. {number}"
    return f"{where}: {kind} {name}"
