"""Makes a closed, outward-facing surface of what a mesh file holds, or says why it cannot.

Every step only acts where something is amiss, so a sound mesh passes in one look at its edges:
corners joined, facets that are no surface left out, gaps of less than a hair joined, facets turned
until neighbours agree, and shells turned until they enclose what they should.
"""

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.files.mesh_kernels import Flags, Indices, pair, shells
from fabsched.files.mesh_measures import Measures, measured
from fabsched.files.mesh_shells import inverted_shells
from fabsched.files.mesh_weld import compact, flat, pinched, repeated, snapped, weld
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Faces, Mesh, Points3

SNAP_MM = 1e-3
"""Corners are joined across gaps up to this: far below any bead, above the noise of float32 and of
text with four decimals."""
SNAP_SHARE = 1e-3
"""Nor are they joined across more than this share of the part's diagonal."""
OPEN_SHARE = 0.25
"""With more open half-edges than this share of all, the facets are no surface."""
LEAK_SHARE = 0.5
"""A closed surface's area vectors add up to nothing. Where what they add up to is more than this
share of the area, most of the surface is missing: an open box is at 0.2, a lone sheet at 1."""
FLAT_SHARE = 1e-7
"""Less volume per area than this share of the part's diagonal is none: what rounding to float32
leaves of a solid pressed flat."""


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """A mesh with its half-edges paired.

    Attributes:
        points: (n, 3) in mm.
        faces: (m, 3).
        twins: (3m,) the half-edge running back along each, or -1.
        clashes: (3m,) the half-edge wrongly running along with each, or -1.
        crowded: edges at which more than two facets meet.
    """

    points: Points3
    faces: Faces
    twins: Indices
    clashes: Indices
    crowded: int

    @classmethod
    def of(cls, points: Points3, faces: Faces) -> "Surface":
        """Pair the half-edges of a mesh without pinched facets."""
        faces = np.ascontiguousarray(faces, dtype=np.int32)
        return cls(points, faces, *pair(faces, len(points)))

    @property
    def open_edges(self) -> NDArray[np.bool_]:
        """Which half-edges have no other side, (3m,)."""
        return np.asarray((self.twins < 0) & (self.clashes < 0))

    @property
    def gaps(self) -> int:
        """How many half-edges have no other side."""
        return int(np.count_nonzero(self.open_edges))

    @property
    def unpaired(self) -> int:
        """How many half-edges have no twin: none means closed and facing one way throughout."""
        return int(np.count_nonzero(self.twins < 0))

    def without(self, dropped: NDArray[np.bool_]) -> "Surface":
        """The same surface less some facets."""
        return Surface.of(self.points, self.faces[~dropped]) if dropped.any() else self

    def turned(self, facets: NDArray[np.bool_]) -> "Surface":
        """The same surface with some facets facing the other way."""
        if not facets.any():
            return self
        faces = self.faces.copy()
        faces[facets, 1:] = faces[facets, :0:-1]
        return Surface.of(self.points, faces)


def mend(mesh: Mesh, where: str, *, welded: bool = False) -> tuple[Mesh, tuple[Finding, ...]]:
    """Close and orient a mesh as far as that is safe, and say what was done.

    Args:
        mesh: any triangles, corners shared or not, in mm.
        where: the file, for messages.
        welded: whether no two vertices are known to be equal, which saves looking.

    Returns:
        The mesh, every vertex used and no two alike, and the findings.

    Raises:
        InputError: no triangles are left, they enclose nothing, or most of them are missing.
    """
    seen: Counter[Remark] = Counter()
    points, faces = (mesh.vertices, mesh.faces) if welded else weld(mesh.vertices, mesh.faces)
    surface = _deduped(_surface(points, faces, seen), seen)
    if surface.gaps:
        surface = _unflattened(_joined(surface, seen), seen)
    if not len(surface.faces):
        raise InputError(Fault.NO_TRIANGLES, where)
    surface, measures = _outward(_agreed(surface, seen), seen)
    _refuse_hopeless(surface, measures, where)
    if surface.unpaired:
        seen[Remark.MESH_OPEN] = surface.unpaired
    return Mesh(*compact(surface.points, surface.faces)), _findings(seen, where)


def _surface(points: Points3, faces: Faces, seen: Counter[Remark]) -> Surface:
    """Leave out facets that use a vertex twice."""
    dropped = pinched(faces)
    seen[Remark.FACETS_DROPPED] += int(np.count_nonzero(dropped))
    return Surface.of(points, faces[~dropped])


