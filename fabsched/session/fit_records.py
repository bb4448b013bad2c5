"""What is asked where a weekend does not fit, as plain records: light, and ready to be pickled."""

from dataclasses import dataclass

from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend
from fabsched.session.inputs import PlanInput


@dataclass(frozen=True, slots=True, kw_only=True)
class FitInput:
    """A plan that is not good enough.

    Attributes:
        given: what was planned.
        weekend: the same as planning saw it.
        answer: the plan.
    """

    given: PlanInput
    weekend: Weekend
    answer: Answer


def is_short(weekend: Weekend, answer: Answer) -> bool:
    """Whether a plan is less sure than wanted, or done too late even if all goes as expected."""
    late = answer.course.finish_s > weekend.deadline_s
    return bool(answer.plan.order) and (late or answer.odds.on_time < weekend.wanted_odds)
