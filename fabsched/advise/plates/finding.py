"""The flat plates inside a part: where it is as thick as a sheet, all over an area.

A plate has a face on either side, a thickness that can be bought, and the same section at both faces
and half-way. A slab that ends at a slanted seam is cut square, and the wedge beyond stays with what it
is joined to. What comes close is told with the reason why it is none.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from fabsched.advise.plates.frames import Frame, all_of, area_of, rings_of
from fabsched.advise.plates.judging import ALIKE, INSIDE, Cuts, judged, touching
from fabsched.advise.plates.levels import Level, facets_of, frames_of, levels_of, sections
from fabsched.advise.plates.reaching import reaching
from fabsched.advise.plates.slabs import Found, Near, NearMiss, Slab, same_place
from fabsched.advise.plates.tapering import Search, tapered
from fabsched.estimate.twins import pair_edges
from fabsched.model.shapes import Mesh

NEAR_MM = 0.5
"""A slab this close to a sheet's thickness would do if it were drawn anew (own choice)."""
LEAST_MM2 = 400.0
"""Smaller plates are not worth a sheet (own choice)."""
SLENDER = 4.0
"""The side of a square as large as a plate is at least so many thicknesses (own choice)."""
COVERED = 0.6
"""Share of a face that may be covered by what stands on it."""
SQUARE = 1e-6
"""Cosine up to which directions stand at a right angle."""
BOX_GAIN = 1e-3
"""Share by which a box must be smaller for an outline to be turned."""

