"""What to do with time won: only what can be undone, and only while the deadline is safe."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fabsched.advise.weighing import Scales
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Task, Turn, Weekend


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareWork:
    """Work that could fill time won.

    Attributes:
        item: id of the work.
        ids: its activities.
        planned: whether the plan does it already, after everything that matters more.
        likely_s: likely seconds of it.
        on_time: chance of being in time if it is done whenever hands have nothing else to do.
        is_safe: whether that chance is what is wanted; else leave it.
    """

    item: str
    ids: tuple[str, ...]
    planned: bool
    likely_s: float
    on_time: float
    is_safe: bool


def spare_work(scales: Scales, *, watch: Watch = UNWATCHED) -> tuple[SpareWork, ...]:
    """Optional work that can be undone, and whether there is time for it; the longest safe first.

    Args:
        scales: the plan.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    found = [
        *_planned(scales),
        *(_added(scales, tasks, watch) for tasks in _left_out(scales.weekend, scales.plan)),
    ]
    return tuple(sorted(found, key=lambda work: (not work.is_safe, -work.likely_s, work.item)))


def _planned(scales: Scales) -> Iterator[SpareWork]:
    """What the plan does already."""
    on_time = float(scales.base.mean())
    rows: dict[str, list[Task]] = {}
    for task in _undoable(scales.weekend):
        if task.id not in scales.plan.dropped:
            rows.setdefault(task.of or task.id, []).append(task)
    for tasks in rows.values():
        yield _spare(scales, tuple(tasks), on_time, planned=True)


def _left_out(weekend: Weekend, plan: Plan) -> Iterator[tuple[Task, ...]]:
    """Works that were dropped, of which every bit can be undone."""
    undoable = {task.id: task for task in _undoable(weekend)}
    for swap in weekend.swaps:
        taken = swap.kind is Turn.DROP and not swap.into and swap.out <= plan.dropped
        if taken and swap.out <= undoable.keys():
            yield tuple(undoable[ident] for ident in undoable if ident in swap.out)


def _undoable(weekend: Weekend) -> list[Task]:
    return [
        activity
        for activity in weekend.activities
        if isinstance(activity, Task) and activity.undoable and not activity.needed
    ]


def _added(scales: Scales, tasks: tuple[Task, ...], watch: Watch) -> SpareWork:
    """What becomes of the deadline if it is taken up as the least urgent of all."""
    check(watch)
    watch.report(0.9, "spare")
    ids = tuple(task.id for task in tasks)
    plan = replace(
        scales.plan,
        order=(*scales.plan.order, *ids),
        dropped=scales.plan.dropped - frozenset(ids),
    )
    return _spare(scales, tasks, scales.gain(scales.weekend, plan).on_time, planned=False)


def _spare(scales: Scales, tasks: tuple[Task, ...], on_time: float, *, planned: bool) -> SpareWork:
    return SpareWork(
        item=tasks[0].of or tasks[0].id,
        ids=tuple(task.id for task in tasks),
        planned=planned,
        likely_s=sum(task.seconds.likely for task in tasks),
        on_time=on_time,
        is_safe=on_time >= scales.weekend.wanted_odds,
    )
