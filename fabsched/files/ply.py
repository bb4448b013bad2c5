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
from fabsched.files.ply_tables import Table
from fabsched.files.ply_text import text_tables
from fabsched.files.source import read_source
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Faces, Mesh, Points3

COORDINATES = ("x", "y", "z")
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
    tables, left = _tables(data, parse_header(data, where), where)
    points = _points(tables.get("vertex", {}), where)
    faces = _faces(tables.get("face", {}), len(points), where)
    trailing = Finding(code=Remark.TRAILING_DATA, where=where, facts={"bytes": left})
    return RawMesh(points=points, faces=faces, findings=(trailing,) if left else ())


def _tables(data: bytes, header: Header, where: str) -> tuple[dict[str, Table], int]:
    """All tables by name, and how many bytes follow them."""
    if header.text:
        found = text_tables(data, header, {*COORDINATES, *INDICES}, where)
    else:
        found = binary_tables(data, header, where)
    tables: dict[str, Table] = {}
    left = 0
    for element, (table, left) in zip(header.elements, found, strict=True):  # noqa: B007 - the last one counts
        tables[element.name] = table
    return tables, left if header.text or data[len(data) - left :].strip() else 0


def _points(table: Table, where: str) -> Points3:
    """Coordinates, (n, 3)."""
    if not set(COORDINATES) <= set(table):
        raise InputError(Fault.NO_TRIANGLES, where)
    return np.stack([table[name].values.astype(np.float64) for name in COORDINATES], axis=1)


def _faces(table: Table, count: int, where: str) -> Faces:
    """Triangles, (m, 3). Indices are looked at before they are taken for 32 bits."""
    column = next((table[name] for name in INDICES if name in table), None)
    if column is None or column.sizes is None or not len(column.values):
        raise InputError(Fault.NO_TRIANGLES, where)
    corners = column.values.astype(np.int64)
    check_indices(corners, count, where)
    return fanned(corners, column.sizes)
