"""What to do with time won: only what can be undone, only while the deadline is surely safe."""

from dataclasses import replace

import pytest

from fabsched.advise.spare_time import SpareWork, spare_work
from fabsched.advise.weighing import Scales
from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import Swap, Task, Turn, Weekend
from fabsched.odds.sample import Sample
from tests.model.made import H, task, weekend


def _scales(week: Weekend, plan: Plan) -> Scales:
    return Scales.of(week, plan, Sample(seed=5, scenarios=2000))


def _with_spare(*tasks: Task, deadline_s: int, dropped: set[str]) -> tuple[SpareWork, ...]:
    """What there is time for beside an hour of joining; each task may be left out."""
    week = weekend(task("join", H), *tasks, deadline_s=deadline_s)
    outs = [{each.id, *(t.id for t in tasks if each.id in t.after)} for each in tasks]
    swaps = tuple(
        Swap(id=f"drop-{each.id}", kind=Turn.DROP, name=each.name, out=frozenset(out))
        for each, out in zip(tasks, outs, strict=True)
    )
    order = ("join", *(each.id for each in tasks if each.id not in dropped))
    plan = Plan(order=order, dropped=frozenset(dropped))
    return spare_work(_scales(replace(week, swaps=swaps), plan))


def test_time_won_is_told_as_the_plan_will_tell_it() -> None:
    """Planned in, the work has to be done in time as well: it is weighed so before it is advised."""
    page = task("page", Spread(2 * H, 3 * H, 5 * H), needed=False, undoable=True)
    (found,) = _with_spare(page, deadline_s=4 * H, dropped={"page"})
    # Joining alone is always in time.
    assert found.on_time < 0.7
    assert not found.is_safe
    after = weekend(task("join", H), replace(page, needed=True), deadline_s=4 * H)
    on_time = _scales(after, Plan(order=("join", "page"))).base.mean()
    assert found.on_time == pytest.approx(float(on_time), abs=1e-9)


def test_nothing_is_advised_that_lacks_what_it_waits_for() -> None:
    """A photo of a page that is left out is none; the page is."""
    page = task("page", H, needed=False, undoable=True)
    photo = task("photo", 2 * H, needed=False, undoable=True, after=("page",))
    found = _with_spare(page, photo, deadline_s=9 * H, dropped={"page", "photo"})
    assert [(each.item, each.planned, each.is_safe) for each in found] == [("page", False, True)]
    found = _with_spare(page, photo, deadline_s=9 * H, dropped={"photo"})
    assert [(each.item, each.planned) for each in found] == [("photo", False), ("page", True)]


def test_what_cannot_be_undone_is_never_advised() -> None:
    """Nor what is needed anyhow."""
    paint = task("paint", H, needed=False)
    assert _with_spare(paint, deadline_s=9 * H, dropped={"paint"}) == ()
    code = task("code", H, undoable=True)
    assert spare_work(_scales(weekend(code, deadline_s=9 * H), Plan(order=("code",)))) == ()