def _deduped(surface: Surface, seen: Counter[Remark]) -> Surface:
    """Leave out repeated facets; without crowded or clashing edges there cannot be any."""
    if not surface.crowded and not (surface.clashes >= 0).any():
        return surface
    again = repeated(surface.faces)
    seen[Remark.DUPLICATES_DROPPED] += int(np.count_nonzero(again))
    return surface.without(again)


def _joined(surface: Surface, seen: Counter[Remark]) -> Surface:
    """Join corners along gaps too narrow to mean anything, if that closes any."""
    rim = np.unique(surface.faces.reshape(-1)[_rim_corners(surface)])
    points = surface.points.copy()
    points[rim] = snapped(points[rim], _snap_mm(points))
    trial_seen = seen.copy()
    trial = _deduped(_surface(*weld(points, surface.faces), trial_seen), trial_seen)
    if trial.gaps >= surface.gaps:
        return surface
    seen.update(trial_seen - seen)
    seen[Remark.WELDED] = 1
    return trial


def _rim_corners(surface: Surface) -> NDArray[np.bool_]:
    """Which corners, (3m,), start or end an open half-edge."""
    starts = surface.open_edges.reshape(-1, 3)
    return np.asarray(starts | np.roll(starts, 1, axis=1)).reshape(-1)


def _snap_mm(points: Points3) -> float:
    diagonal = float(np.linalg.norm(np.ptp(points, axis=0)))
    return max(min(SNAP_MM, SNAP_SHARE * diagonal), np.finfo(np.float64).tiny)


def _unflattened(surface: Surface, seen: Counter[Remark]) -> Surface:
    """Leave out facets without area where gaps remain, unless they are what closes others.

    In a sound mesh such slivers stay: they join the long edge of one facet to the two short ones
    of its neighbours.
    """
    slivers = flat(surface.points, surface.faces)
    trial = surface.without(slivers)
    if trial.gaps >= surface.gaps:
        return surface
    seen[Remark.FACETS_DROPPED] += int(np.count_nonzero(slivers))
    return trial


def _agreed(surface: Surface, seen: Counter[Remark]) -> Surface:
    """Turn facets so that neighbours face the same way, the fewer ones of every shell."""
    if not (surface.clashes >= 0).any():
        return surface
    shell, unlike = shells(surface.twins, surface.clashes)
    wrong = _minority(shell, unlike)
    seen[Remark.WINDING_MENDED] += int(np.count_nonzero(wrong))
    return surface.turned(wrong)


def _minority(shell: Indices, unlike: Flags) -> NDArray[np.bool_]:
    """Of every shell, the facets of whichever side is smaller."""
    count = np.bincount(shell)
    odd = np.bincount(shell, weights=unlike, minlength=len(count))
    return np.asarray((unlike == 1) ^ (2 * odd > count)[shell])


def _outward(surface: Surface, seen: Counter[Remark]) -> tuple[Surface, Measures]:
    """Turn everything if it encloses less than nothing, then closed shells that are no hollows."""
    measures = measured(surface.points, surface.faces)
    if measures.volume_mm3 < 0:
        seen[Remark.TURNED_INSIDE_OUT] = 1
        surface = surface.turned(np.ones(len(surface.faces), dtype=np.bool_))
        measures = measured(surface.points, surface.faces)
    shell, _ = shells(surface.twins, surface.clashes)
    wrong = inverted_shells(
        surface.points, surface.faces, measures.volumes, shell, surface.twins < 0
    )
    seen[Remark.WINDING_MENDED] += int(np.count_nonzero(wrong))
    if wrong.any():
        surface = surface.turned(wrong)
        measures = measured(surface.points, surface.faces)
    return surface, measures


def _refuse_hopeless(surface: Surface, measures: Measures, where: str) -> None:
    leaks = measures.leak_mm2 > LEAK_SHARE * measures.area_mm2
    if leaks or surface.unpaired > OPEN_SHARE * surface.twins.size:
        raise InputError(Fault.MESH_TOO_BROKEN, where, gaps=surface.unpaired)
    size_mm = float(np.linalg.norm(measures.high - measures.low))
    if not measures.volume_mm3 > FLAT_SHARE * size_mm * measures.area_mm2:
        raise InputError(Fault.NO_VOLUME, where)


def _findings(seen: Counter[Remark], where: str) -> tuple[Finding, ...]:
    facts: dict[Remark, dict[str, Fact]] = {
        Remark.WELDED: {"tolerance": SNAP_MM},
        Remark.MESH_OPEN: {"gaps": seen[Remark.MESH_OPEN]},
        Remark.TURNED_INSIDE_OUT: {},
    }
    return tuple(
        Finding(code=code, where=where, facts=facts.get(code, {"count": count}))
        for code, count in seen.items()
        if count
    )
