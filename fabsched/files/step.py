"""STEP: solids of CAD programs with their real units (ISO 10303, protocols 203, 214 and 242)."""

from pathlib import Path

import numpy as np

from fabsched.files.guard import guarded
from fabsched.files.mesh_raw import RawMesh, finished
from fabsched.files.step_solids import Triangles, read_solids
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Mesh, Points3

LIMIT_S = 60.0
"""An assembly may take a while; a radius beyond all bounds takes for ever."""
LIMIT_MB = 4000
MM = 1000.0
"""Millimetres in a metre: the library gives metres, whatever the file has."""
ROUND_MM = 1e-4
"""Corners are rounded to this, which joins faces that meet: the library gives each face its own."""
FINE = 2.0**-23
"""Nor finer than this share of the largest coordinate, which float32 does not hold."""


def read_step(
    path: Path, _unit: str | None = None, limit_s: float = LIMIT_S
) -> tuple[Mesh, tuple[Finding, ...]]:
    """Read a STEP file, all its solids as one part.

    Args:
        path: the file.
        _unit: not used: the file names its unit.
        limit_s: seconds after which reading is given up.

    Returns:
        The mesh in mm, mended, and what was noticed: names of several solids, round holes.

    Raises:
        InputError: the file cannot be used, and why. A surface with gaps is refused where faces of
            the file are missing from it, and mended like any other mesh where they are all there.
    """
    read: tuple[Triangles, tuple[Finding, ...]]
    read = guarded(read_solids, path, None, limit_s, LIMIT_MB)
    triangles, findings = read
    raw = RawMesh(
        points=_rounded(triangles.points * MM),
        faces=triangles.faces,
        unit="millimeter",
        findings=findings,
    )
    mesh, found = finished(raw, None, str(path))
    if triangles.read < triangles.said and any(f.code is Remark.MESH_OPEN for f in found):
        said, have = triangles.said, triangles.read
        raise InputError(Fault.COUNT_MISMATCH, str(path), what="faces", want=said, have=have)
    return mesh, found


def _rounded(points: Points3) -> Points3:
    step = max(ROUND_MM, FINE * float(np.abs(points).max(initial=0.0)))
    return np.round(points / step) * step
