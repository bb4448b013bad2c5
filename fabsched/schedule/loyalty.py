"""How far a plan departs from the one in hand, and a judge who minds that.

A change of plan costs its maker a fresh look at everything, so that nothing moves without gain.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from fabsched.model.plan import Plan
from fabsched.schedule.race import Judge, Score

TURNED = 0.15
"""What turning the whole order upside down costs, in chance of being on time."""

OTHER = 0.004
"""What every activity carried out instead of another costs. Both tried on three synthetic weekends
of 40 activities with eight failed prints each: as good as without them, and a tenth of the turning."""


def turned(order: Iterable[str], base: Iterable[str]) -> float:
    """Share of the pairs of activities in both orders that stand the other way round, 0 to 1.

    >>> turned("abcd", "abdc"), turned("ab", "xy")
    (0.16666666666666666, 0.0)
    """
    rank = {ident: place for place, ident in enumerate(base)}
    places = [rank[ident] for ident in order if ident in rank]
    pairs = len(places) * (len(places) - 1) // 2
    wrong = sum(a > b for i, a in enumerate(places) for b in places[i + 1 :])
    return wrong / pairs if pairs else 0.0


def cost(plan: Plan, base: Plan) -> float:
    """What departing from a plan costs, in chance of being on time."""
    instead = frozenset(plan.order) - frozenset(base.order)
    return TURNED * turned(plan.order, base.order) + OTHER * len(instead - plan.dropped)


@dataclass(slots=True)
class LoyalJudge(Judge):
    """Scores plans as ever, less what departing from the plan in hand costs.

    Attributes:
        base: the plan in hand; must be a plan for the weekend of the draws.
    """

    base: Plan = field(default_factory=lambda: Plan(order=()))

    def score(self, plan: Plan) -> Score:
        """How a plan does, less its cost."""
        if plan not in self.known:
            fair = super(LoyalJudge, self).score(plan)
            less = cost(plan, self.base)
            self.known[plan] = replace(fair, on_time=fair.on_time - less, value=fair.value - less)
        return self.known[plan]


def drawn_back(judge: Judge, plan: Plan, base: Plan, tries: int) -> Plan:
    """The plan with whatever turned in vain turned back, neighbour by neighbour.

    Args:
        judge: whoever chose the plan.
        plan: the plan.
        base: the plan in hand.
        tries: looks at most at so many plans.
    """
    rank = {ident: place for place, ident in enumerate(base.order)}
    again = True
    while again and tries > 0:
        again = False
        for i in range(len(plan.order) - 1):
            a, b = plan.order[i], plan.order[i + 1]
            if rank.get(a, -1) <= rank.get(b, len(rank)) or tries <= 0:
                continue
            tries -= 1
            back = replace(plan, order=(*plan.order[:i], b, a, *plan.order[i + 2 :]))
            if judge.score(back).value >= judge.score(plan).value:
                plan, again = back, True
    return plan