Areas = Mapping[float, CrossSection]
"""Sections by height."""


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two faces as far apart as a sheet is thick, or nearly."""

    low_mm: float
    high_mm: float
    sheet_mm: float

    @property
    def heights_mm(self) -> tuple[float, ...]:
        """Where sections tell: below, just inside, half-way, just inside, above."""
        thick = self.high_mm - self.low_mm
        step = max(2e-3, INSIDE * thick)
        low, high = self.low_mm, self.high_mm
        return low - step, low + step, low + 0.5 * thick, high - step, high + step


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """One direction with what may lie in it."""

    frame: Frame
    pairs: tuple[_Pair, ...]
    areas: Areas


def find_plates(mesh: Mesh, sheets_mm: Sequence[float], *, least_mm2: float = LEAST_MM2) -> Found:
    """Find the plates in a part.

    Args:
        mesh: the part, its surface closed; others have none.
        sheets_mm: thicknesses of sheets that can be had.
        least_mm2: smaller plates are left out.
    """
    if not sheets_mm:
        return Found()
    facets = facets_of(mesh)
    twins = pair_edges(mesh.faces, len(mesh.vertices))
    if twins.open_edges:
        return Found(closed=False)
    search = Search(
        facets=facets,
        across=twins.across,
        sheets_mm=tuple(sorted(sheets_mm)),
        least_mm2=least_mm2,
        near_mm=NEAR_MM,
    )
    ways = [_way(search, frame) for frame in frames_of(facets, least_mm2)]
    even = [found for way in ways for found in _found(way, least_mm2, even=True)]
    kept = _apart([found for found in even if isinstance(found, Slab)])
    uneven = [found for way in ways for found in _found(_less(way, kept), least_mm2, even=False)]
    kept = _apart([*kept, *(found for found in uneven if isinstance(found, Slab))])
    kept = [slab for slab in reaching(kept) if _is_large(slab.area_mm2, slab.thick_mm, least_mm2)]
    near = [found for found in (*even, *uneven) if isinstance(found, NearMiss)]
    near += [miss for way in ways for miss in tapered(search, way.frame)]
    return Found(
        slabs=tuple(_straightened(slab) for slab in kept), near=tuple(_worth_telling(near, kept))
    )


def _worth_telling(near: Sequence[NearMiss], kept: Sequence[Slab]) -> list[NearMiss]:
    """What comes close where there is no plate; of each reason and thickness once, larger ones first."""
    told: list[NearMiss] = []
    # where faces are not parallel, sections differ too: that is no second reason
    for miss in sorted(near, key=lambda m: (m.reason is not Near.TAPERED, -m.slab.area_mm2)):
        if not any(same_place(miss.slab, slab) for slab in kept) and not any(
            _is_told(miss, other) for other in told
        ):
            told.append(miss)
    return sorted(told, key=lambda miss: -miss.slab.area_mm2)


def _is_told(miss: NearMiss, other: NearMiss) -> bool:
    """Whether another has told of the same place; of two sheets as close both are told."""
    if Near.TAPERED in {miss.reason, other.reason}:
        shared = float((miss.slab.body() ^ other.slab.body()).volume())
        return shared > 0.5 * _volume_mm3(miss.slab)
    same_sheet = miss.slab.sheet_mm == other.slab.sheet_mm
    return (same_sheet or miss.reason is not other.reason) and same_place(miss.slab, other.slab)


def _volume_mm3(slab: Slab) -> float:
    return slab.area_mm2 * slab.thick_mm


def _way(search: Search, frame: Frame) -> _Way:
    """One direction, cut where something may lie."""
    pairs = tuple(_pairs(search, frame))
    heights = sorted({height for pair in pairs for height in pair.heights_mm})
    cut = sections(search.facets.mesh, search.across, frame, heights) if heights else ()
    return _Way(frame, pairs, dict(zip(heights, cut, strict=True)))


def _pairs(search: Search, frame: Frame) -> Iterator[_Pair]:
    """Faces that look away from each other, about as far apart as some sheet is thick.

    Half-way between two sheets both are told.
    """
    levels = levels_of(search.facets, frame, 0.2 * search.least_mm2)
    for low, high in combinations(levels, 2):
        if not _faces(low, high, 0.2 * search.least_mm2):
            continue
        thick = high.height_mm - low.height_mm
        off = abs(search.nearest(thick) - thick)
        if off <= NEAR_MM + 1e-6:
            for sheet in search.sheets_mm:
                if abs(sheet - thick) <= off + 1e-6:
                    yield _Pair(low.height_mm, high.height_mm, sheet)


def _faces(low: Level, high: Level, least_mm2: float) -> bool:
    return low.down_mm2 >= least_mm2 and high.up_mm2 >= least_mm2


def _less(way: _Way, kept: Sequence[Slab]) -> _Way:
    """A direction without the plates that stand askew to it: what leans on them ends there."""
    dots = [abs(float(slab.frame.axes[2] @ way.frame.axes[2])) for slab in kept]
    askew = [slab for slab, dot in zip(kept, dots, strict=True) if SQUARE < dot < 1.0 - 1e-9]
    if not askew or not way.pairs:
        return way
    bodies = [way.frame.laid(slab.body()) for slab in askew]
    inside = {height for pair in way.pairs for height in pair.heights_mm[1:4]}
    areas = {
        height: area - all_of([body.slice(height) for body in bodies]) if height in inside else area
        for height, area in way.areas.items()
    }
    return _Way(way.frame, way.pairs, areas)


def _found(way: _Way, least_mm2: float, *, even: bool) -> Iterator[Slab | NearMiss]:
    """What lies between the pairs of faces of one direction.

    Args:
        way: the direction.
        least_mm2: smaller plates are left out.
        even: whether slabs are looked at whose sections are all alike, or the others.
    """
    for pair in way.pairs:
        below, low, middle, high, above = (way.areas[height] for height in pair.heights_mm)
        for outline in middle.decompose():
            if not _is_large(outline.area(), pair.high_mm - pair.low_mm, least_mm2):
                continue
            cuts = Cuts(
                low=touching(low, outline),
                middle=outline,
                high=touching(high, outline),
                beyond=all_of([below, above]),
                inside=below ^ above,
            )
            if (cuts.unlike <= ALIKE) is even and _is_free(outline, below, above):
                yield from judged(_slab(way.frame, pair, outline), cuts, least_mm2)


def _is_large(area_mm2: float, thick_mm: float, least_mm2: float) -> bool:
    """Whether it is worth a sheet, and no bar."""
    return area_mm2 >= max(least_mm2, (SLENDER * thick_mm) ** 2)


def _is_free(outline: CrossSection, below: CrossSection, above: CrossSection) -> bool:
    """Whether most of both faces is free."""
    covered = max(float((side ^ outline).area()) for side in (below, above))
    return covered < COVERED * float(outline.area())


def _slab(frame: Frame, pair: _Pair, outline: CrossSection) -> Slab:
    return Slab(
        frame=frame,
        low_mm=pair.low_mm,
        high_mm=pair.high_mm,
        sheet_mm=pair.sheet_mm,
        rings=rings_of(outline),
        area_mm2=outline.area(),
    )


def _apart(slabs: Sequence[Slab]) -> list[Slab]:
    """Slabs that share no place in one direction, larger ones first."""
    kept: list[Slab] = []
    for slab in sorted(slabs, key=lambda slab: -slab.area_mm2):
        if not any(same_place(slab, other) for other in kept):
            kept.append(slab)
    return kept


def _straightened(slab: Slab) -> Slab:
    """A slab whose frame lies along the smallest box around its outline."""
    turn = _turn_of(area_of(slab.rings))
    if turn is None:
        return slab
    matrix = np.eye(3)
    matrix[:2, :2] = turn
    frame = Frame(matrix @ slab.frame.axes)
    return replace(slab, frame=frame, rings=tuple(ring @ turn.T for ring in slab.rings))


def _turn_of(outline: CrossSection) -> NDArray[np.float64] | None:
    """The turn that lays an outline along its smallest box, (2, 2); None if it lies well already.

    The smallest box has a side along one of the hull (Freeman & Shapira, CACM 18(7), 1975).
    """
    hull = np.asarray(outline.hull().to_polygons()[0])
    sides = np.roll(hull, -1, axis=0) - hull
    lengths = np.hypot(*sides.T)
    sides = sides[lengths > 1e-6] / lengths[lengths > 1e-6, None]
    turns = np.stack(
        [np.stack([sides[:, 0], sides[:, 1]], 1), np.stack([-sides[:, 1], sides[:, 0]], 1)], 1
    )
    boxes = np.prod(np.ptp(np.einsum("kij,nj->kni", turns, hull), axis=1), axis=1)
    best = int(boxes.argmin())
    if boxes[best] > (1.0 - BOX_GAIN) * float(np.prod(np.ptp(hull, axis=0))):
        return None
    return np.asarray(turns[best])
