"""How far a plan departs from the one in hand, and a judge who minds that.

A change of plan costs its maker a fresh look at everything, so that nothing moves without gain.
"""

from dataclasses import dataclass, field, replace

from fabsched.model.plan import Plan
from fabsched.schedule.orders import moved, turned
from fabsched.schedule.race import Judge

TURNED = 0.05
"""What turning the whole order upside down costs, in chance of being on time."""

OTHER = 0.001
"""What every activity carried out instead of another costs.

Such costs in the search itself keep it from what pays only after several changes: on synthetic weekends of
forty activities in which long prints fail (`tests/benchmarks`) it then found plans on time in .971 of them,
where the plan in hand gives .928 and a search without costs .976. So the search minds nothing, and what it
found is drawn back afterwards as far as these costs outweigh: .973, with 4 % of the pairs turned instead
of 45 %. A cost of 0.03 turns half as many again, 0.08 half as many; neither gains anything.
"""


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

    def dislike(self, plan: Plan) -> float:
        """What it drops, and how far it departs from the plan in hand."""
        return super(LoyalJudge, self).dislike(plan) + cost(plan, self.base)


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


def put_back(judge: Judge, plan: Plan, base: Plan) -> Plan:
    """The plan with every move taken back that is not worth it by itself.

    Args:
        judge: scores plans on luck that was not used to choose the plan; if departing from the plan in
            hand costs it something, moves have to be worth that.
        plan: the plan.
        base: the plan in hand.
    """
    todo = moved(plan.order, base.order)
    while todo:
        before = plan
        for ident in todo:
            back = with_back(plan, ident, base)
            if judge.score(back).value >= judge.score(plan).value:
                plan = back
        left = moved(plan.order, base.order)
        # Whatever was put back first may have been in the way of the rest.
        todo = left if plan != before and len(left) < len(todo) else ()
    return plan


def with_back(plan: Plan, ident: str, base: Plan) -> Plan:
    """The plan with one activity again behind what stood last before it, as far as that is there."""
    rest = [other for other in plan.order if other != ident]
    ahead = frozenset(base.order[: base.order.index(ident)])
    here = [place for place, other in enumerate(rest) if other in ahead]
    rank = {other: place for place, other in enumerate(base.order)}
    before = max((rest[place] for place in here), key=lambda other: rank[other], default=None)
    place = 0 if before is None else rest.index(before) + 1
    return replace(plan, order=(*rest[:place], ident, *rest[place:]))
