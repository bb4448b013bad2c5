"""Choices after a failure, and what they start from: records only, light to import."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fabsched.model.log import Remedy
from fabsched.model.plan import Answer, Plan
from fabsched.model.weekend import Weekend

if TYPE_CHECKING:  # brings in numpy
    from fabsched.odds.truths import Truths


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What all choices start from.

    Attributes:
        weekend: what is left, with no choice taken yet.
        plan: the plan in hand; None if there is none.
        seed: of the random draws, the same for all.
        mass_g: material of one copy of what is printed, by part id, where known.
        sheets: name shown of the sheet, by id of each part that is cut.
        going: ids of work in progress.
        truths: what is not known about the world; None takes everything as told.
    """

    weekend: Weekend
    plan: Plan | None
    seed: int = 0
    mass_g: Mapping[str, float] = field(default_factory=dict)
    sheets: Mapping[str, str] = field(default_factory=dict)
    going: tuple[str, ...] = ()
    truths: "Truths | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One choice with what becomes of it.

    Attributes:
        remedy: what is done.
        name: name of what it is about.
        detail: name of the machine or way, where there is one.
        answer: the plan that goes with it, and its odds.
        hands_s: hands' time still to come in all, ways left out.
        machine_s: machine time of this choice alone.
        mass_g: material that is printed for this choice alone; None if not known.
        sheets: name of each sheet that is cut for it.
        spent_s: machine time gone for good, for a run that is broken off.
        lost_g: material laid down by then; None if not known.
        size_mm: extent of the part along x, y and z, for another pose.
    """

    remedy: Remedy
    name: str
    detail: str = ""
    answer: Answer
    hands_s: int
    machine_s: int
    mass_g: float | None
    sheets: tuple[str, ...] = ()
    spent_s: int = 0
    lost_g: float | None = None
    size_mm: tuple[float, float, float] | None = None
