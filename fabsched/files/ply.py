"""PLY, text and binary: a header that describes the tables that follow it.

The layout follows Greg Turk's "The PLY Polygon File Format" (1994). Only the table of vertices and the
vertex indices of the table of faces are used. The format names no unit.
"""

from pathlib import Path

import numpy as np

from fabsched.files.mesh_fans import fanned
from fabsched.files.mesh_raw import MOST_MB, RawMesh, check_indices, finished
from fabsched.files.ply_binary import binary_tables
from fabsched.files.ply_header import Header, parse_header
from fabsched.files.ply_tables import Rest, Table
from fabsched.files.ply_text import text_tables
from fabsched.files.source import read_source
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Faces, Mesh, Points3

COORDINATES = ("x", "y", "z")
BLANK = b"\0 \t\r\n"
"""Bytes of padding."""
INDICES = ("vertex_indices", "vertex_index")
"""Both names of the list of a polygon's corners are in use."""


def read_ply(path: Path, unit: str | None = None) -> tuple[Mesh, tuple[Finding, ...]]:
    """Read a PLY file.

    Args:
        path: the file.
        unit: the unit of its numbers; None takes mm.

    Returns:
        The mesh in mm, mended, and what was noticed.

    Raises:
        InputError: the file cannot be used, and why.
    """
    where = str(path)
    return finished(parse_ply(read_source(path, MOST_MB), where), unit, where)


def parse_ply(data: bytes, where: str) -> RawMesh:
    """The triangles of a PLY file, polygons taken apart into fans.

    Args:
        data: the whole file.
        where: its name.

    Raises:
        InputError: it is no PLY, cut off, or has no vertices or faces.
    """
    header = parse_header(data, where)
    if header.text:
        found = text_tables(data, header, {*COORDINATES, *INDICES}, where)
    else:
        found = binary_tables(data, header, where)
    tables: dict[str, Table] = {}
    rest = Rest(0, 0)
    for element, (table, after) in zip(header.elements, found, strict=True):
        tables[element.name] = table
        rest = after
    points = _points(tables.get("vertex", {}), where)
    faces = _faces(tables.get("face", {}), len(points), where)
    return RawMesh(points=points, faces=faces, findings=_trailing(data, header, rest, where))


def _trailing(data: bytes, header: Header, rest: Rest, where: str) -> tuple[Finding, ...]:
    """Notice what follows the last table; refuse more rows than there should be."""
    if not rest.size or not data[len(data) - rest.size :].strip(BLANK):
        return ()
    if rest.rows:
        last = header.elements[-1]
        what, have = f"rows of {last.name}", last.rows + rest.rows
        raise InputError(Fault.COUNT_MISMATCH, where, what=what, want=last.rows, have=have)
    return (Finding(code=Remark.TRAILING_DATA, where=where, facts={"bytes": rest.size}),)


def _points(table: Table, where: str) -> Points3:
    """Coordinates, (n, 3)."""
    if not set(COORDINATES) <= set(table):
        raise InputError(Fault.NO_TRIANGLES, where)
    with np.errstate(invalid="ignore"):  # whether they are numbers is looked at later
        return np.stack([table[name].values.astype(np.float64) for name in COORDINATES], axis=1)


def _faces(table: Table, count: int, where: str) -> Faces:
    """Triangles, (m, 3). Indices are looked at before they are taken for 32 bits."""
    column = next((table[name] for name in INDICES if name in table), None)
    if column is None or column.sizes is None or not len(column.values):
        raise InputError(Fault.NO_TRIANGLES, where)
    if column.values.dtype.kind == "f":
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="PLY")
    corners = column.values.astype(np.int64)
    check_indices(corners, count, where)
    return fanned(corners, column.sizes)
