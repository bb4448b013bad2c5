"""Hours before which something may not start: when that is likely, and whether it is known beforehand."""

from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Bound

FORESEEN = frozenset({Bound.SET, Bound.PIN, Bound.TOLD})
"""Hours of the thing itself, known beforehand. Before the weekend begins nobody sets out, and nobody
knows in time when what has to be ordered comes."""


def is_foreseen(activity: Activity) -> bool:
    """Whether one sets out for its hour so as to be there in time; not where that hour may be late."""
    return activity.late is None and activity.bound in FORESEEN


def due_s(activity: Activity) -> int:
    """When an activity may start at the earliest, if what may be late is as late as likely."""
    return activity.earliest_s + (whole_s(activity.late.likely) if activity.late else 0)
