"""No more of the calendar than a good schedule can need: every pause in it costs the solver."""

from dataclasses import replace

from fabsched.model.plan import Course
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.schedule.solver.times import Times


def cut(weekend: Weekend, course: Course | None, times: Times) -> Weekend:
    """The weekend up to just after a known course ends, since a better one ends no later.

    The course knows nothing of what gates are expected to cost; these get that time and a day more.

    Args:
        weekend: what is to be scheduled.
        course: of any plan, by the same times; None if there is none.
        times: with what gates are expected to cost.
    """
    if course is None or course.finish_s >= NEVER:
        return weekend
    lags_s = sum(times.lag_s.values())
    end_s = course.finish_s + 1 + (lags_s + DAY_S if lags_s else 0)
    if end_s >= weekend.horizon_s:
        return weekend
    begin_s = weekend.begin_s
    return replace(
        weekend,
        horizon_s=end_s,
        hands=tuple(replace(x, windows=x.windows.clipped(begin_s, end_s)) for x in weekend.hands),
        sites=tuple(replace(x, windows=x.windows.clipped(begin_s, end_s)) for x in weekend.sites),
        stations=tuple(
            replace(x, windows=x.windows.clipped(begin_s, end_s)) for x in weekend.stations
        ),
    )
