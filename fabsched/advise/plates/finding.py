"""The flat plates inside a part: where it is as thick as a sheet, all over an area.

A plate has a face on either side, a thickness that can be bought, and the same section at both faces
and half-way. What comes close is told with the reason why it is none.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import combinations

import numpy as np
from manifold3d import CrossSection, JoinType, OpType
from numpy.typing import NDArray

from fabsched.advise.plates.frames import Frame, area_of, rings_of
from fabsched.advise.plates.levels import Facets, Level, facets_of, frames_of, levels_of, sections
from fabsched.estimate.arrays import Indices
from fabsched.estimate.twins import pair_edges
from fabsched.model.errors import Fact
from fabsched.model.shapes import Mesh, Points2

MATCH_MM = 0.05
"""A slab this close to the sheet's thickness is made of it."""
NEAR_MM = 0.35
"""A slab this close to it would do if it were drawn anew (own choice)."""
LEAST_MM2 = 400.0
"""Smaller plates are not worth a sheet (own choice)."""
SLENDER = 4.0
"""The side of a square as large as a plate is at least so many thicknesses (own choice)."""
ALIKE = 0.002
"""Share of the area by which sections of a plate may differ."""
NEARLY = 0.15
"""Share up to which they nearly agree, so that the reason is worth telling."""
COVERED = 0.6
"""Share of a face that may be covered by what stands on it."""
WEB = 0.3
"""Thinnest web of a plate, in thicknesses; thinner ones burn or break (common practice)."""
LOST = 0.01
"""Share of the area in thinner webs from which a plate is a lattice."""


BOX_GAIN = 1e-3
"""Share by which a box must be smaller for an outline to be turned."""


class Near(StrEnum):
    """Why a slab is nearly a plate. The wording table's `[near]` has a template for each."""

    THICKNESS = "thickness"
    DRAFTED = "drafted"
    COUNTERSUNK = "countersunk"
    LATTICE = "lattice"
    ASKEW = "askew"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Slab:
    """A plate inside a part.

    Attributes:
        frame: directions in which it lies flat.
        low_mm, high_mm: heights of its faces along the frame's normal.
        sheet_mm: thickness of the sheet it is cut from.
        rings: its outline half-way, in the frame: outer borders counter-clockwise, holes clockwise.
        area_mm2: area of the outline.
    """

    frame: Frame
    low_mm: float
    high_mm: float
    sheet_mm: float
    rings: tuple[Points2, ...]
    area_mm2: float

    @property
    def thick_mm(self) -> float:
        """Thickness as drawn."""
        return self.high_mm - self.low_mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class NearMiss:
    """What is nearly a plate.

    Attributes:
        slab: where it is.
        reason: why it is none.
        facts: values for the template of `reason`, adopting the sheet's thickness among them.
    """

    slab: Slab
    reason: Near
    facts: Mapping[str, Fact] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """What was found in a part.

    Attributes:
        slabs: the plates, the largest first.
        near: what comes close, the largest first.
    """

    slabs: tuple[Slab, ...] = ()
    near: tuple[NearMiss, ...] = ()


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
        step = max(2e-3, 0.01 * thick)
        low, high = self.low_mm, self.high_mm
        return low - step, low + step, low + 0.5 * thick, high - step, high + step


def find_plates(mesh: Mesh, sheets_mm: Sequence[float], *, least_mm2: float = LEAST_MM2) -> Found:
    """Find the plates in a part.

    Args:
        mesh: the part, its surface closed; others have none.
        sheets_mm: thicknesses of sheets that can be had.
        least_mm2: smaller plates are left out.
    """
    facets = facets_of(mesh)
    frames = frames_of(facets, least_mm2)
    pairs = {
        number: _pairs(facets, frame, sheets_mm, least_mm2) for number, frame in enumerate(frames)
    }
    if not any(pairs.values()):
        return Found()
    twins = pair_edges(mesh.faces, len(mesh.vertices))
    if twins.open_edges:
        return Found()
    near: list[NearMiss] = []
    slabs: list[Slab] = []
    for number, frame in enumerate(frames):
        for found in _in_direction(mesh, twins.across, frame, pairs[number], least_mm2):
            if isinstance(found, NearMiss):
                near.append(found)
            else:
                slabs.append(found)
    kept = _apart(sorted(slabs, key=lambda slab: -slab.area_mm2))
    misses = [miss for miss in near if not any(_same_place(miss.slab, slab) for slab in kept)]
    kept = [_straightened(slab) for slab in kept]
    return Found(
        slabs=tuple(kept), near=tuple(sorted(misses, key=lambda miss: -miss.slab.area_mm2))
    )


def _pairs(
    facets: Facets, frame: Frame, sheets_mm: Sequence[float], least_mm2: float
) -> list[_Pair]:
    """Faces that look away from each other, about as far apart as some sheet is thick."""
    if not sheets_mm:
        return []
    levels = levels_of(facets, frame, 0.2 * least_mm2)
    return [
        _Pair(low.height_mm, high.height_mm, sheet)
        for low, high in combinations(levels, 2)
        if _faces(low, high, 0.2 * least_mm2)
        and abs(
            (sheet := _nearest(sheets_mm, high.height_mm - low.height_mm))
            - (high.height_mm - low.height_mm)
        )
        <= NEAR_MM
    ]


def _faces(low: Level, high: Level, least_mm2: float) -> bool:
    return low.down_mm2 >= least_mm2 and high.up_mm2 >= least_mm2


def _nearest(sheets_mm: Sequence[float], thick_mm: float) -> float:
    return min(sheets_mm, key=lambda sheet: abs(sheet - thick_mm))


