"""What holds a plate of a split, and why that may be too little to tell how far it gives."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from fabsched.advise.plates.contact_records import STICKS
from fabsched.advise.plates.frames import area_of
from fabsched.advise.plates.splitting import Joint, Split
from fabsched.estimate.stiffness import Supports
from fabsched.model.materials import SheetMaterial
from fabsched.model.shapes import Points2

NO_POINTS = np.empty((0, 2))


class Loose(StrEnum):
    """Why no deflection is told of a plate. The wording table's `[loose]` has a template for each."""

    UNKNOWN = "unknown"
    NOTHING = "nothing"
    LINE = "line"
    FEW = "few"


@dataclass(frozen=True, slots=True, kw_only=True)
class Untold:
    """A plate of which no deflection is told.

    Attributes:
        plate: number of the plate.
        why: for what reason.
    """

    plate: int
    why: Loose


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Patch:
    """The box around a contact, in the slab's frame.

    Attributes:
        middle: (2,) its middle.
        ways: (2, 2) directions of its long and its short side.
        sides_mm: lengths of these.
    """

    middle: NDArray[np.float64]
    ways: NDArray[np.float64]
    sides_mm: tuple[float, float]

    @property
    def axis(self) -> Points2:
        """Its middle line, (2, 2)."""
        reach = 0.5 * self.sides_mm[0] * self.ways[0]
        return np.stack([self.middle - reach, self.middle + reach])

    @property
    def corners(self) -> Points2:
        """Its corners, (4, 2)."""
        across = 0.5 * self.sides_mm[1] * self.ways[1]
        return np.concatenate([self.axis - across, self.axis + across])


def patch_of(joint: Joint) -> Patch:
    """The box around the place where a piece is joined to a plate."""
    ring = np.asarray(max(area_of(joint.rings).hull().to_polygons(), key=len))
    middle = ring.mean(axis=0)
    _, _, ways = np.linalg.svd(ring - middle, full_matrices=False)
    along = (ring - middle) @ ways.T
    low, high = along.min(axis=0), along.max(axis=0)
    long, short = (float(side) for side in high - low)
    return Patch(middle=middle + 0.5 * (low + high) @ ways, ways=ways, sides_mm=(long, short))


def supports_of(split: Split, number: int) -> tuple[Supports, ...]:
    """What holds a plate: screws and edges joined to other plates; with slots; and with glue.

    Args:
        split: the part taken apart.
        number: of the plate.

    Returns:
        Each a step further, for where the one before is not enough.
    """
    plate = split.plates[number]
    screws = np.array(plate.screws) if plate.screws else NO_POINTS
    tabs = np.array(plate.tabs) if plate.tabs else NO_POINTS
    both = np.concatenate([screws, tabs])
    points, lines = _glue(split, number)
    return (
        Supports(points=screws, edges=plate.edges),
        Supports(points=both, edges=plate.edges),
        Supports(points=np.concatenate([both, points]), edges=(*plate.edges, *lines)),
    )


def _glue(split: Split, number: int) -> tuple[Points2, tuple[Points2, ...]]:
    """Corners of glued faces, and lines along glued edges and narrow faces."""
    thick = split.plates[number].slab.sheet_mm
    joints = (each for each in split.joints if each.plate == number and each.join in STICKS)
    patches = [patch_of(joint) for joint in joints]
    wide = [patch.corners for patch in patches if patch.sides_mm[1] >= thick]
    lines = tuple(patch.axis for patch in patches if patch.sides_mm[1] < thick)
    return np.concatenate([NO_POINTS, *wide]), lines


def untold(
    split: Split, materials: Mapping[float, SheetMaterial], told: Collection[int]
) -> tuple[Untold, ...]:
    """Why no deflection is told of some plates.

    Args:
        split: the part taken apart.
        materials: of the sheets, by thickness.
        told: numbers of the plates of which one is told.
    """
    return tuple(
        Untold(plate=number, why=_loose(split, number, materials[plate.slab.sheet_mm]))
        for number, plate in enumerate(split.plates)
        if number not in told
    )


def _loose(split: Split, number: int, sheet: SheetMaterial) -> Loose:
    if sheet.youngs_mpa <= 0.0:
        return Loose.UNKNOWN
    *_, held = supports_of(split, number)
    points = np.concatenate([held.points, *held.edges])
    if not len(points):
        return Loose.NOTHING
    return Loose.LINE if held.edges or len(points) > 2 else Loose.FEW
