"""What to do with time won: only what can be undone, and only while the deadline is safe."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import sqrt

from fabsched.advise.weighing import Scales
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Task, Turn, Weekend

SURE = 2.0
"""So many standard errors lie between a chance that is surely what is wanted and that (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareWork:
    """Work that could fill time won.

    Attributes:
        item: id of the work.
        ids: its activities.
        planned: whether the plan does it already, after everything that matters more.
        likely_s: likely seconds of it.
        on_time: chance of being in time if it is done whenever hands have nothing else to do; what
            the plan has not is counted as done in time only with it, as it is once it is planned in.
        is_safe: whether that chance is surely what is wanted; else leave it.
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
    """Works that were dropped, of which every bit can be undone and nothing else is missing."""
    taken = (s.out for s in weekend.swaps if s.kind is Turn.DROP and not s.into)
    missing = frozenset[str]().union(*(out for out in taken if out <= plan.dropped))
    rows: dict[str, list[Task]] = {}
    for task in _undoable(weekend):
        if task.id in missing:
            rows.setdefault(task.of or task.id, []).append(task)
    for tasks in rows.values():
        own = {task.id for task in tasks}
        if missing.isdisjoint({need for task in tasks for need in task.after} - own):
            yield tuple(tasks)


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
    weekend = replace(
        scales.weekend,
        activities=tuple(
            replace(each, needed=True) if each.id in ids else each
            for each in scales.weekend.activities
        ),
    )
    return _spare(scales, tasks, scales.gain(weekend, plan).on_time, planned=False)


def _spare(scales: Scales, tasks: tuple[Task, ...], on_time: float, *, planned: bool) -> SpareWork:
    error = sqrt(on_time * (1 - on_time) / len(scales.base))
    return SpareWork(
        item=tasks[0].of or tasks[0].id,
        ids=tuple(task.id for task in tasks),
        planned=planned,
        likely_s=sum(task.seconds.likely for task in tasks),
        on_time=on_time,
        is_safe=on_time - SURE * error >= scales.weekend.wanted_odds,
    )
