"""The weekend of one choice: only what is carried out, nothing left to decide."""

from dataclasses import replace

from fabsched.model.plan import Plan
from fabsched.model.weekend import Activity, Run, Weekend


def carried_out(weekend: Weekend, plan: Plan) -> Weekend:
    """The weekend without what a plan leaves out, which is waited for by nobody."""
    kept = frozenset(plan.order) - plan.dropped
    again = frozenset(activity.id for activity in weekend.settled)
    activities = tuple(_among(a, kept, again) for a in weekend.activities if a.id in kept)
    return replace(weekend, activities=activities, swaps=())


def _among(activity: Activity, kept: frozenset[str], again: frozenset[str]) -> Activity:
    """An activity that waits only for what is carried out; what was done before is still done again."""
    after = tuple(need for need in activity.after if need in kept)
    if isinstance(activity, Run):
        return replace(activity, after=after)
    redo = tuple(ident for ident in activity.redo if ident in kept | again)
    return replace(activity, after=after, redo=redo)
