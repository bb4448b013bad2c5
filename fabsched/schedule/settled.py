"""What a plan has decided, of what was left to the planner."""

from dataclasses import dataclass

from fabsched.model.plan import Plan
from fabsched.model.weekend import Swap, Turn, Weekend
from fabsched.schedule.taking import taken_for

BOTH_WAYS = frozenset({Turn.ROUTE, Turn.GATE, Turn.DROP})
"""Of these it is worth telling too if they were not taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """One decision.

    Attributes:
        swap: what could be done otherwise than usual.
        taken: whether it is.
    """

    swap: Swap
    taken: bool


def settled(weekend: Weekend, plan: Plan) -> tuple[Settled, ...]:
    """The decisions of a plan: swaps taken, then those it could still take but does not.

    Of beds only those are told that are shared otherwise than usual: there are too many others.

    Args:
        weekend: activities and swaps.
        plan: what was decided.
    """
    live = frozenset(plan.order) - plan.dropped
    taken = taken_for(weekend, live)
    left = (
        swap
        for swap in weekend.swaps
        if swap.kind in BOTH_WAYS and "+" not in swap.id and taken.allows(swap)
    )
    return (
        *(Settled(swap=swap, taken=True) for swap in taken.swaps),
        *(Settled(swap=swap, taken=False) for swap in left),
    )
