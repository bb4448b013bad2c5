"""What the fields of a shop are called, and their units."""

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication

from fabsched.model.shop import Calendar
from fabsched.session.shop_help import meaning, usual

LABELS: Mapping[str, str] = {
    "accel_mm_s2": "Acceleration",
    "base": "Wakes up at",
    "bead_mm": "Width of a bead",
    "bed_mm": "Bed",
    "build": "How it builds",
    "busy": "Busy times",
    "change_minutes": "Changing the spool",
    "clean_minutes": "Cleaning afterwards",
    "clear_minutes": "Taking off",
    "cool_s": "Cooling down",
    "corner_mm": "Cut at corners",
    "cost": "Price of one",
    "cost_hour": "An hour costs",
    "count": "How many",
    "curve_mm_s2": "Across curves",
    "fail_hour": "Fails, each hour",
    "fail_start": "Fails, at any length",
    "filament_mm": "Filament",
    "first_layer_mm": "First layer",
    "first_layer_mm_s": "First layer",
    "flow_mm3_s": "Melts at most",
    "gantry_mm": "Room above the nozzle",
    "head_mm": "Room around the nozzle",
    "heat_s": "Heating",
    "hours": "Hours",
    "infill": "Infill",
    "inner_mm_s": "Inner walls",
    "keep_out": "Stays free",
    "layer_mm": "Layer height",
    "layer_s": "Least time for a layer",
    "mass_g": "Left on it",
    "material": "Material",
    "motion": "How it moves",
    "name": "Name",
    "one_by_one": "One part after the other",
    "outline": "Border of an offcut",
    "overhang_deg": "Steepest overhang",
    "place": "Stands at",
    "power_w": "Power",
    "print_mm_s2": "Laying else, acceleration",
    "retract_s": "Pulling back",
    "size_mm": "Size",
    "skills": "Skills",
    "skins": "Skins",
    "solid_mm_s": "Solid infill",
    "sparse_mm_s": "Sparse infill",
    "start_minutes": "Getting ready",
    "support": "Support",
    "thickness_mm": "Thickness",
    "travel_mm_s": "Between",
    "travel_mm_s2": "Between, acceleration",
    "unattended": "May run with nobody beside it",
    "wall_mm_s": "Outer walls",
    "wall_mm_s2": "Outer walls, acceleration",
    "walls": "Walls",
    "watch_minutes": "Staying beside it",
}
"""What stands before a field; marked here, translated where it is shown."""

GROUPS: Mapping[str, str] = {
    "place": "Places",
    "person": "People",
    "printer": "Printers",
    "laser": "Lasers",
    "spool": "Spools",
    "sheet": "Sheets",
}
"""The kinds of things, in the order of the list."""

NEW: Mapping[str, str] = {
    "place": "New place",
    "person": "Somebody new",
    "printer": "New printer",
    "laser": "New laser",
    "spool": "New spool",
    "sheet": "New sheets",
}
"""What something new is called."""

UNITS: Mapping[str, str] = {
    "_mm_s2": "mm/s\u00b2",
    "_mm3_s": "mm\u00b3/s",
    "_mm_s": "mm/s",
    "minutes": "min",
    "_mm": "mm",
    "_deg": "\u00b0",
    "_s": "s",
    "_w": "W",
    "_g": "g",
}
"""Units by how a name ends, the longer endings first."""

SHARES = frozenset({"fail_start", "fail_hour", "infill", "support"})
"""Shown out of a hundred."""


def tr(text: str) -> str:
    """A word of this page in the user's language."""
    return QCoreApplication.translate("Shop", text)


@dataclass(frozen=True, slots=True)
class Unit:
    """How a figure is shown.

    Attributes:
        suffix: what stands behind it.
        scale: what it is multiplied by.
    """

    suffix: str = ""
    scale: float = 1.0


def unit_of(field: str, currency: str = "") -> Unit:
    """How a field's figure is shown.

    >>> unit_of("wall_mm_s").suffix, unit_of("infill").scale, unit_of("cost_hour", "EUR").suffix
    (' mm/s', 100.0, ' EUR/h')
    """
    if field in SHARES:
        return Unit(" %", 100.0)
    if field.startswith("cost"):
        return Unit(f" {currency}/h" if field == "cost_hour" else f" {currency}")
    ending = next((unit for end, unit in UNITS.items() if field.endswith(end)), "")
    return Unit(f" {ending}" if ending and ending != "\u00b0" else ending)


def tip_of(table: str, field: str, currency: str = "") -> str:
    """What a field means and what it usually is, for a tooltip."""
    text, value = tr(meaning(table, field)), usual(table, field)
    if isinstance(value, bool) or value is None or isinstance(value, Calendar | str | tuple):
        return text
    unit = unit_of(field, currency)
    figure = f"{float(str(value)) * unit.scale:.6g}{unit.suffix}"
    return f"{text} {tr('Usually')} {figure}."
