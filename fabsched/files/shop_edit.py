"""Writing the outcome of a test cut into `shop.toml`, or taking it out; comments stay."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Table

from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.materials_toml import SETTING, SETTINGS
from fabsched.files.shop_toml import parse_shop
from fabsched.files.toml_source import parse_toml
from fabsched.model.errors import Fault, InputError
from fabsched.model.materials import CutSetting
from fabsched.model.shop import Shop
from fabsched.model.spread import Spread

KIND = "sheet_material"
"""Name of the array of sheet materials."""


def shop_text_with(text: str, material: str, setting: CutSetting) -> str:
    """The text of a shop file with one more own cut setting.

    A setting of the same thickness and power is replaced; everything else stays as it is written.

    Args:
        text: of the shop file; must be sound.
        material: id of the sheet material.
        setting: what was measured.

    Raises:
        InputError: the text is at fault, or laid out so oddly that the setting cannot be put in.
    """
    before = parse_shop(text)
    try:
        edited = _edited(text, material, setting)
        after = parse_shop(edited)
    except (TOMLKitError, ValueError, TypeError, AttributeError) as error:
        raise _unwritable(material) from error
    if not _holds(after, material, setting) or _rest(after) != _rest(before):
        raise _unwritable(material)
    return edited


def shop_text_without(text: str, material: str, setting: CutSetting) -> str:
    """The text of a shop file without an own cut setting; as it is where it holds none such.

    Args:
        text: of the shop file; must be sound.
        material: id of the sheet material.
        setting: which; one of another thickness, power or day stays.

    Raises:
        InputError: the text is at fault.
    """
    parse_shop(text)
    document: Any = tomlkit.parse(text)
    for table in document.get(KIND, []):
        found = table.get(SETTINGS, [])
        for number in reversed(range(len(found))):
            mine = found[number].get("measured") == setting.measured
            if table["id"] == material and mine and _same(found[number], setting):
                del found[number]
    without = tomlkit.dumps(document)
    parse_shop(without)
    return without


def save_shop_text(path: Path, text: str) -> None:
    """Put a shop file in place, whole or not at all; its folder is made if it is missing.

    Raises:
        InputError: it cannot be written.
    """
    with told(str(path.parent), Fault.FILE_UNWRITABLE):
        path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes_atomic(path, text.encode())


def _edited(text: str, material: str, setting: CutSetting) -> str:
    own: Any = parse_toml(text, "shop.toml").get(KIND, [])
    number = next((i for i, entry in enumerate(own) if entry.get("id") == material), None)
    if number is None:  # appended as text, since a new table at the end disturbs nothing
        table = tomlkit.document()
        table["id"] = material
        block = f"[[{KIND}]]\n{tomlkit.dumps(table)}\n{_block(setting)}"
        return f"{text.rstrip()}\n\n{block}" if text.strip() else block
    document = tomlkit.parse(text)
    tables: Any = document[KIND]
    _put(tables[number], setting)
    return tomlkit.dumps(document)


def _put(table: Table, setting: CutSetting) -> None:
    """Put a setting into a material's table, in the place of one of its thickness and power."""
    found = table.get(SETTINGS)
    if found is None:
        table[SETTINGS] = found = AoT([])
    for number in reversed(range(len(found))):
        if _same(found[number], setting):
            del found[number]
    if isinstance(found, Array):  # written in one line
        inline = tomlkit.inline_table()
        inline.update(_values(setting))
        found.append(inline)
    else:
        found.append(tomlkit.item(_values(setting)))


def _same(entry: Mapping[str, Any], setting: CutSetting) -> bool:
    wanted = (setting.thickness_mm, setting.power_w)
    return (float(entry["thickness_mm"]), float(entry["power_w"])) == wanted


def _block(setting: CutSetting) -> str:
    document = tomlkit.document()
    document.update(_values(setting))
    return f"[[{KIND}.{SETTINGS}]]\n{tomlkit.dumps(document)}"


def _values(setting: CutSetting) -> dict[str, Any]:
    values = {name: getattr(setting, name) for name in SETTING}
    return {
        name: [value.low, value.likely, value.high] if isinstance(value, Spread) else value
        for name, value in values.items()
        if value is not None
    }


def _holds(shop: Shop, material: str, setting: CutSetting) -> bool:
    return any(m.id == material and setting in m.settings for m in shop.sheet_materials)


def _rest(shop: Shop) -> tuple[object, ...]:
    """All of a shop that a new setting must not touch."""
    return (
        shop.currency,
        shop.places,
        shop.travels,
        shop.people,
        shop.printers,
        shop.lasers,
        shop.filaments,
        shop.spools,
        shop.sheets,
        tuple((material.id, material.cutting) for material in shop.sheet_materials),
    )


def _unwritable(material: str) -> InputError:
    why = f"the setting cannot be put in at '{material}' by itself"
    return InputError(Fault.FILE_UNWRITABLE, "shop.toml", why=why)
