"""The checker's view of what a plan carries out and what it leaves out.

Written from the words of `model.weekend` alone, like the rest of the checker: it shares no code with
what draws up swaps, nor with what takes them.
"""

import heapq
from collections import Counter
from collections.abc import Iterator
from itertools import count

from fabsched.model.plan import Plan
from fabsched.model.weekend import Activity, Run, Swap, Turn, Weekend

LOOKED_AT = 3000
"""Choices looked at before one is said to be out of reach. Those nearest to the wanted one come first,
so that a chain of swaps which leads there is found after about as many choices as it is long."""

WHOLE = 27720
"""One copy or one whole work: divides by all numbers up to twelve, so that pieces add up."""

ROUNDING = 100
"""Pieces of a work that is cut into very many do not quite add up."""

Amounts = Counter[str]
"""Copies of parts and shares of works, in fractions of `WHOLE`, by id."""


def choice_faults(weekend: Weekend, plan: Plan) -> Iterator[str]:
    """What is wrong with the choice a plan makes, in a sentence each.

    Args:
        weekend: activities and swaps.
        plan: which names every activity once.
    """
    yield from _swaps_are_sound(weekend)
    yield from _only_what_may_is_dropped(weekend, plan)
    yield from _swaps_lead_there(weekend, plan)
    yield from _everything_is_made_once(weekend, plan)


def _kept(plan: Plan) -> frozenset[str]:
    return frozenset(plan.order) - plan.dropped


def _decided(weekend: Weekend) -> frozenset[str]:
    """Ids of the activities swaps speak of."""
    return frozenset[str]().union(*(swap.out | swap.into for swap in weekend.swaps))


def _swaps_are_sound(weekend: Weekend) -> Iterator[str]:
    known = {activity.id for activity in weekend.activities}
    for swap in weekend.swaps:
        for ident in sorted((swap.out | swap.into) - known):
            yield f"the swap {swap.id} names {ident}, which is not there"
        if swap.out & swap.into:
            yield f"the swap {swap.id} swaps something for itself"


def _only_what_may_is_dropped(weekend: Weekend, plan: Plan) -> Iterator[str]:
    """Without a swap only what is not needed may be left out."""
    decided = _decided(weekend)
    for activity in weekend.activities:
        if activity.id in plan.dropped and activity.needed and activity.id not in decided:
            yield f"{activity.id} is needed but dropped"


def _swaps_lead_there(weekend: Weekend, plan: Plan) -> Iterator[str]:
    """What is carried out follows from what stands by swaps, each taken or taken back."""
    decided = _decided(weekend)
    start = frozenset(a.id for a in weekend.activities if not _comes_in(weekend, a.id)) & decided
    if not _leads_to(weekend.swaps, start, _kept(plan) & decided):
        yield f"no swaps lead to {sorted(_kept(plan) & decided)}"


def _comes_in(weekend: Weekend, ident: str) -> bool:
    return any(ident in swap.into for swap in weekend.swaps)


def _leads_to(swaps: tuple[Swap, ...], start: frozenset[str], wanted: frozenset[str]) -> bool:
    """Whether swaps lead from one choice to another, the nearest looked at first."""
    turn = count()
    fresh = [(len(start ^ wanted), next(turn), start)]
    seen = {start}
    for _ in range(LOOKED_AT):
        if not fresh:
            return False
        far, _, choice = heapq.heappop(fresh)
        if not far:
            return True
        for near in _next(swaps, choice):
            if near not in seen:
                seen.add(near)
                heapq.heappush(fresh, (len(near ^ wanted), next(turn), near))
    return False


def _next(swaps: tuple[Swap, ...], choice: frozenset[str]) -> Iterator[frozenset[str]]:
    for swap in swaps:
        if swap.out <= choice and choice.isdisjoint(swap.into):
            yield (choice - swap.out) | swap.into
        elif swap.into <= choice and choice.isdisjoint(swap.out):
            yield (choice - swap.into) | swap.out


def _everything_is_made_once(weekend: Weekend, plan: Plan) -> Iterator[str]:
    """Every copy of a part is on one bed, every work done once, unless it is left out as a whole."""
    stands = frozenset(a.id for a in weekend.activities if not _comes_in(weekend, a.id))
    usual, made = _amounts(weekend, stands), _amounts(weekend, _kept(plan))
    for ident in sorted({*usual, *made}):
        wanted = usual[ident] or max(_amounts(weekend, swap.into)[ident] for swap in weekend.swaps)
        if made[ident] and abs(made[ident] - wanted) > ROUNDING:
            yield f"{ident} is made {made[ident] / WHOLE:.3g} times, not {wanted / WHOLE:.3g}"
        elif not made[ident] and not _may_go(weekend, ident):
            yield f"{ident} is not made, and nothing was decided about it"


def _amounts(weekend: Weekend, choice: frozenset[str]) -> Amounts:
    amounts: Amounts = Counter()
    for activity in weekend.activities:
        if activity.id in choice:
            amounts.update(_amount(activity))
    return amounts


def _amount(activity: Activity) -> dict[str, int]:
    if isinstance(activity, Run):
        return {part: WHOLE * copies for part, copies in activity.cargo}
    return {activity.of: round(WHOLE * activity.share)} if activity.of else {}


def _may_go(weekend: Weekend, ident: str) -> bool:
    """Whether something may be left out: by a swap that is not about beds, or as not needed."""
    carriers = [activity for activity in weekend.activities if ident in _amount(activity)]
    swapped = {x for s in weekend.swaps if s.kind is not Turn.BED for x in s.out | s.into}
    return any(a.id in swapped or not a.needed for a in carriers)
