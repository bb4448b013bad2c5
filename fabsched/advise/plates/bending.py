"""How far the plates of a split give under a press, and where a further boss would help.

Of a plate that nothing holds at three points no deflection can be told: see `holding`.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from manifold3d import JoinType
from numpy.typing import NDArray

from fabsched.advise.plates.contact_records import disc
from fabsched.advise.plates.frames import all_of, area_of
from fabsched.advise.plates.holding import supports_of
from fabsched.advise.plates.joinery import Press, boss_radius_mm, screw_named
from fabsched.advise.plates.splitting import Split
from fabsched.estimate.stiffness import (
    Deflection,
    Material,
    Room,
    bending_of,
    bosses_for,
    pressed,
)
from fabsched.model.materials import SheetMaterial
from fabsched.model.shapes import Points2


@dataclass(frozen=True, slots=True, kw_only=True)
class Give:
    """How far one plate gives; an estimate, since joints give too and sheets differ.

    Attributes:
        plate: number of the plate.
        worst: the largest deflection and where, from the lower left corner of its drawing.
        bosses: where further bosses would help, in order, each with what is left then.
        loaded: the largest deflection under an even load and where; None if there is none.
    """

    plate: int
    worst: Deflection
    bosses: tuple[Deflection, ...]
    loaded: Deflection | None = None


def gives(split: Split, materials: Mapping[float, SheetMaterial], press: Press) -> tuple[Give, ...]:
    """How far every plate gives that is held at three points or more.

    Args:
        split: the part taken apart.
        materials: of the sheets, by thickness; plates of those whose stiffness is not known are left
            out, see `holding.untold`.
        press: what they have to bear.
    """
    found = []
    for number, plate in enumerate(split.plates):
        sheet = materials[plate.slab.sheet_mm]
        if sheet.youngs_mpa > 0.0:
            material = Material(youngs_mpa=sheet.youngs_mpa, poisson=sheet.poisson)
            found.append(_give(number, split, material, press))
    return tuple(give for give in found if give)


def _room(split: Split, number: int) -> Room:
    """Where a boss would meet neither a hole nor a piece."""
    screw = screw_named(split.joinery.screw)
    reach = max(boss_radius_mm(split.joinery), 0.5 * screw.head_mm)
    free = area_of(split.plates[number].rings).offset(-reach, JoinType.Round)
    taken = [area_of(joint.rings) for joint in split.joints if joint.plate == number]
    if taken:
        free -= all_of(taken).offset(reach, JoinType.Round)

    def room(places: Points2) -> NDArray[np.bool_]:
        return np.array([not (free ^ disc(place, 1e-3)).is_empty() for place in places], bool)

    return room


def _give(number: int, split: Split, material: Material, press: Press) -> Give | None:
    plate = split.plates[number]
    for supports in supports_of(split, number):
        bending = bending_of(plate.rings, plate.slab.sheet_mm, material, supports)
        if bending is None:
            continue
        low = np.concatenate(plate.rings).min(axis=0)
        worst = pressed(bending, press.force_n, press.patch_mm)
        room = _room(split, number)
        bosses, _ = bosses_for(bending, press.force_n, press.patch_mm, press.limit_mm, room=room)
        moved = tuple(_moved(boss, low) for boss in bosses)
        loaded = None
        if press.load_n:
            loaded = _moved(bending.loaded(press.load_n / plate.area_mm2), low)
        return Give(plate=number, worst=_moved(worst, low), bosses=moved, loaded=loaded)
    return None


def _moved(found: Deflection, low: Points2) -> Deflection:
    x, y = (float(value) for value in np.array(found.at_mm) - low)
    return Deflection(sag_mm=found.sag_mm, at_mm=(x, y))
