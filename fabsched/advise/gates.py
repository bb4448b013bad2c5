"""What looking early is worth: each gate that may be skipped, with it and without, on the same luck."""

from collections.abc import Iterable

from fabsched.advise.counsel import Look
from fabsched.advise.weighing import Scales, gain_of, in_time
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Run, Swap, Turn, Weekend
from fabsched.schedule.carried import carried_out


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
    taken = swap.into <= frozenset(scales.plan.order) and not swap.out & frozenset(
        scales.plan.order
    )
    turned = (
        _turned(scales.plan, swap.into, swap.out)
        if taken
        else _turned(scales.plan, swap.out, swap.into)
    )
    weekend = carried_out(scales.weekend, turned)
    other = in_time(weekend, scales.reordered(weekend, Plan(order=turned.order)), scales.sample)
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


def _turned(plan: Plan, out: frozenset[str], into: frozenset[str]) -> Plan:
    """The plan with some activities instead of others, as urgent as the first of them."""
    order: list[str] = []
    fresh = sorted(into)
    for ident in plan.order:
        if ident in out and fresh:
            order += fresh
            fresh = []
        order += [] if ident in out else [ident]
    return Plan(order=(*fresh, *order), dropped=(plan.dropped - into) | out)


def _costs(weekend: Weekend, swap: Swap) -> tuple[float, float]:
    """Hands' and machine seconds that looking takes more than not looking."""
    hands = machine = 0.0
    for side, idents in ((1.0, swap.into), (-1.0, swap.out)):
        for activity in map(weekend.activity, sorted(idents)):
            if isinstance(activity, Run):
                machine += side * activity.choices[0].seconds.likely
                hands += side * (activity.start_s + activity.clear_s)
            else:
                hands += side * activity.seconds.likely
    return hands, machine
