"""Ways that were not chosen, kept to fall back on: the plan takes none, a decision hour may.

A weekend is laid out for the chosen way alone. Laid out once more for another way it tells what that
one takes. Both together are a weekend whose plan leaves the other way out, with a swap that leads to it.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from fabsched.model.plan import Plan
from fabsched.model.weekend import Activity, Swap, Task, Turn, Weekend
from fabsched.schedule.names import Namer
from fabsched.schedule.remedies import clear_id
from fabsched.schedule.replan import carried_over


@dataclass(frozen=True, slots=True, kw_only=True)
class Fallback:
    """A way that was not chosen.

    Attributes:
        id: of the swap that leads to it.
        name: name shown.
        weekend: the same weekend, laid out as if it had been chosen.
    """

    id: str
    name: str
    weekend: Weekend


def with_fallbacks(
    weekend: Weekend, plan: Plan, fallbacks: Iterable[Fallback]
) -> tuple[Weekend, Plan]:
    """A weekend and its plan with swaps that lead to ways that were not chosen.

    What a way takes that the plan has not is added, left out in the plan; what it takes as well is
    shared. A bed that carries other parts too is swapped as a whole, since it is made otherwise then.
    """
    for fallback in fallbacks:
        weekend, plan = _with(weekend, plan, fallback)
    return weekend, plan


def _with(weekend: Weekend, plan: Plan, fallback: Fallback) -> tuple[Weekend, Plan]:
    other = fallback.weekend
    wanted = [i for i in carried_over(other, plan).order if i not in _on_machines(other)]
    named = _names(weekend, other, wanted)
    carried = frozenset(i for i in plan.order if i not in plan.dropped) - _on_machines(weekend)
    kept = frozenset(named.values())
    known = {activity.id for activity in weekend.activities}
    fresh = [ident for ident in wanted if named[ident] not in known]
    swap = Swap(
        id=fallback.id,
        kind=Turn.ROUTE,
        name=fallback.name,
        out=carried - kept,
        into=kept - carried,
    )
    if not swap.out or not swap.into:
        return weekend, plan
    both = {each.id: each for each in weekend.activities}
    for ident in wanted:
        mine = both.get(named[ident])
        both[named[ident]] = _waiting(other.activity(ident), mine, named, known)
    merged = replace(
        weekend,
        activities=tuple(both.values()),
        travel_s={**other.travel_s, **weekend.travel_s},
        swaps=(*weekend.swaps, swap),
    )
    return merged, replace(plan, dropped=plan.dropped | {named[ident] for ident in fresh})


def _on_machines(weekend: Weekend) -> frozenset[str]:
    """Ids of what only stands for a machine that has to be cleared."""
    return frozenset(clear_id(station.id) for station in weekend.stations)


def _names(weekend: Weekend, other: Weekend, wanted: Iterable[str]) -> dict[str, str]:
    """What activities of another way are called among those of the weekend, alike ones the same."""
    mine = {activity.id: activity for activity in weekend.activities}
    namer = Namer((*mine, *(activity.id for activity in weekend.settled)))
    return {
        ident: ident
        if ident in mine and _bare(mine[ident]) == _bare(other.activity(ident))
        else namer.fresh(ident)
        for ident in wanted
    }


def _bare(activity: Activity) -> Activity:
    """An activity apart from what it waits for and does again."""
    return _spelt(activity, lambda _: ())


def _waiting(
    theirs: Activity, mine: Activity | None, named: Mapping[str, str], known: Iterable[str]
) -> Activity:
    """An activity that waits for what it waits for under either way."""
    may_be = {*known, *named.values()}
    new = _spelt(theirs, lambda names: tuple(x for i in names if (x := named.get(i, i)) in may_be))
    if mine is None:
        return replace(new, id=named[theirs.id])
    after = tuple(dict.fromkeys((*mine.after, *new.after)))
    if isinstance(mine, Task) and isinstance(new, Task):
        return replace(mine, after=after, redo=tuple(dict.fromkeys((*mine.redo, *new.redo))))
    return replace(mine, after=after)


def _spelt(activity: Activity, spell: Callable[[tuple[str, ...]], tuple[str, ...]]) -> Activity:
    if isinstance(activity, Task):
        return replace(activity, after=spell(activity.after), redo=spell(activity.redo))
    return replace(activity, after=spell(activity.after))
