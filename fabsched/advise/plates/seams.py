"""Whether glue holds a plate: the load on its seams against what they may bear.

An estimate on the safe side, for press and load in the worst place. Where screws, tabs or fingers hold
the plate, all its seams share them in shear; where glue in several places does, the smallest seam bears
them. Where one seam alone, or seams in one line, hold it, they also bear the leverage: as at the end of
a beam that is built in, the stress is M / W with W = b h^2 / 6 (bending of a rectangular section, any
handbook of mechanics).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabsched.advise.plates.contact_records import RIM_MM, STICKS, Join
from fabsched.advise.plates.frames import area_of
from fabsched.advise.plates.holding import Patch, patch_of, supports_of
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.splitting import Joint, Split
from fabsched.estimate.stiffness import is_held


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """The glue that holds a plate.

    Attributes:
        plate: number of the plate.
        pieces: numbers of the pieces it is glued to.
        area_mm2: glued area, all of it.
        stress_mpa: stress under press and load, N/mm^2.
        lever_mm: how far from the seam the press has leverage; 0 where the plate is held elsewhere too.
        allowed_mpa: what the seam may bear.
    """

    plate: int
    pieces: tuple[int, ...]
    area_mm2: float
    stress_mpa: float
    lever_mm: float
    allowed_mpa: float

    @property
    def holds(self) -> bool:
        """Whether it bears the press and the load."""
        return self.stress_mpa <= self.allowed_mpa


@dataclass(frozen=True, slots=True, eq=False)
class _Glued:
    """One glued contact: the box around it as the glue lies, and its area."""

    joint: Joint
    patch: Patch
    wide_mm: float
    area_mm2: float

    @property
    def resists_mm3(self) -> float:
        """Section modulus against leverage across its long side."""
        return self.patch.sides_mm[0] * self.wide_mm**2 / 6.0


def seams_of(split: Split, press: Press) -> tuple[Seam, ...]:
    """The glue that holds each plate which is glued anywhere.

    Args:
        split: the part taken apart.
        press: what plates have to bear.
    """
    glued = ((number, _glued(split, number)) for number in range(len(split.plates)))
    return tuple(_seam(split, number, each, press) for number, each in glued if each)


def _glued(split: Split, number: int) -> list[_Glued]:
    """The glued contacts of a plate; along an edge glue is as wide as the sheet is thick."""
    thick = split.plates[number].slab.sheet_mm
    found = []
    for joint in split.joints:
        if joint.plate != number or joint.join not in STICKS:
            continue
        patch, area = patch_of(joint), float(area_of(joint.rings).area())
        beside = joint.join is Join.EDGE
        wide = thick if beside else patch.sides_mm[1]
        found.append(_Glued(joint, patch, wide, area * thick / RIM_MM if beside else area))
    return found


def _seam(split: Split, number: int, glued: Sequence[_Glued], press: Press) -> Seam:
    _, firm, all_in = supports_of(split, number)
    alone = not is_held(firm) and (len(glued) == 1 or not is_held(all_in))
    areas = [each.area_mm2 for each in glued]
    bearing = sum(areas) if alone or is_held(firm) else min(areas)
    stress = (press.force_n + press.load_n) / bearing
    far, middle = _levers_mm(split, number, glued[0].patch) if alone else (0.0, 0.0)
    moment = press.force_n * far + press.load_n * middle
    return Seam(
        plate=number,
        pieces=tuple(dict.fromkeys(each.joint.piece for each in glued)),
        area_mm2=sum(areas),
        stress_mpa=stress + moment / sum(each.resists_mm3 for each in glued),
        lever_mm=far,
        allowed_mpa=split.joinery.glue_mpa,
    )


def _levers_mm(split: Split, number: int, patch: Patch) -> tuple[float, float]:
    """Distance across a seam of the plate's farthest corner, and of its middle."""
    rings = split.plates[number].rings
    across = (np.concatenate(rings) - patch.middle) @ patch.ways[1]
    x0, y0, x1, y1 = area_of(rings).bounds()
    middle = np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)]) - patch.middle
    return float(np.abs(across).max()), abs(float(middle @ patch.ways[1]))
