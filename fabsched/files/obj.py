"""Wavefront OBJ: vertices, and polygons that refer to them by number.

Vertex numbers begin with 1; negative ones count back from the vertex last read (Wavefront "Object
Files", Advanced Visualizer manual, appendix B1). Textures, normals, groups, lines and free-form
surfaces are left out. The format names no unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fabsched.files.mesh_fans import fanned
from fabsched.files.mesh_raw import MOST_MB, RawMesh, finished
from fabsched.files.mesh_text import floats, integers, line_malformed
from fabsched.files.source import read_source
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding
from fabsched.model.shapes import Mesh, Points3

LEAST_WORDS = {b"v": 4, b"f": 4}
"""Words on a line by its first one: a vertex has three coordinates, a polygon three corners."""

Words = list[bytes]


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a file that matter, split into words.

    Attributes:
        data: the file, continued lines joined.
        vertices: those that begin with `v`.
        polygons: those that begin with `f`.
        before: how many vertices come before each polygon.
    """

    data: bytes
    vertices: Sequence[Words]
    polygons: Sequence[Words]
    before: NDArray[np.int64]


def read_obj(path: Path, unit: str | None = None) -> tuple[Mesh, tuple[Finding, ...]]:
    """Read an OBJ file.

    Args:
        path: the file.
        unit: the unit of its numbers; None takes mm.

    Returns:
        The mesh in mm, mended, and what was noticed.

    Raises:
        InputError: the file cannot be used, and why.
    """
    where = str(path)
    return finished(parse_obj(read_source(path, MOST_MB), where), unit, where)


def parse_obj(data: bytes, where: str) -> RawMesh:
    """The triangles of an OBJ file, polygons taken apart into fans.

    Args:
        data: the whole file.
        where: its name.

    Raises:
        InputError: a line, number or index is wrong.
    """
    if b"\0" in data:
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="OBJ")
    lines = _lines(data, where)
    points = _points(lines, where)
    sizes = np.array([len(words) - 1 for words in lines.polygons], dtype=np.int64)
    corners = _corners(lines, sizes, len(points), where)
    return RawMesh(points=points, faces=fanned(corners, sizes))


def _lines(data: bytes, where: str) -> Lines:
    data = data.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ")
    vertices, polygons, before = [], [], []
    for number, line in enumerate(data.splitlines(), start=1):
        words = line.split(b"#", 1)[0].split()
        if not words or words[0] not in LEAST_WORDS:
            continue
        if len(words) < LEAST_WORDS[words[0]]:
            raise line_malformed(number, data, where, kind="OBJ")
        if words[0] == b"v":
            vertices.append(words)
        else:
            polygons.append(words)
            before.append(len(vertices))
    return Lines(data, vertices, polygons, np.array(before, dtype=np.int64))


def _points(lines: Lines, where: str) -> Points3:
    """The coordinates, (n, 3); a weight or a colour may follow them."""
    words = list(chain.from_iterable(words[1:4] for words in lines.vertices))
    return floats(words, lines.data, where).reshape(-1, 3)


def _corners(lines: Lines, sizes: NDArray[np.int64], count: int, where: str) -> NDArray[np.int64]:
    """Vertex indices from 0 of all polygons, one after the other."""
    words = [word.split(b"/", 1)[0] for polygon in lines.polygons for word in polygon[1:]]
    said = integers(words, lines.data, where)
    index = np.where(said < 0, said + np.repeat(lines.before, sizes), said - 1)
    wrong = (index < 0) | (index >= count)
    if wrong.any():
        first = int(said[wrong][0])  # as the file says it
        raise InputError(Fault.BAD_INDEX, where, what="vertex", index=first, count=count)
    return index
