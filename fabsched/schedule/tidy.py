"""The plan as a person would write it down, where that costs nothing.

A search leaves things in any order that does no harm: what nobody asked for before what is needed,
the second of two equal beds before the first.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from fabsched.model.plan import Plan
from fabsched.model.weekend import Run
from fabsched.schedule.carried import carried_out
from fabsched.schedule.needs import asked_for
from fabsched.schedule.race import Judge


def tidied(judge: Judge, plan: Plan) -> Plan:
    """The plan with what nobody asked for last and equal runs in their row.

    The first is only done if the plan is then as good as before. Equal runs may always change
    places: whatever tells them apart under drawn luck is chance.

    Args:
        judge: scores plans.
        plan: the plan.
    """
    asked = asked_for(carried_out(judge.weekend, plan))
    last = replace(plan, order=tuple(sorted(plan.order, key=lambda ident: ident not in asked)))

    def done(each: Plan) -> tuple[float, int, int, bool]:
        score = judge.score(each)
        return score.on_time, -score.late_s, -score.half_s, each is last

    better = max((plan, last), key=done)
    return replace(better, order=_in_rows(judge.weekend.activities, better.order))


def _in_rows(activities: Iterable[object], order: tuple[str, ...]) -> tuple[str, ...]:
    """The order with equal runs by the weekend's own, in the places they have together."""
    runs = [activity for activity in activities if isinstance(activity, Run)]
    rows: dict[Run, list[str]] = {}
    for run in runs:
        if run.id in order:
            rows.setdefault(replace(run, id="", name=""), []).append(run.id)
    kinds = {ident: kind for kind, row in rows.items() for ident in row}
    turns: dict[Run, Iterator[str]] = {kind: iter(row) for kind, row in rows.items()}
    return tuple(next(turns[kinds[ident]]) if ident in kinds else ident for ident in order)