def _in_direction(
    mesh: Mesh, across: Indices, frame: Frame, pairs: Sequence[_Pair], least_mm2: float
) -> Iterator[Slab | NearMiss]:
    """What lies between the pairs of faces of one direction."""
    if not pairs:
        return
    heights = sorted({height for pair in pairs for height in pair.heights_mm})
    areas = dict(zip(heights, sections(mesh, across, frame, heights), strict=True))
    for pair in pairs:
        below, low, middle, high, above = (areas[height] for height in pair.heights_mm)
        for outline in middle.decompose():
            area_mm2, thick = outline.area(), pair.high_mm - pair.low_mm
            if area_mm2 < max(least_mm2, (SLENDER * thick) ** 2):
                continue
            cover = max((below ^ outline).area(), (above ^ outline).area()) / area_mm2
            if cover < COVERED:
                slab = Slab(
                    frame=frame,
                    low_mm=pair.low_mm,
                    high_mm=pair.high_mm,
                    sheet_mm=pair.sheet_mm,
                    rings=rings_of(outline),
                    area_mm2=area_mm2,
                )
                yield from _judged(slab, outline, low, high)


def _judged(
    slab: Slab, outline: CrossSection, low: CrossSection, high: CrossSection
) -> Iterator[Slab | NearMiss]:
    """A slab as a plate, as nearly one, or not at all."""
    ends = [_touching(section, outline) for section in (low, high)]
    unlike = max(_unlike(end, outline) for end in ends)
    if unlike > NEARLY:
        return
    if unlike > ALIKE:
        yield _uneven(slab, outline, ends)
    elif abs(slab.thick_mm - slab.sheet_mm) > MATCH_MM:
        yield _off(slab)
    elif (lost := _in_webs(outline, slab.thick_mm)) > LOST:
        facts: dict[str, Fact] = {"web": round(WEB * slab.thick_mm, 2), "share": f"{lost:.0%}"}
        yield NearMiss(slab=slab, reason=Near.LATTICE, facts=facts)
    else:
        yield slab


def _touching(section: CrossSection, outline: CrossSection) -> CrossSection:
    """The islands of a section that lie over an outline."""
    return CrossSection.compose(
        [island for island in section.decompose() if not (island ^ outline).is_empty()]
    )


def _unlike(one: CrossSection, other: CrossSection) -> float:
    """Area in one of two only, as a share of the second."""
    return float(((one - other).area() + (other - one).area()) / other.area())


def _filled(area: CrossSection) -> CrossSection:
    """An area without its holes."""
    return area_of([ring for ring in area.to_polygons() if signed_mm2(ring) > 0.0])


def signed_mm2(ring: Points2) -> float:
    """Area inside a ring, negative if it runs clockwise.

    >>> import numpy as np
    >>> signed_mm2(np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 1.0]]))
    1.0
    """
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x[:-1] @ y[1:] - x[1:] @ y[:-1] + x[-1] * y[0] - x[0] * y[-1]))


def _uneven(slab: Slab, outline: CrossSection, ends: Sequence[CrossSection]) -> NearMiss:
    """A slab whose sections differ: in its holes alone, or all around."""
    around = max(_unlike(_filled(end), _filled(outline)) for end in ends)
    differs = round(max(_unlike(end, outline) for end in ends) * slab.area_mm2, 1)
    facts: dict[str, Fact] = {"area": differs, "sheet": slab.sheet_mm}
    if around > ALIKE:
        return NearMiss(slab=slab, reason=Near.DRAFTED, facts=facts)
    facts["holes"] = _changing_holes(outline, ends)
    return NearMiss(slab=slab, reason=Near.COUNTERSUNK, facts=facts)


def _changing_holes(outline: CrossSection, ends: Sequence[CrossSection]) -> int:
    """How many holes of an outline are not the same at both faces."""
    changes = CrossSection.batch_boolean([*ends, outline], OpType.Add) - (
        ends[0] ^ ends[1] ^ outline
    )
    return sum(1 for island in changes.decompose() if island.area() > 0.01)


def _off(slab: Slab) -> NearMiss:
    """A slab of another thickness, with what the sheet's would change."""
    change = slab.sheet_mm - slab.thick_mm
    facts: dict[str, Fact] = {
        "thick": round(slab.thick_mm, 3),
        "sheet": slab.sheet_mm,
        "shift": round(change, 3),
        "volume": round(change * slab.area_mm2, 1),
    }
    return NearMiss(slab=slab, reason=Near.THICKNESS, facts=facts)


def _in_webs(outline: CrossSection, thick_mm: float) -> float:
    """Share of an outline that lies in webs too thin for a laser."""
    half = 0.5 * WEB * thick_mm
    opened = outline.offset(-half, JoinType.Miter, 2.0).offset(half, JoinType.Miter, 2.0)
    return float((outline - opened).area() / outline.area())


def _apart(slabs: Sequence[Slab]) -> list[Slab]:
    """Slabs that share no place in one direction, larger ones first."""
    kept: list[Slab] = []
    for slab in slabs:
        if not any(_same_place(slab, other) for other in kept):
            kept.append(slab)
    return kept


def _same_place(one: Slab, other: Slab) -> bool:
    """Whether two slabs of one direction overlap."""
    if abs(one.frame.axes[2] @ other.frame.axes[2]) < 1.0 - 1e-9:
        return False
    shared = min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm)
    return shared > 1e-3 and (area_of(one.rings) ^ area_of(other.rings)).area() > 1.0


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
