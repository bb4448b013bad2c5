"""What it would win to leave something out, or to have it done before the weekend."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fabsched.advise.counsel import Gain
from fabsched.advise.weighing import Scales
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.project import Project
from fabsched.model.weekend import Activity, Run, Task, Weekend
from fabsched.schedule.carried import carried_out
from fabsched.schedule.early_looks import is_for_a_look
from fabsched.schedule.remedies import without

CLOSER = 4
"""So many that win most at first sight are given a better order each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """A part or work that could be left out.

    Attributes:
        item: its id.
        needed: whether the project is unfinished without it: then this only tells what it costs.
        gain: what leaving it out wins, the order of the rest being found anew for those that win
            most.
    """

    item: str
    needed: bool
    gain: Gain


def drops(scales: Scales, *, closer: int = CLOSER, watch: Watch = UNWATCHED) -> tuple[Drop, ...]:
    """What leaving out each part and work of a plan would win; optional ones first, then by gain.

    Gates are not among them: a fault that nobody looks for is a fault all the same. Neither are parts
    that share a bed or sheet with others, since those have to be made anyway, nor coupons: what
    they are worth is told with the check that takes them.

    Args:
        scales: the plan.
        closer: how many are given a better order.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    settled = carried_out(scales.weekend, scales.plan)
    made = made_of(settled)
    quick: list[Drop] = []
    for number, (item, ids) in enumerate(made.items()):
        check(watch)
        watch.report(0.7 * number / len(made), "drops")
        rest = without(settled, ids)
        gain = scales.gain(rest, scales.carried(rest)) if rest.activities else _certain(scales)
        needed = any(activity.needed for activity in settled.activities if activity.id in ids)
        quick.append(Drop(item=item, needed=needed, gain=gain))
    quick.sort(key=lambda drop: -drop.gain.gain)
    better = [_looked_at(scales, settled, made, drop, watch) for drop in quick[:closer]]
    return tuple(sorted((*better, *quick[closer:]), key=_rank))


def _rank(drop: Drop) -> tuple[bool, float, str]:
    return drop.needed, -drop.gain.gain, drop.item


def _certain(scales: Scales) -> Gain:
    """Nothing is left to do."""
    return Gain(on_time=1.0, gain=1.0 - float(scales.base.mean()), error=0.0)


def _looked_at(
    scales: Scales, settled: Weekend, made: Mapping[str, frozenset[str]], drop: Drop, watch: Watch
) -> Drop:
    """The same with the best order found for the rest."""
    check(watch)
    rest = without(settled, made[drop.item])
    if len(rest.activities) < 2:
        return drop
    plan = scales.reordered(rest, scales.carried(rest))
    gain = scales.gain(rest, plan)
    return replace(drop, gain=gain) if gain.gain > drop.gain.gain else drop


def carriers(project: Project) -> frozenset[str]:
    """Ids of what carries the project: at least half of all else leads to it.

    Leaving it out would win most of all, since little were left to do; but nothing were made either.
    """
    needs = {item.id: item.after for item in project.items}
    found = []
    for ident in needs:
        seen, fresh = set[str](), [ident]
        while fresh:
            new = set(needs[fresh.pop()]) - seen
            seen |= new
            fresh += new
        if 2 * len(seen) >= len(needs) - 1 > 0:
            found.append(ident)
    return frozenset(found)


def made_of(weekend: Weekend) -> dict[str, frozenset[str]]:
    """Activities that can be left out with each part or work, by its id."""
    found: dict[str, set[str]] = {}
    shared: set[str] = set()
    for activity in weekend.activities:
        items = _items(activity)
        for item in items:
            found.setdefault(item, set()).add(activity.id)
        is_gate = isinstance(activity, Task) and activity.chance > 0
        if len(items) > 1 or is_gate or is_for_a_look(weekend, activity.id):
            shared.update(items)
    return {item: frozenset(ids) for item, ids in found.items() if item not in shared}


def _items(activity: Activity) -> Sequence[str]:
    """Ids of the parts on a bed, or of the work."""
    if isinstance(activity, Run):
        return tuple(part for part, _ in activity.cargo)
    return (activity.of or activity.id,)
