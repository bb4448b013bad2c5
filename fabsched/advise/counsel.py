"""Advice as plain records: light to import, and ready to be pickled."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from fabsched.model.errors import Fact
from fabsched.model.project import Fit, Gate, Part, Project


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What a change wins.

    Attributes:
        on_time: chance of being done in time with it.
        gain: by how much that is more than without.
        error: standard error of the gain; small, since both have the same luck.
    """

    on_time: float
    gain: float
    error: float

    @property
    def is_clear(self) -> bool:
        """Whether it is more than chance would have it."""
        return self.gain > 2.0 * self.error


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """An early look for a fault.

    Attributes:
        swap: id of the swap that decides about it.
        name: of the gate.
        taken: whether the plan looks.
        hands_s, machine_s: what looking costs more, if nothing goes wrong.
        without: chance of being in time if nobody looks.
        gain: what looking wins; below zero if it costs more than it gains.
    """

    swap: str
    name: str
    taken: bool
    hands_s: float
    machine_s: float
    without: float
    gain: Gain


class Counsel(StrEnum):
    """What is advised. The wording table's `[advice]` has a line for each."""

    DROP = "drop"
    DROP_NEEDED = "drop-needed"
    EARLY = "early"
    LOOK = "look"
    COUPON = "coupon"
    SPARE = "spare"


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOut:
    """The step that takes items out of the project."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """The step that no longer leaves it open whether a gate is passed or a work is done."""

    item: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Early:
    """The step that lets a work be done in spare minutes before the weekend begins."""

    item: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WithCoupon:
    """The edit that puts a coupon before its part. Can be sent to another process.

    Attributes:
        part: id of the part.
        coupon: the coupon as a part; nobody needs it.
        look: the check of it; None where no gate would find a bad fit, so that nothing can be eased.
    """

    part: str
    coupon: Part
    look: Gate | None

    def __call__(self, project: Project) -> Project:
        """The project with coupon and check; the part waits for them, as far as they are made."""
        last = self.look.id if self.look else self.coupon.id
        parts = tuple(self._waiting(part, last) for part in project.parts)
        gates = (*project.gates, self.look) if self.look else project.gates
        return replace(project, parts=(*parts, self.coupon), gates=gates)

    def _waiting(self, part: Part, last: str) -> Part:
        # A part that waits for a mere optional part would make it needed.
        waits = part.id == self.part and self.look is not None
        return replace(part, after=(*part.after, last)) if waits else part


Action = TakeOut | Need | Early | WithCoupon
"""One step; undo takes it back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One piece of advice.

    Attributes:
        code: what is advised.
        subject: id of the item it is about.
        facts: values for its template, moments and chances left out.
        on_time: chance of being in time if it is followed.
        gain: by how much that is more than now.
        error: standard error of the gain.
        action: the step that carries it out; None if that is up to hands.
        file, content: path in the project and content of a file that has to be there first; empty
            if there is none.
    """

    code: Counsel
    subject: str
    facts: Mapping[str, Fact] = field(default_factory=dict)
    on_time: float
    gain: float = 0.0
    error: float = 0.0
    action: Action | None = None
    file: str = ""
    content: bytes = b""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counselled:
    """All advice on a plan.

    Attributes:
        advice: what wins most first, then what needed things cost, then time won.
        looks: what each gate that may be skipped is worth, the best first.
        coupons: the same for coupons that are not in the project yet.
    """

    advice: tuple[Advice, ...] = ()
    looks: tuple[Look, ...] = ()
    coupons: tuple[Look, ...] = ()


def coupon_id(part: Part, fit: Fit) -> str:
    """Id of the coupon for a fit."""
    return f"{part.id}-{fit.id}-coupon"


def without_coupon(project: Project) -> tuple[tuple[Part, Fit], ...]:
    """Critical dimensions of printed parts that have no coupon in the project yet."""
    known = {item.id for item in project.items}
    return tuple(
        (part, fit)
        for part in project.parts
        for fit in part.fits
        if coupon_id(part, fit) not in known
    )
