"""Hours that are known beforehand."""

from fabsched.model.weekend import Activity, Bound

FORESEEN = frozenset({Bound.SET, Bound.PIN, Bound.TOLD})
"""Hours of the thing itself, known beforehand. Before the weekend begins nobody sets out, and nobody
knows in time when what has to be ordered comes."""


def is_foreseen(activity: Activity) -> bool:
    """Whether one sets out for its hour so as to be there in time; not where that hour may be late."""
    return activity.late is None and activity.bound in FORESEEN
