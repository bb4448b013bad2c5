"""What long computations are given: everything they need, frozen.

The computations know these records, the requests that start them add how they are run; so neither
has to know the other.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, Self

from fabsched.advise.options import Ground
from fabsched.advise.plates.joinery import Joinery, Press
from fabsched.model.estimates import Estimate
from fabsched.model.experience import Seen
from fabsched.model.log import Entry, InHand
from fabsched.model.materials import Filament, SheetMaterial
from fabsched.model.plan import Plan
from fabsched.model.project import Fit, Part, Project
from fabsched.model.shop import Machine, Sheet, Shop
from fabsched.model.weekend import Weekend


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateInput:
    """One part, and every machine that could make it.

    Attributes:
        part: the part.
        path: its file.
        where: the file as the user knows it.
        machines: the machines of the part's route.
        material: the part's material.
        sheet: the sheet it is cut from, for its price; None for prints and sheets not in stock.
    """

    part: Part
    path: Path
    where: str
    machines: tuple[Machine, ...]
    material: Filament | SheetMaterial
    sheet: Sheet | None = None

    @classmethod
    def of(cls, other: "EstimateInput", **more: Any) -> Self:
        """Ask about the same part in another way.

        Args:
            other: what asks about it already.
            more: what only this way of asking knows.
        """
        return cls(
            **{each.name: getattr(other, each.name) for each in fields(EstimateInput)}, **more
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanInput:
    """A project to be planned.

    Attributes:
        project: what is wanted.
        shop: what there is.
        estimates: of every part, by part id and machine id.
        now_s: nothing is planned before this moment (seconds since the epoch).
        seed: of the random draws.
        seen: what the user's log has taught.
        entries: the project's log, where anything has happened.
        in_hand: the plan in hand; None if there is none.
        quick: whether a first answer is wanted soon rather than a better one later.
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    now_s: int
    seed: int = 0
    seen: tuple[Seen, ...] = ()
    entries: tuple[Entry, ...] = ()
    in_hand: InHand | None = None
    quick: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedInput(PlanInput):
    """A part that failed, of a weekend under way; `seen` holds runs with their moves here.

    Attributes:
        folder: the project folder.
        ground: what all choices start from.
        part: id of the part.
        subject: id of the run that failed.
    """

    folder: Path
    ground: Ground
    part: str
    subject: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseInput(FailedInput):
    """The same, to be printed in another pose.

    Attributes:
        machine: id of the machine it failed on; empty if not known.
        most: how many poses to weigh at most.
    """

    machine: str = ""
    most: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonInput:
    """A part that could be made in several ways.

    Attributes:
        project: the project it belongs to.
        shop: what there is.
        estimates: of every part, by part id and machine id.
        part: the part.
        path: its file.
        now_s: nothing is planned before this moment (seconds since the epoch).
        seed: of the random draws.
        joinery: measures of the joints.
        press: what plates have to bear.
        pick: numbers of the plates to cut, for one way alone; None compares all.
        also: numbers of the plates of a way that is compared whatever else is.
        seen: what the user's log has taught.
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    part: Part
    path: Path
    now_s: int
    seed: int = 0
    joinery: Joinery = field(default_factory=Joinery)
    press: Press = field(default_factory=Press)
    pick: tuple[int, ...] | None = None
    also: tuple[int, ...] = ()
    seen: tuple[Seen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponInput:
    """A critical dimension that is to be tried before its part is made.

    Attributes:
        project: the project the part belongs to.
        shop: what there is.
        part: the part.
        fit: the critical dimension.
        path: the part's file.
    """

    project: Project
    shop: Shop
    part: Part
    fit: Fit
    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class PinInput:
    """A plan with something that is to start at a moment.

    Attributes:
        weekend: what was planned.
        plan: what was decided.
        what: id of what is pinned.
        start_s: the moment.
        scenarios: how many weekends to simulate.
        seed: of their luck.
    """

    weekend: Weekend
    plan: Plan
    what: str
    start_s: int
    scenarios: int = 2000
    seed: int = 0
