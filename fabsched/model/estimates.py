"""What is computed about one part on one machine."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from fabsched.model.findings import Finding
from fabsched.model.operations import Operation
from fabsched.model.spread import Spread


class Route(StrEnum):
    """How a part is made."""

    PRINT = "print"
    CUT = "cut"


class WarpLevel(StrEnum):
    """How likely a print is to curl off the bed; an index, not a length."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Warp:
    """The warp index with the inputs that made it.

    Attributes:
        level: the verdict.
        span_mm: longest chord of the bed contact.
        contact_mm2: area touching the bed.
        thickness_mm: mean thickness of the first section (twice area over perimeter).
        corners: sharp corners of the contact's hull.
        section_ratio: mean area of the sections just above the bed, over the contact.
        material: how much the material pulls, 0 to 1.
    """

    level: WarpLevel
    span_mm: float
    contact_mm2: float
    thickness_mm: float
    corners: int
    section_ratio: float = 1.0
    material: float = 0.0


ONCE = ("heating", "cooling")
"""What a bed takes once, however many parts lie on it; keys of `Estimate.breakdown_s`."""
PACES = (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0)
"""Speeds a print is timed for, over those of its machine."""
EASES = (0.25, 1.0, 4.0)
"""Accelerations over squared speeds a print is timed for, over those of its machine.

Speeds times k and accelerations times k^2 run the same path in 1/k of the time, corners included,
so that this ratio and the speed say all there is to say about moving.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """How the time of a print would change if its machine were slower or lazier than believed.

    Attributes:
        fixed_s: heating and cooling down.
        moving_s: all the rest, by speed (`PACES`), then by ease (`EASES`).
    """

    fixed_s: float
    moving_s: tuple[tuple[float, ...], ...]

    def times(self, copies: int) -> "Moves":
        """The same for several copies on one bed: heating and cooling are done once."""
        rows = tuple(tuple(copies * seconds for seconds in row) for row in self.moving_s)
        return Moves(fixed_s=self.fixed_s, moving_s=rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """What a laser does on one part at one go, whatever it does on other parts before and after.

    Attributes:
        operation: all of it is one operation.
        enter_mm, leave_mm: where it begins and ends, as the part is drawn.
        seconds: from the one to the other, as computed; the way there is left out.
        turn_deg: the turn of the part it holds for, and for half a turn more: areas are engraved in
            lines along x of the machine. None where that makes no difference.
    """

    operation: Operation
    enter_mm: tuple[float, float]
    leave_mm: tuple[float, float]
    seconds: Spread
    turn_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """Time, material and size of one copy of one part.

    Fields that do not apply to the route are None.

    Attributes:
        route: print or cut.
        machine: id of the machine it holds for.
        stock: id of the material.
        seconds: P10, P50 and P90 of the machine time, hands left out.
        breakdown_s: what the P50 is made of; its values add up to it. Keys are codes of the
            wording table's `[breakdown]` (heating, walls, skins, infill, support, travel,
            retracting, waiting, cutting, piercing...).
        cost: material and machine, in the shop's currency; None if prices are unknown.
        footprint_mm: extent along x and y.
        silhouette_mm: closed polygon seen from above, (n, 2) as nested tuples, for nesting.
        openings_mm: closed polygons inside of it that drop out of a flat part, or that one can look
            through from above in a print, so that another part can lie there.
        volume_mm3, mass_g, filament_mm, height_mm, layers, contact_mm2, support_mm3, warp: prints.
        smallest_mm: prints: thickness of the thinnest feature.
        cut_mm, pierces: cuts.
        stretches: cuts: what `seconds` is made of besides the ways between, in order, for sheets on
            which other parts lie as well; learning leaves them as computed.
        whole_run: whether the file is a run as it stands, so that no second copy fits beside it.
        moves: prints: how the time hangs on speed and acceleration; None if that is not known.
        learnt: by what the computed time was multiplied, since the log says so.
        known: how many logged runs of the machine the time rests on.
        findings: what was noticed.
    """

    route: Route
    machine: str
    stock: str
    seconds: Spread
    breakdown_s: Mapping[str, float]
    cost: float | None
    footprint_mm: tuple[float, float]
    silhouette_mm: tuple[tuple[float, float], ...] = ()
    openings_mm: tuple[tuple[tuple[float, float], ...], ...] = ()
    volume_mm3: float | None = None
    mass_g: float | None = None
    filament_mm: float | None = None
    height_mm: float | None = None
    layers: int | None = None
    contact_mm2: float | None = None
    support_mm3: float | None = None
    warp: Warp | None = None
    smallest_mm: float | None = None
    cut_mm: float | None = None
    pierces: int | None = None
    stretches: tuple[Stretch, ...] = ()
    whole_run: bool = False
    moves: Moves | None = None
    learnt: float = 1.0
    known: int = 0
    findings: tuple[Finding, ...] = field(default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """One way a part can rest on the bed of a printer.

    Attributes:
        turn_deg: how it is turned from the way it was drawn: degrees about x, then y, then z, the
            axes fixed to the bed; what `Part.turn_deg` takes.
        fits: whether it fits the build volume, turned about the vertical as need be.
        size_mm: extent along x, y and z.
        support_mm3: space under overhangs, from columns.
        contact_mm2: area on the bed, from columns.
        rough_s: a first figure for the machine time: P10, P50 and P90.
        estimate: the full simulation; None if it does not fit.
    """

    turn_deg: tuple[float, float, float]
    fits: bool
    size_mm: tuple[float, float, float]
    support_mm3: float
    contact_mm2: float
    rough_s: Spread
    estimate: Estimate | None = None

    @property
    def lever(self) -> float:
        """How high it stands over the side of a square as large as what it rests on."""
        return self.size_mm[2] / math.sqrt(max(self.contact_mm2, 1.0))
