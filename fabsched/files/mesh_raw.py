"""What mesh readers hand over, and the way from there to a part in millimetres."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fabsched.files.length_units import said_mm
from fabsched.files.mesh_measures import Floats, box
from fabsched.files.mesh_repair import mend
from fabsched.files.mesh_weld import Coordinates
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Faces, Mesh

MOST_MB = 600
"""Larger mesh files are refused: 12 million triangles of binary STL."""
SMALLEST_MM = 1e-3
LARGEST_MM = 1e5
"""Extent outside which no unit makes sense of a part."""
FAR_TIMES = 1e4
"""Further from the origin than so many times its size, a part in float32 has corners off by more
than a thousandth of its size."""
LIKELY_UNITS = ((0.4, "meter"), (3.0, "inch"))
"""Below an extent in mm, what the numbers more likely are: less than 0.4 m drawn in metres fits
printers, and so does less than 3 inches (common practice, as no source is known)."""
SMALL_MM = LIKELY_UNITS[0][0]
"""Below this extent no unit that a file names is believed without asking."""
MICRON_MM = 3000.0
"""Above this extent the numbers are more likely micrometres."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RawMesh:
    """Triangles as a file has them.

    Attributes:
        points: (n, 3) coordinates in the file's unit and precision.
        faces: (m, 3) indices into them, all of which exist.
        unit: the unit the file names; None if the format names none.
        welded: whether no two points are equal.
        findings: what was noticed so far.
    """

    points: Coordinates
    faces: Faces
    unit: str | None = None
    welded: bool = False
    findings: tuple[Finding, ...] = field(default=())


def finished(raw: RawMesh, unit: str | None, where: str) -> tuple[Mesh, tuple[Finding, ...]]:
    """Check, scale and mend what a reader found.

    Args:
        raw: the triangles.
        unit: the unit a person named; it overrules the file's.
        where: the file.

    Returns:
        The mesh in mm and all findings.

    Raises:
        InputError: no triangles, a coordinate that is no finite number, an
            unknown unit, an absurd size, or a surface beyond repair.
    """
    if not len(raw.faces):
        raise InputError(Fault.NO_TRIANGLES, where)
    check_finite(raw.points, raw.faces, where)
    scale = _scale(raw, unit, where)
    points = raw.points.astype(np.float64)
    points *= scale
    faces = np.ascontiguousarray(raw.faces, dtype=np.int32)
    asks = unit is None and (raw.unit is None or scale != 1.0)
    noticed = _size_findings(*box(points, faces), where, scale=scale if asks else None)
    mesh, mended = mend(Mesh(points, faces), where, welded=raw.welded)
    return mesh, (*raw.findings, *noticed, *mended)


def _scale(raw: RawMesh, unit: str | None, where: str) -> float:
    said = raw.unit if unit is None else unit
    return 1.0 if said is None else said_mm(said, where)


def check_indices(corners: NDArray[np.int64], count: int, where: str) -> None:
    """Refuse indices below 0 or from `count` on.

    Raises:
        InputError: names the first of them.
    """
    wrong = (corners < 0) | (corners >= count)
    if wrong.any():
        index = int(corners[wrong][0])
        raise InputError(Fault.BAD_INDEX, where, what="vertex", index=index, count=count)


def check_finite(points: Coordinates, faces: Faces, where: str) -> None:
    """Refuse coordinates that are no finite numbers, before any are compared: nan equals nothing.

    Raises:
        InputError: names the first triangle with one.
    """
    sound = np.asarray(np.isfinite(points))
    if sound.all():
        return
    sound = np.asarray(sound.all(axis=1))
    broken = np.flatnonzero(~sound[faces].all(axis=1))
    what = f"triangle {broken[0] + 1}" if len(broken) else "unused vertex"
    raise InputError(Fault.NUMBER_NOT_FINITE, where, what=what)


def _size_findings(
    low: Floats, high: Floats, where: str, *, scale: float | None
) -> tuple[Finding, ...]:
    """Refuse absurd sizes; notice unlikely ones and those far from the origin.

    Args:
        low: lowest corner of the box, in mm.
        high: its highest corner.
        where: the file.
        scale: millimetres in the unit the file names, 1 if it names none; None if the unit is not
            questioned: a person has named it, or the file says millimetres.
    """
    size_mm = float((high - low).max())
    if not SMALLEST_MM <= size_mm <= LARGEST_MM:
        raise InputError(
            Fault.SIZE_ABSURD, where, size=_short(size_mm), low=SMALLEST_MM, high=LARGEST_MM
        )
    found = []
    likely = None if scale is None else _likely_unit(size_mm, scale)
    if likely is not None:
        facts: dict[str, Fact] = {"size": _short(size_mm), "unit": likely}
        found.append(Finding(code=Remark.UNIT_SUSPECT, where=where, facts=facts))
    away_mm = float(np.abs((low + high) / 2).max())
    if away_mm > FAR_TIMES * size_mm:
        far = {"distance": _short(away_mm)}
        found.append(Finding(code=Remark.FAR_FROM_ORIGIN, where=where, facts=far))
    return tuple(found)


def _likely_unit(size_mm: float, scale: float = 1.0) -> str | None:
    """The unit in which a part of that many would be of a usual size, if its own is not likely."""
    if scale != 1.0:
        usual = LIKELY_UNITS[-1][0] <= size_mm / scale <= MICRON_MM
        return "millimeter" if usual and not SMALL_MM <= size_mm <= MICRON_MM else None
    if size_mm > MICRON_MM:
        return "micron"
    return next((unit for limit, unit in LIKELY_UNITS if size_mm < limit), None)


def _short(value: float) -> float:
    """A number with four digits."""
    return float(f"{value:.4g}")
