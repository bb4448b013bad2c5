"""What it would cost to start something at a moment."""

from fabsched.model.plan import Plan
from fabsched.model.weekend import Task
from fabsched.session.pin_request import PinRequest
from tests.schedule.synthetic import synthetic_weekend

WEEKEND = synthetic_weekend(15, 0)
PLAN = Plan(
    order=tuple(a.id for a in WEEKEND.activities if a.id in WEEKEND.standing),
    dropped=frozenset(a.id for a in WEEKEND.activities) - WEEKEND.standing,
)


def test_what_is_held_back_to_the_deadline_is_never_done_in_time() -> None:
    """Before, there is a chance; with something pinned to the wall there is none."""
    task = next(a for a in WEEKEND.activities if isinstance(a, Task) and a.id in WEEKEND.standing)
    got = PinRequest(
        weekend=WEEKEND, plan=PLAN, what=task.of, start_s=WEEKEND.deadline_s, scenarios=300
    ).run()
    assert got.before > 0
    assert got.on_time == 0
    starts = [block.start_s for block in got.course.blocks if block.activity == task.id]
    assert min(starts) >= WEEKEND.deadline_s
