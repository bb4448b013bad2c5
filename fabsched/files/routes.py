"""How a part is made unless the maker says otherwise, by the ending of its file."""

from pathlib import PurePath

from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route

ROUTES = {
    ".stl": Route.PRINT,
    ".obj": Route.PRINT,
    ".ply": Route.PRINT,
    ".3mf": Route.PRINT,
    ".step": Route.PRINT,
    ".stp": Route.PRINT,
    ".dxf": Route.CUT,
    ".svg": Route.CUT,
    ".ngc": Route.PRINT,
    ".nc": Route.PRINT,
    ".cnc": Route.PRINT,
    ".gcode": Route.PRINT,
}
"""Solids are printed, as are motion programs; flat outlines are cut."""

PROGRAMS = frozenset({".ngc", ".nc", ".cnc", ".gcode"})
"""Endings of motion programs: what a machine runs as it is."""


def route_of(file: PurePath, where: str) -> Route:
    """How a part of this file is made unless the maker says otherwise.

    Args:
        file: the part file; only its ending counts.
        where: the file, for errors.

    Raises:
        InputError: files of this ending are not read.
    """
    ending = file.suffix.lower()
    if ending not in ROUTES:
        raise InputError(Fault.FILE_KIND_UNKNOWN, where, ending=ending, known=", ".join(ROUTES))
    return ROUTES[ending]
