"""What bears on the odds of a plan, as plain records: light, and ready to be pickled."""

from dataclasses import dataclass

from fabsched.model.experience import Seen
from fabsched.model.plan import Answer, Odds
from fabsched.model.weekend import Weekend
from fabsched.odds.told import Danger, Decision, Outlook, Setback
from fabsched.session.inputs import PlanInput


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsInput:
    """A plan whose odds are to be looked into.

    Attributes:
        weekend: what was planned.
        answer: the plan.
        seen: what the user's log has taught.
        seed: of the random draws.
        planned: what was planned, for the ways that were not chosen; None looks at none of them.
    """

    weekend: Weekend
    answer: Answer
    seen: tuple[Seen, ...] = ()
    seed: int = 0
    planned: PlanInput | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsTold:
    """The odds of a plan with everything that bears on them.

    Attributes:
        odds: those of the plan, with their range over what is not known about the world.
        setbacks: what costs chance, the costliest first.
        dangers: how dangerous every run, work and gate is, the most dangerous first.
        decisions: until when runs should be done, the earliest first.
        outlooks: time needed against time left, over the nominal course.
    """

    odds: Odds
    setbacks: tuple[Setback, ...]
    dangers: tuple[Danger, ...]
    decisions: tuple[Decision, ...]
    outlooks: tuple[Outlook, ...]
