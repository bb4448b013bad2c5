"""Work that may be done before the weekend starts, in spare hours; everything else waits for the start."""

from collections.abc import Iterable
from dataclasses import replace
from math import floor

from fabsched.model.project import Project, Work
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Activity, Awaited, Bound, Task
from fabsched.model.windows import Windows

SPARE = 1.5
"""So many times the high figures of early work are looked for in hours before the start: enough for
it to take longer, without reaching back further than that (our own choice)."""


def early_works(project: Project) -> tuple[Work, ...]:
    """Works and gates that may be done before the start, and wait for nothing that may not."""
    works = [work for work in (*project.works, *project.gates) if work.early]
    while True:
        names = {work.id for work in works}
        left = [work for work in works if names.issuperset(work.after)]
        if len(left) == len(works):
            return tuple(works)
        works = left


def may_become_early(project: Project) -> frozenset[str]:
    """Ids of works that could be done before the start if the maker allowed it.

    They wait for nothing that may not be done then either, and for no set hour; whether the place
    and the things it takes are at hand only the maker knows.
    """
    early = {work.id for work in early_works(project)}
    return frozenset(
        work.id
        for work in project.works
        if not work.early and work.not_before is None and early.issuperset(work.after)
    )


def begin_s(project: Project, hours: Iterable[Windows], *, now_s: int, start_s: int) -> int:
    """When planning begins: no earlier before the start than early work is likely to take.

    Args:
        project: what is wanted.
        hours: when each person is up and free.
        now_s: the present moment; nothing begins before.
        start_s: when the weekend begins.
    """
    left_s = SPARE * sum(work.minutes.high for work in early_works(project)) * MINUTE_S
    if start_s <= now_s or not left_s:
        return start_s
    up = Windows.of(span for windows in hours for span in windows).clipped(now_s, start_s)
    for opens_s, closes_s in reversed(up.spans):
        if closes_s - opens_s >= left_s:
            return floor(closes_s - left_s)
        left_s -= closes_s - opens_s
    return up.spans[0][0] if up.spans else start_s


def held_to_start(
    activities: Iterable[Activity], project: Project, start_s: int
) -> tuple[Activity, ...]:
    """Activities, of which all but early work waits for the start.

    Args:
        activities: what the project becomes.
        project: for what is early.
        start_s: when the weekend begins.
    """
    early = {work.id for work in early_works(project)}
    return tuple(
        activity
        if isinstance(activity, Task) and activity.of in early
        else _held(activity, start_s)
        for activity in activities
    )


def _held(activity: Activity, start_s: int) -> Activity:
    """Not before the start; what is late is late by so much less."""
    wait_s = start_s - activity.earliest_s
    if wait_s <= 0:
        return activity
    late = _shortened(activity.late, wait_s) if activity.late else None
    waits = Awaited(told_s=activity.earliest_s, late=activity.late) if activity.late else None
    return replace(activity, earliest_s=start_s, bound=Bound.BEGIN, late=late, awaited=waits)


def _shortened(late: Spread, by_s: int) -> Spread | None:
    figures = (max(0.0, figure - by_s) for figure in (late.low, late.likely, late.high))
    shorter = Spread(*figures)
    return shorter if shorter.high else None
