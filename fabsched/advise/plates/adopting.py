"""A part changed so that what is nearly a plate is one.

With another thickness, all that lies above the slab moves and what lies beside it grows with it, as if
the part had been drawn with the sheet's thickness. Edges become square, holes straight. The result is
a closed body again, and what it gains or loses is told to the last digit.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold, OpType

from fabsched.advise.plates.frames import (
    area_of,
    joined,
    mesh_of,
    prism,
    snapped,
    solid_of,
)
from fabsched.advise.plates.judging import MATCH_MM
from fabsched.advise.plates.slabs import Near, NearMiss, Slab
from fabsched.model.errors import Fact
from fabsched.model.shapes import Mesh, Points2, Points3

INSIDE = 1e-3
"""How far inside its faces a slab is cut to see its holes, in thicknesses."""
HAIR_MM = 1e-6
"""How far bodies reach into each other so that they grow together."""
TINY_MM2 = 0.01
"""Smaller islands are rounding."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Change:
    """What adopting a near miss changes.

    Attributes:
        reason: what was changed.
        sheet_mm: the sheet it can now be cut from.
        thick_mm: how thick it was drawn.
        shift_mm: how far what stands on it moves; the part is so much higher.
        straight: holes that are now the same all through.
        pierced: holes that went in half-way or more and now go through.
        closed: hollows that went in less and are now closed.
        border_mm: how far its border moves at most.
        volume_mm3: gained, negative if lost.
    """

    reason: Near
    sheet_mm: float
    thick_mm: float
    shift_mm: float = 0.0
    straight: int = 0
    pierced: int = 0
    closed: int = 0
    border_mm: float = 0.0
    volume_mm3: float = 0.0

    @property
    def facts(self) -> Mapping[str, Fact]:
        """Values for the template of `reason` in the wording table's `[adopting]`."""
        return {
            "sheet": self.sheet_mm,
            "thick": round(self.thick_mm, 3),
            "shift": round(self.shift_mm, 3),
            "straight": self.straight,
            "pierced": self.pierced,
            "closed": self.closed,
            "border": self.border_mm,
            "volume": round(self.volume_mm3, 1),
        }


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Adopted:
    """A part with one near miss adopted.

    Attributes:
        mesh: the part as it would be.
        slab: where the plate is now, as far as the change moved it.
        changes: what became of the part, one after the other.
    """

    mesh: Mesh
    slab: Slab
    changes: tuple[Change, ...]

    def moved(self, point: Points3) -> Points3:
        """Where a point of the part is now, (3,)."""
        slab, normal = self.slab, self.slab.frame.axes[2]
        shift = sum(change.shift_mm for change in self.changes)
        high = float(point @ normal)
        share = np.clip((high - slab.low_mm) / (slab.thick_mm - shift), 0.0, 1.0)
        return np.asarray(point + normal * shift * share)


def adopted(mesh: Mesh, miss: NearMiss, *, where: str = "part") -> Adopted:
    """Change a part so that what is nearly a plate is one.

    Args:
        mesh: the part.
        miss: what is nearly a plate; `can_be_adopted` says whether this may be asked.
        where: name of the part, for errors.

    Raises:
        InputError: the surface of the part is not closed.
    """
    whole = solid_of(mesh, where)
    slab = miss.slab
    laid = snapped(slab.frame.laid(whole), (slab.low_mm, slab.high_mm))
    changes: list[Change] = []
    for body, change in _steps(laid, miss):
        gained = float(body.volume() - laid.volume())
        changes.append(replace(change, volume_mm3=gained))
        laid = body
    shift = sum(change.shift_mm for change in changes)
    return Adopted(
        mesh=mesh_of(slab.frame.raised(laid)),
        slab=replace(slab, high_mm=slab.high_mm + shift),
        changes=tuple(changes),
    )


def _steps(laid: Manifold, miss: NearMiss) -> Iterator[tuple[Manifold, Change]]:
    """The part after each change, as seen from the slab."""
    slab = miss.slab
    if miss.reason is Near.COUNTERSUNK:
        laid, change = _straightened(laid, slab)
        yield laid, change
    elif miss.reason is not Near.THICKNESS:
        laid, change = _squared(laid, miss)
        yield laid, change
    if abs(slab.thick_mm - slab.sheet_mm) > MATCH_MM:
        yield _thickened(laid, slab)


