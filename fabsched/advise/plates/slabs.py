"""What is found in a part: plates, and what is nearly one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from manifold3d import Manifold

from fabsched.advise.plates.frames import Frame, area_of, prism
from fabsched.model.errors import Fact
from fabsched.model.shapes import Points2


class Near(StrEnum):
    """Why a slab is nearly a plate. The wording table's `[near]` has a template for each."""

    THICKNESS = "thickness"
    DRAFTED = "drafted"
    BEVELLED = "bevelled"
    MITRED = "mitred"
    TAPERED = "tapered"
    COUNTERSUNK = "countersunk"
    LATTICE = "lattice"


ADOPTABLE = frozenset({Near.THICKNESS, Near.DRAFTED, Near.BEVELLED, Near.MITRED, Near.COUNTERSUNK})
"""What a part can be changed for, so that it can be cut."""


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

    def body(self) -> Manifold:
        """All of it, as a body of the part."""
        return self.frame.raised(prism(area_of(self.rings), self.low_mm, self.high_mm))


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

    @property
    def can_be_adopted(self) -> bool:
        """Whether the part can be changed so that it is a plate."""
        return self.reason in ADOPTABLE


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """What was found in a part.

    Attributes:
        slabs: the plates, the largest first.
        near: what comes close, the largest first.
        closed: whether the surface was; what is open encloses nothing that could be found.
    """

    slabs: tuple[Slab, ...] = ()
    near: tuple[NearMiss, ...] = ()
    closed: bool = True

    @property
    def adoptable(self) -> tuple[NearMiss, ...]:
        """What the part can be changed for; numbered on from the plates."""
        return tuple(miss for miss in self.near if miss.can_be_adopted)

    @property
    def together(self) -> tuple[int, ...]:
        """Numbers, from 0, of what can be adopted at once: of what shares a place the larger one."""
        kept: dict[int, Slab] = {}
        for number, miss in enumerate(self.adoptable, start=len(self.slabs)):
            if not any(same_place(miss.slab, slab) for slab in (*kept.values(), *self.slabs)):
                kept[number] = miss.slab
        return tuple(kept)

    @property
    def numbered(self) -> tuple[tuple[NearMiss, int | None], ...]:
        """What comes close, with the number it has as a plate, from 1, if it can be adopted."""
        numbers = {id(miss): len(self.slabs) + n for n, miss in enumerate(self.adoptable, start=1)}
        return tuple((miss, numbers.get(id(miss))) for miss in self.near)


def same_place(one: Slab, other: Slab) -> bool:
    """Whether two slabs of one direction overlap."""
    cosine = float(one.frame.axes[2] @ other.frame.axes[2])
    if abs(cosine) < 1.0 - 1e-9:
        return False
    shared = min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm)
    return shared > 1e-3 and (area_of(one.rings) ^ area_of(other.rings)).area() > 1.0
