"""Part files of any kind."""

import stat
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from fabsched.files.guard import guarded
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding
from fabsched.model.operations import Layers
from fabsched.model.shapes import Shape

Part = tuple[Shape, tuple[Finding, ...]]
"""What a part file holds, and what was noticed in it."""


def _stl(path: Path, unit: str | None) -> Part:
    from fabsched.files.stl import read_stl  # noqa: PLC0415 - brings in the compiler

    return read_stl(path, unit)


def _obj(path: Path, unit: str | None) -> Part:
    from fabsched.files.obj import read_obj  # noqa: PLC0415 - brings in the compiler

    return read_obj(path, unit)


def _ply(path: Path, unit: str | None) -> Part:
    from fabsched.files.ply import read_ply  # noqa: PLC0415 - brings in the compiler

    return read_ply(path, unit)


def _3mf(path: Path, unit: str | None) -> Part:
    from fabsched.files.threemf import read_3mf  # noqa: PLC0415 - brings in the compiler

    return read_3mf(path, unit)


def _step(path: Path, unit: str | None) -> Part:
    from fabsched.files.step import read_step  # noqa: PLC0415 - brings in the compiler

    return read_step(path, unit)


def _dxf(path: Path, unit: str | None, layers: Layers = ()) -> Part:
    from fabsched.files.dxf import read_dxf  # noqa: PLC0415 - only needed for drawings

    return guarded(partial(read_dxf, layers=layers), path, unit)


def _svg(path: Path, unit: str | None, layers: Layers = ()) -> Part:
    from fabsched.files.svg import read_svg  # noqa: PLC0415 - only needed for drawings

    return guarded(partial(read_svg, layers=layers), path, unit)


def _program(path: Path, unit: str | None) -> Part:
    from fabsched.files.motion_program import read_program  # noqa: PLC0415 - brings in the compiler

    return read_program(path, unit)


READERS: Mapping[str, Callable[[Path, str | None], Part]] = {
    ".stl": _stl,
    ".obj": _obj,
    ".ply": _ply,
    ".3mf": _3mf,
    ".step": _step,
    ".stp": _step,
    ".dxf": _dxf,
    ".svg": _svg,
    ".ngc": _program,
    ".nc": _program,
    ".cnc": _program,
    ".gcode": _program,
}
"""Reader by ending. Drawings and STEP are read by libraries of others, in processes of their own."""
DRAWINGS: Mapping[str, Callable[[Path, str | None, Layers], Part]] = {".dxf": _dxf, ".svg": _svg}
"""Readers of files that have layers."""
PART_ENDINGS = tuple(READERS)
"""Endings of the files that are read, in lower case."""


def read_part(path: Path, unit: str | None = None, layers: Layers = ()) -> Part:
    """Read a part: a mesh to be printed, a drawing to be cut, or a print prepared elsewhere.

    Args:
        path: the file; its ending, in any case, says what it is.
        unit: the unit of its numbers, a key of `model.units.MM_PER_UNIT` or a short form (`mm`,
            `in`); None takes what the file says, and mm where it says nothing.
        layers: what is done along the lines of each layer of a drawing.

    Returns:
        The shape in mm, and what was noticed.

    Raises:
        InputError: the file cannot be used, and why.
    """
    where = str(path)
    ending = path.suffix.lower()
    if ending not in READERS:
        known = ", ".join(PART_ENDINGS)
        raise InputError(Fault.FILE_KIND_UNKNOWN, where, ending=ending, known=known)
    _check_file(path, where)
    try:
        if ending in DRAWINGS:
            return DRAWINGS[ending](path, unit, layers)
        return READERS[ending](path, unit)
    except MemoryError as error:
        kind = ending.removeprefix(".").upper()
        raise InputError(Fault.FILE_READER_FAILED, where, kind=kind, why="out of memory") from error


def _check_file(path: Path, where: str) -> None:
    """Refuse what need not be opened to see that it holds nothing; a pipe would wait for ever."""
    try:
        status = path.stat()
    except FileNotFoundError as error:
        raise InputError(Fault.FILE_MISSING, where) from error
    except (OSError, ValueError) as error:  # a zero byte in a name is a ValueError
        why = getattr(error, "strerror", None) or str(error)
        raise InputError(Fault.FILE_UNREADABLE, where, why=why) from error
    if not stat.S_ISREG(status.st_mode):
        raise InputError(Fault.NOT_A_FILE, where)
    if not status.st_size:
        raise InputError(Fault.FILE_EMPTY, where)
