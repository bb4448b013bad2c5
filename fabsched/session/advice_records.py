"""What advice is made from, as a plain record: light, and ready to be pickled."""

from dataclasses import dataclass
from pathlib import Path

from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend
from fabsched.session.inputs import PlanInput


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceInput:
    """A plan that advice is wanted for.

    Attributes:
        given: what was planned.
        weekend: the same as planning saw it.
        answer: the plan.
        folder: the project folder, with the files of the parts.
        all_looks: whether every gate that may be skipped is looked at, or only a few.
    """

    given: PlanInput
    weekend: Weekend
    answer: Answer
    folder: Path
    all_looks: bool = False
