"""Work that waits for what is still to be ordered."""

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from fabsched.model.project import Component, Project, Work
from fabsched.model.spread import Spread
from fabsched.model.weekend import Bound, Weekend
from fabsched.schedule.ordering import LONGEST_S, held_by_orders, orders
from tests.model.made import task, weekend

ZONE = ZoneInfo("Europe/Berlin")
FRIDAY = datetime(2027, 3, 5, 18, tzinfo=ZONE)
NOW_S = int(FRIDAY.timestamp())
MONDAY_S = int((FRIDAY + timedelta(days=3)).timestamp())
LATE = Spread(0.0, 600.0, 7200.0)
SENSOR = Component(id="sensor", name="Sensor", needed_by=("wire",), delivery_days=1)


def _project(*components: Component) -> Project:
    work = Work(id="wire", name="Wire", minutes=Spread(1.0, 2.0, 3.0))
    deadline = FRIDAY + timedelta(days=4)
    return Project(name="x", zone=ZONE, deadline=deadline, works=(work,), components=components)


def _held(project: Project, week: Weekend, going: tuple[str, ...] = ()) -> Weekend:
    return held_by_orders(week, orders(project, NOW_S), LATE, dict.fromkeys(going))


def test_what_takes_it_waits_until_it_could_come() -> None:
    """Ordered on Friday, it comes on Monday at the same hour, and may be late; other work does not wait."""
    held = _held(_project(SENSOR), weekend(task("wire"), task("code")))
    assert held.activity("wire") == replace(
        task("wire"), earliest_s=MONDAY_S, bound=Bound.ORDER, late=LATE
    )
    assert held.activity("code") == task("code")


def test_what_holds_nothing_up() -> None:
    """What is in hand but for spares, sold nearby, taken by nothing that is named, or told of."""
    for each in (
        replace(SENSOR, have=1, spares=3),
        replace(SENSOR, delivery_days=0),
        replace(SENSOR, needed_by=()),
    ):
        week = weekend(task("wire"))
        assert _held(_project(each), week) == week
    assert orders(_project(SENSOR), NOW_S, ["sensor"]) == ()


def test_what_is_begun_has_what_it_takes() -> None:
    """Neither what somebody is at nor the rest of what is done in part waits."""
    week = weekend(task("wire", of="wire"), task("rest", of="wire"))
    assert _held(_project(SENSOR), week, going=("wire",)) == week
    done = replace(weekend(task("rest", of="wire")), settled=(task("wire", of="wire"),))
    assert _held(_project(SENSOR), done) == done


def test_later_set_hours_stay() -> None:
    """A visit after it has come is no sooner for it."""
    week = weekend(task("wire", earliest_s=MONDAY_S + 60))
    assert _held(_project(SENSOR), week) == week


def test_what_comes_ages_after_the_deadline_does_not_leave_the_known_hours() -> None:
    """A year of delivery misses the deadline by a week."""
    project = _project(replace(SENSOR, delivery_days=250))
    (order,) = orders(project, NOW_S)
    assert order.comes_s == int(project.deadline.timestamp()) + LONGEST_S
