"""Slabs whose faces are not parallel: they look like plates, and no sheet is like them."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.advise.plates.frames import Frame, along, rings_of
from fabsched.advise.plates.levels import Facets, Level, levels_of, sections
from fabsched.advise.plates.slabs import Near, NearMiss, Slab
from fabsched.estimate.arrays import Indices
from fabsched.model.errors import Fact

MOST_DEG = 5.0
"""Faces at a larger angle are no plate's (own choice)."""
LEAST_DEG = 0.02
"""Over 150 mm faces at this angle come 0.05 mm apart, which a sheet's own thickness does too."""
CELLS = 1e4
"""Normals are sorted into cells of this many to a unit, 0.006 degrees."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Face:
    """A flat face nearly parallel to another.

    Attributes:
        away_mm: (n,) heights of its corners along the other's normal.
        looks_up: whether it looks along that.
        angle_deg: between the two.
    """

    away_mm: Floats
    looks_up: bool
    angle_deg: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Search:
    """Where slabs are looked for.

    Attributes:
        facets: the part.
        across: twins of its half-edges.
        sheets_mm: thicknesses that can be had.
        least_mm2: smaller ones are left out.
        near_mm: how far a thickness may be from a sheet's.
    """

    facets: Facets
    across: Indices
    sheets_mm: tuple[float, ...]
    least_mm2: float
    near_mm: float

    def nearest(self, thick_mm: float) -> float:
        """The sheet closest to a thickness."""
        return min(self.sheets_mm, key=lambda sheet: abs(sheet - thick_mm))


def tapered(search: Search, frame: Frame) -> Iterator[NearMiss]:
    """What lies between a flat face and one that is nearly parallel to it.

    Args:
        search: the part.
        frame: of the flat face.
    """
    faces = list(_slanted(search, frame))
    if not faces:
        return
    levels = levels_of(search.facets, frame, 0.2 * search.least_mm2)
    for face in faces:
        for level in levels:
            yield from _between(search, frame, face, level)


def _slanted(search: Search, frame: Frame) -> Iterator[_Face]:
    """Faces nearly parallel to a direction."""
    facets = search.facets
    dots = along(facets.normals, frame.axes[2])
    least, most = (math.cos(math.radians(angle)) for angle in (MOST_DEG, LEAST_DEG))
    chosen = np.flatnonzero((np.abs(dots) > least) & (np.abs(dots) < most))
    if facets.areas_mm2[chosen].sum() < 0.2 * search.least_mm2:
        return
    cells = np.round(facets.normals[chosen] * CELLS).astype(np.int64)
    _, number = np.unique(cells, axis=0, return_inverse=True)
    weight = np.bincount(number.ravel(), facets.areas_mm2[chosen])
    for cell in np.flatnonzero(weight >= 0.2 * search.least_mm2):
        mine = chosen[number.ravel() == cell]
        corners = np.unique(facets.mesh.faces[mine])
        dot = float(dots[mine[0]])
        yield _Face(
            away_mm=along(facets.mesh.vertices[corners], frame.axes[2]),
            looks_up=dot > 0.0,
            angle_deg=math.degrees(math.acos(min(1.0, abs(dot)))),
        )


def _between(search: Search, frame: Frame, face: _Face, level: Level) -> Iterator[NearMiss]:
    """What lies between a face and a level that looks the other way, if it is as thick as a sheet."""
    flat_mm2 = level.down_mm2 if face.looks_up else level.up_mm2
    thick = (face.away_mm - level.height_mm) * (1.0 if face.looks_up else -1.0)
    middle = 0.5 * float(thick.min() + thick.max())
    sheet = search.nearest(middle)
    if flat_mm2 < 0.2 * search.least_mm2 or thick.min() < 0.0:
        return
    if abs(sheet - middle) > search.near_mm + 0.5 * float(np.ptp(thick)) or np.ptp(thick) > sheet:
        return
    end = level.height_mm + (0.5 if face.looks_up else -0.5) * float(thick.min() + 1e-3)
    for outline in sections(search.facets.mesh, search.across, frame, [end])[0].decompose():
        if outline.area() < search.least_mm2:
            continue
        facts: dict[str, Fact] = {
            "angle": round(face.angle_deg, 2),
            "low": round(float(thick.min()), 2),
            "high": round(float(thick.max()), 2),
        }
        low, high = sorted((level.height_mm, float(face.away_mm.mean())))
        slab = Slab(
            frame=frame,
            low_mm=low,
            high_mm=high,
            sheet_mm=sheet,
            rings=rings_of(outline),
            area_mm2=outline.area(),
        )
        yield NearMiss(slab=slab, reason=Near.TAPERED, facts=facts)
