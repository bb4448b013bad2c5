"""Advice as plain records: light to import, and ready to be pickled."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from fabsched.model.errors import Fact
from fabsched.model.project import Gate, Part, Project


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
    """The step that no longer leaves it open whether a gate is passed."""

    gate: str


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


Action = TakeOut | Need | WithCoupon
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
