"""The length unit a person names for a part."""

from fabsched.model.errors import Fault, InputError
from fabsched.model.units import MM_PER_UNIT

SHORT_UNITS = {
    "um": "micron",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "ft": "foot",
}
"""Short forms, by the full name in `MM_PER_UNIT`."""


def said_mm(unit: str, where: str) -> float:
    """Millimetres in one of a unit.

    Args:
        unit: a key of `MM_PER_UNIT` or of `SHORT_UNITS`, in any case.
        where: the file it was named for.

    Raises:
        InputError: no such unit.

    >>> said_mm("in", "lid.stl"), said_mm("Centimeter", "lid.stl")
    (25.4, 10.0)
    """
    name = unit.strip().lower()
    full = SHORT_UNITS.get(name, name)
    if full not in MM_PER_UNIT:
        raise InputError(Fault.UNIT_UNKNOWN, where, unit=unit)
    return MM_PER_UNIT[full]