def _thickened(laid: Manifold, slab: Slab) -> tuple[Manifold, Change]:
    """What lies above the slab moved, and all between its faces stretched by as much."""
    shift, low, high = slab.sheet_mm - slab.thick_mm, slab.low_mm, slab.high_mm
    parts = [
        laid.trim_by_plane((0, 0, -1), -low),
        laid.trim_by_plane((0, 0, 1), low).trim_by_plane((0, 0, -1), -high),
        laid.trim_by_plane((0, 0, 1), high),
    ]

    def move(points: Points3) -> Points3:
        moved, z = np.array(points), points[:, 2]
        grown = low + (z - low) * (slab.sheet_mm / slab.thick_mm)
        moved[:, 2] = np.where(z > high, z + shift, np.where(z < low, z, grown))
        # exactly the same height on either side, or bodies would not grow together
        moved[np.abs(z - high) < HAIR_MM, 2] = low + slab.sheet_mm
        moved[np.abs(z - low) < HAIR_MM, 2] = low
        return moved

    bodies = [part.warp_batch(move) for part in parts if not part.is_empty()]
    change = Change(
        reason=Near.THICKNESS, sheet_mm=slab.sheet_mm, thick_mm=slab.thick_mm, shift_mm=shift
    )
    return joined(bodies), change


def _straightened(laid: Manifold, slab: Slab) -> tuple[Manifold, Change]:
    """Holes the same all through: the narrowest way through them, or as they are half-way."""
    thick = slab.thick_mm
    cuts = [
        _over(laid.slice(slab.low_mm + share * thick), slab)
        for share in (INSIDE, 0.5, 1.0 - INSIDE)
    ]
    every = CrossSection.batch_boolean(cuts, OpType.Add)
    common = cuts[0] ^ cuts[1] ^ cuts[2]
    counts, filling, boring = {"straight": 0, "pierced": 0, "closed": 0}, [], []
    for hole in _hollows(every, common):
        kind, stays = _kind(hole, cuts, every)
        counts[kind] += 1
        filling.append(hole - stays)
        boring.append(stays)
    body = joined([laid, *_prisms(filling, slab, 0.0)])
    for tool in _prisms(boring, slab, HAIR_MM):
        body -= tool
    change = Change(reason=Near.COUNTERSUNK, sheet_mm=slab.sheet_mm, thick_mm=thick, **counts)
    return body, change


def _over(section: CrossSection, slab: Slab) -> CrossSection:
    """What of a section lies within the slab's outer border."""
    borders = [ring for ring in slab.rings if _is_outer(ring)]
    return section ^ area_of(borders)


def _is_outer(ring: Points2) -> bool:
    x, y = ring.T
    return bool((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() > 0.0)


def _hollows(every: CrossSection, common: CrossSection) -> Iterator[CrossSection]:
    """Places that are empty at some height and not at all of them, holes as a whole."""
    changing = every - common
    outer = area_of([ring for ring in every.to_polygons() if _is_outer(ring)])
    for hollow in (outer - common).decompose():
        if (hollow ^ changing).area() > TINY_MM2:
            yield hollow


def _kind(
    hollow: CrossSection, cuts: Sequence[CrossSection], every: CrossSection
) -> tuple[str, CrossSection]:
    """What becomes of a hole, and what of it stays open."""
    through = hollow - every
    if through.area() > TINY_MM2:
        return "straight", through
    half = hollow - cuts[1]
    return ("pierced", half) if half.area() > TINY_MM2 else ("closed", CrossSection())


def _prisms(areas: Sequence[CrossSection], slab: Slab, beyond_mm: float) -> list[Manifold]:
    """Areas as high as the slab, or a little more."""
    return [
        prism(area, slab.low_mm - beyond_mm, slab.high_mm + beyond_mm)
        for area in areas
        if area.area() > TINY_MM2
    ]


def _squared(laid: Manifold, miss: NearMiss) -> tuple[Manifold, Change]:
    """Borders straight up where they are half-way."""
    slab = miss.slab
    outline = area_of(slab.rings)
    room = outline.offset(float(miss.facts.get("border", 0.0)) * 2.0 + 1.0, JoinType.Miter, 2.0)
    band = prism(room, slab.low_mm, slab.high_mm)
    between = laid ^ band
    mine = [
        island
        for island in between.decompose()
        if not (island.slice(0.5 * (slab.low_mm + slab.high_mm)) ^ outline).is_empty()
    ]
    rest = laid - joined(mine)
    body = joined([rest, prism(outline, slab.low_mm, slab.high_mm)])
    change = Change(
        reason=miss.reason,
        sheet_mm=slab.sheet_mm,
        thick_mm=slab.thick_mm,
        border_mm=float(miss.facts.get("border", 0.0)),
    )
    return body, change
