"""What looking early is worth: each gate that may be skipped, with it and without, on the same luck."""

from collections.abc import Iterable, Sequence

from fabsched.advise.counsel import Look
from fabsched.advise.weighing import Scales, gain_of, in_time
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Activity, Run, Swap, Turn, Weekend
from fabsched.schedule.carried import carried_out

WORK = 1_500_000
"""Entries carried out to find the best order of what the plan does not do: a quarter of a second."""


def looks(
    scales: Scales, *, swaps: Iterable[Swap] | None = None, watch: Watch = UNWATCHED
) -> tuple[Look, ...]:
    """What every gate that may be skipped is worth, the best first.

    Whichever of the two the plan does not do is given its best order first, as the plan has had.

    Args:
        scales: the plan.
        swaps: those to look at; None takes all that decide about gates alone.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    gates = [swap for swap in scales.weekend.swaps if swap.kind is Turn.GATE]
    asked = [swap for swap in (gates if swaps is None else swaps) if _is_open(swap, scales.plan)]
    found = []
    for number, swap in enumerate(asked):
        check(watch)
        watch.report(number / len(asked), "looks")
        found.append(look(scales, swap))
    return tuple(sorted(found, key=lambda each: (-each.gain.gain, each.swap)))


def look(scales: Scales, swap: Swap) -> Look:
    """What one gate is worth.

    Args:
        scales: the plan.
        swap: decides about the gate; must be taken, or possible to take.
    """
    carried = frozenset(scales.plan.order)
    taken = swap.into <= carried and not swap.out & carried
    out, into = (swap.into, swap.out) if taken else (swap.out, swap.into)
    turned = _turned(scales.weekend, scales.plan, out, into)
    weekend = carried_out(scales.weekend, turned)
    best = scales.reordered(weekend, Plan(order=turned.order), WORK)
    other = in_time(weekend, best, scales.sample)
    before, after = (other, scales.base) if taken else (scales.base, other)
    hands, machine = _costs(scales.weekend, swap)
    return Look(
        swap=swap.id,
        name=swap.name,
        taken=taken,
        hands_s=hands,
        machine_s=machine,
        without=float(before.mean()),
        gain=gain_of(before, after),
    )


def _is_open(swap: Swap, plan: Plan) -> bool:
    """Whether it is taken, or can be."""
    carried = frozenset(plan.order) - plan.dropped
    taken = swap.into <= carried and not swap.out & carried
    return taken or (swap.out <= carried and not swap.into & carried)


def _turned(weekend: Weekend, plan: Plan, out: frozenset[str], into: frozenset[str]) -> Plan:
    """The plan with some activities instead of others.

    The same work in another guise keeps its turn; everything else comes right before the first that
    waits for it.
    """
    new = {ident: weekend.activity(ident) for ident in sorted(into)}
    order = list(plan.order)
    for ident in sorted(out & frozenset(order)):
        same = [
            i
            for i, activity in new.items()
            if _work_of(activity) == _work_of(weekend.activity(ident))
        ]
        order[order.index(ident) : order.index(ident) + 1] = same
        for twin in same:
            del new[twin]
    while new:
        ident = next((i for i in new if _waiting(weekend, i, order) is not None), next(iter(new)))
        place = _waiting(weekend, ident, order)
        order.insert(len(order) if place is None else place, ident)
        del new[ident]
    return Plan(order=tuple(order), dropped=(plan.dropped - into) | out)


def _work_of(activity: Activity) -> str:
    """Id of the work it is a piece of; its own for a run."""
    return activity.id if isinstance(activity, Run) else activity.of or activity.id


def _waiting(weekend: Weekend, ident: str, order: Sequence[str]) -> int | None:
    """Place of the first that waits for an activity; None if none does."""
    waiting = {activity.id for activity in weekend.activities if ident in activity.after}
    return next((place for place, other in enumerate(order) if other in waiting), None)


def _costs(weekend: Weekend, swap: Swap) -> tuple[float, float]:
    """Hands' and machine seconds that looking takes more than not looking."""
    hands = machine = 0.0
    for side, idents in ((1.0, swap.into), (-1.0, swap.out)):
        for activity in map(weekend.activity, sorted(idents)):
            if isinstance(activity, Run):
                machine += side * activity.choices[0].seconds.likely
                hands += side * activity.tend_s
            else:
                hands += side * activity.crew * activity.seconds.likely
    return hands, machine
