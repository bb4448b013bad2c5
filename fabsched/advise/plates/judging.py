"""Whether a slab is a plate, and if not, why not."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection, JoinType, OpType

from fabsched.advise.plates.frames import area_of, rings_of
from fabsched.advise.plates.slabs import Near, NearMiss, Slab
from fabsched.model.errors import Fact
from fabsched.model.shapes import Points2

MATCH_MM = 0.05
"""A slab this close to the sheet's thickness is made of it."""
ALIKE = 0.002
"""Share of the area by which sections of a plate may differ."""
NEARLY = 0.15
"""Share up to which they nearly agree, so that the reason is worth telling."""
BURIED = 0.5
"""Share of what lies beside a slanted edge that other material covers where the edge is a seam in
the part rather than a free one."""
ALONG = 0.75
"""Share of what lies along its sloping edges on which others stand where these are corners (own choice)."""
WEB = 0.3
"""Thinnest web of a plate, in thicknesses; thinner ones burn or break (common practice)."""
LOST = 0.01
"""Share of the area in thinner webs from which a plate is a lattice."""
COARSE_MM = 0.02
"""Corners of a border that lie closer to the line between others do not matter for its webs."""
SAME_MM = 1e-6
"""Corners closer than this are the same."""
INSIDE = 0.01
"""How far inside its faces a slab is cut, in thicknesses."""
SPARE_MM = 1e-4
"""Room for rounding."""
STEPS = 12
"""Halvings by which a distance is looked for."""
FREE_MM2 = 0.01
"""Smaller differences are no hole's."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cuts:
    """Sections of one slab.

    Attributes:
        low, middle, high: just inside its lower face, half-way, just inside its upper face; of the
            first and last only what touches the middle.
        beyond: just outside either face, all there is.
        inside: just outside both faces: there the slab runs into something thicker.
    """

    low: CrossSection
    middle: CrossSection
    high: CrossSection
    beyond: CrossSection
    inside: CrossSection

    @property
    def unlike(self) -> float:
        """Share by which the sections differ."""
        return max(unlike(end, self.middle) for end in (self.low, self.high))

    @property
    def common(self) -> CrossSection:
        """What all sections share."""
        return self.low ^ self.middle ^ self.high

    @property
    def every(self) -> CrossSection:
        """What any section covers."""
        return CrossSection.batch_boolean([self.low, self.middle, self.high], OpType.Add)


def judged(slab: Slab, cuts: Cuts, least_mm2: float) -> Iterator[Slab | NearMiss]:
    """A slab as a plate, as nearly one, or not at all.

    Args:
        slab: as its section half-way shows it.
        cuts: its sections.
        least_mm2: smaller plates are left out.
    """
    if cuts.unlike <= ALIKE:
        yield plain(slab, cuts.middle)
    elif _is_seam(cuts):
        inner = _squared(slab, cuts)
        if inner.area() >= least_mm2:
            yield plain(replace(slab, rings=rings_of(inner), area_mm2=inner.area()), inner)
    elif cuts.unlike <= NEARLY:
        yield _uneven(slab, cuts)


def plain(slab: Slab, outline: CrossSection) -> Slab | NearMiss:
    """A slab with the same section all through: a plate, of another thickness, or a lattice."""
    if abs(slab.thick_mm - slab.sheet_mm) > MATCH_MM:
        return _off(slab)
    if (lost := _in_webs(outline, slab.thick_mm)) > LOST:
        facts: dict[str, Fact] = {"web": round(WEB * slab.thick_mm, 2), "share": f"{lost:.0%}"}
        return NearMiss(slab=slab, reason=Near.LATTICE, facts=facts)
    return slab


def unlike(one: CrossSection, other: CrossSection) -> float:
    """Area in one of two only, as a share of the second."""
    mine, theirs = one.to_polygons(), other.to_polygons()
    if mine and [len(ring) for ring in mine] == [len(ring) for ring in theirs]:
        away = np.abs(np.concatenate(mine) - np.concatenate(theirs))
        if float(away.max()) < SAME_MM:
            return 0.0
    return float(((one - other).area() + (other - one).area()) / other.area())


def filled(area: CrossSection) -> CrossSection:
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


def _is_seam(cuts: Cuts) -> bool:
    """Whether what makes the sections differ is a slanted seam inside the part."""
    ramp = filled(cuts.every) - filled(cuts.common)
    if cuts.common.is_empty() or ramp.area() < ALIKE * cuts.middle.area():
        return False
    return bool((ramp ^ cuts.beyond).area() >= BURIED * ramp.area())


def _squared(slab: Slab, cuts: Cuts) -> CrossSection:
    """The outline of what is as thick as the slab all over; the wedge beyond stays with its neighbour.

    Sections lie a little inside the faces: from there to the face the border goes on as steeply.
    """
    inner, outer = filled(cuts.common), filled(cuts.every)
    rest = _reach_mm(inner, outer, slab.thick_mm) * INSIDE / (1.0 - 2.0 * INSIDE)
    ramp = (outer - inner).offset(rest + SPARE_MM, JoinType.Miter, 2.0)
    left = cuts.common - ramp - touching(cuts.beyond ^ cuts.common, cuts.inside)
    return max(left.decompose(), key=lambda island: island.area(), default=left)


def _uneven(slab: Slab, cuts: Cuts) -> NearMiss:
    """A slab whose sections differ: in its holes alone, at an edge, or all around."""
    inner, outer = filled(cuts.common), filled(cuts.every)
    facts: dict[str, Fact] = {
        "area": round(cuts.unlike * slab.area_mm2, 1),
        "sheet": slab.sheet_mm,
    }
    if unlike(inner, outer) <= ALIKE:
        facts["holes"] = _changing_holes(cuts)
        return NearMiss(slab=slab, reason=Near.COUNTERSUNK, facts=facts)
    seen = _reach_mm(inner, outer, slab.thick_mm)
    reach = seen / (1.0 - 2.0 * INSIDE)  # sections lie a little inside the faces
    slope = math.degrees(math.atan2(reach, slab.thick_mm))
    facts["angle"] = round(slope, 1)
    facts["border"] = round(0.5 * reach, 2)
    if _share_around(inner, outer, seen) > BURIED:
        return NearMiss(slab=slab, reason=Near.DRAFTED, facts=facts)
    if _meets_others(cuts, outer - inner, slab.thick_mm):
        facts["corner"] = round(90.0 - slope, 1)
        return NearMiss(slab=slab, reason=Near.MITRED, facts=facts)
    return NearMiss(slab=slab, reason=Near.BEVELLED, facts=facts)


def _meets_others(cuts: Cuts, ramp: CrossSection, thick_mm: float) -> bool:
    """Whether something stands on the plate all along its sloping edges: the walls of a sharp corner."""
    band = ramp.offset(0.5 * thick_mm, JoinType.Miter, 2.0) ^ cuts.common
    return bool((band ^ cuts.beyond).area() >= ALONG * band.area() > 0.0)


def _reach_mm(inner: CrossSection, outer: CrossSection, thick_mm: float) -> float:
    """How far the border of one area lies beyond that of another at most, up to 3 thicknesses."""
    low, high = 0.0, 3.0 * thick_mm
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        if (outer - inner.offset(middle, JoinType.Miter, 2.0)).area() > FREE_MM2:
            low = middle
        else:
            high = middle
    return high


def _share_around(inner: CrossSection, outer: CrossSection, reach_mm: float) -> float:
    """Share of the border along which an area reaches at least half as far beyond another."""
    half = inner.offset(0.5 * reach_mm, JoinType.Miter, 2.0) - inner
    return float((half ^ outer).area() / max(half.area(), 1e-9))


def _changing_holes(cuts: Cuts) -> int:
    """How many holes of an outline are not the same at both faces."""
    changes = (cuts.every - cuts.common).decompose()
    return sum(1 for island in changes if island.area() > FREE_MM2)


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
    half, plain_area = 0.5 * WEB * thick_mm, outline.simplify(COARSE_MM)
    opened = plain_area.offset(-half, JoinType.Miter, 2.0).offset(half, JoinType.Miter, 2.0)
    return float((plain_area - opened).area() / outline.area())


def touching(section: CrossSection, outline: CrossSection) -> CrossSection:
    """The islands of a section that lie over an outline."""
    islands = section.decompose()
    if len(islands) == 1 and not (section ^ outline).is_empty():
        return section
    return CrossSection.compose([one for one in islands if not (one ^ outline).is_empty()])
