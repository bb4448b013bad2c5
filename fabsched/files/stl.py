"""STL, binary and text: three corners for every facet, nothing else worth having.

The layouts follow the 3D Systems "StereoLithography Interface Specification" (1988): a binary file
has an 80-byte header, a count and 50 bytes per facet; a text file has `facet`, `outer loop` and three
`vertex` lines per facet between `solid` and `endsolid`. Neither names a unit. The stored normals are
left out, since the order of the corners says the same.
"""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.mesh_raw import MOST_MB, RawMesh, check_finite, finished
from fabsched.files.mesh_weld import Coordinates, numbered
from fabsched.files.source import read_source
from fabsched.files.stl_text import is_text, text_corners
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Mesh

HEADER = 80
START = HEADER + 4
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One facet of a binary file, 50 bytes."""
CREATED = b"binary STL, millimetres"
"""Header of written files; it must not begin with `solid`."""

PLAUSIBLE = 1e9
"""Coordinates of a facet are below this, in any unit; bytes of something else rarely are."""


def read_stl(path: Path, unit: str | None = None) -> tuple[Mesh, tuple[Finding, ...]]:
    """Read an STL file.

    Args:
        path: the file.
        unit: the unit of its numbers; None takes mm.

    Returns:
        The mesh in mm, mended, and what was noticed.

    Raises:
        InputError: the file cannot be used, and why.
    """
    where = str(path)
    return finished(parse_stl(read_source(path, MOST_MB), where), unit, where)


def write_stl(path: Path, mesh: Mesh) -> None:
    """Write a mesh as binary STL in mm, in one step.

    Raises:
        InputError: the file cannot be written.
    """
    write_bytes_atomic(path, stl_bytes(mesh))


def stl_bytes(mesh: Mesh) -> bytes:
    """A mesh as binary STL, coordinates rounded to float32."""
    records = np.zeros(len(mesh.faces), RECORD)
    corners = mesh.vertices[mesh.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    records["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
    records["corners"] = corners
    return CREATED.ljust(HEADER) + len(records).to_bytes(4, "little") + records.tobytes()


def parse_stl(data: bytes, where: str) -> RawMesh:
    """The triangles of an STL file, corners with equal coordinates shared.

    Args:
        data: the whole file.
        where: its name.

    Raises:
        InputError: it is no STL, cut off, or its count is wrong.
    """
    count = int.from_bytes(data[HEADER:START], "little")
    want = START + count * RECORD.itemsize
    if len(data) == want:
        return _shared(_corners(data, count), 0, where)
    if is_text(data):
        return _shared(*text_corners(data, where), where)
    _check_size(data, count, where)
    return _shared(_corners(data, count), len(data) - want, where)


def _corners(data: bytes, count: int) -> NDArray[np.float32]:
    """The corners of the first facets of a binary file, (3 count, 3)."""
    held = memoryview(data)[START : START + count * RECORD.itemsize]  # not a copy of it
    records = np.frombuffer(held, RECORD)
    return np.ascontiguousarray(records["corners"]).reshape(-1, 3)


def _shared(corners: Coordinates, extra: int, where: str) -> RawMesh:
    """Number the corners; comparing float32 is half the work of comparing float64 later."""
    check_finite(corners, np.arange(len(corners), dtype=np.int32).reshape(-1, 3), where)
    number, first = numbered(corners)
    trailing = Finding(code=Remark.TRAILING_DATA, where=where, facts={"bytes": extra})
    return RawMesh(
        points=corners[first],
        faces=number.reshape(-1, 3),
        welded=True,
        findings=(trailing,) if extra else (),
    )


def _check_size(data: bytes, count: int, where: str) -> None:
    """Refuse a binary file whose size contradicts its count, unless by a tail of something else."""
    held = max(0, len(data) - START) // RECORD.itemsize
    if not _plausible(data, held):
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="STL")
    want = START + count * RECORD.itemsize
    if len(data) < want:
        raise InputError(Fault.FILE_TRUNCATED, where, have=len(data), want=want)
    tail = data[want:]
    if tail.strip(b"\0") and len(tail) % RECORD.itemsize == 0:
        raise InputError(Fault.COUNT_MISMATCH, where, what="triangles", want=count, have=held)


def _plausible(data: bytes, held: int) -> bool:
    """Whether bytes of the wrong length were an STL file once: by zero bytes and the first facets."""
    first = _corners(data, min(held, 4))
    with np.errstate(invalid="ignore"):  # any bytes are numbers, some of them signal
        return b"\0" in data and bool((np.abs(first) < PLAUSIBLE).all())
