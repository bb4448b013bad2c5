"""What is not in hand, and by when it has to be ordered: weekends, deliveries, what has arrived."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from fabsched.advise.ready import lacks
from fabsched.model.project import Component, Project, Work
from fabsched.model.spread import Spread

BERLIN = ZoneInfo("Europe/Berlin")


def _s(day: str, hour: str = "09:15", zone: ZoneInfo = BERLIN) -> int:
    return int(datetime.fromisoformat(f"{day}T{hour}").replace(tzinfo=zone).timestamp())


WORK = Work(id="wire", name="Wire", minutes=Spread(1.0, 2.0, 3.0))
BOARD = Component(id="board", name="Board", needed_by=("wire",), delivery_days=1)


def _project(*components: Component) -> Project:
    deadline = datetime(2027, 3, 7, 21, tzinfo=BERLIN)
    return Project(name="x", zone=BERLIN, deadline=deadline, works=(WORK,), components=components)


def test_what_is_on_its_way_is_told_and_what_has_come_is_not() -> None:
    """It has to be ordered, then it is expected, then it is there."""
    project, begin_s = _project(BOARD), _s("2027-03-05")
    starts = {"wire": _s("2027-03-06")}
    (missing,) = lacks(project, begin_s, starts)
    assert (missing.by_s, missing.expected_s) == (_s("2027-03-04"), None)
    assert missing.is_too_late(begin_s)
    (coming,) = lacks(project, begin_s, starts, {"board": _s("2027-03-06", "12:00")})
    assert coming.expected_s == _s("2027-03-06", "12:00")
    assert not coming.is_too_late(begin_s)
    assert lacks(project, begin_s, starts, {"board": 0}) == ()


def test_what_was_needed_is_needed_no_more() -> None:
    """Once all that takes it is done nobody has to buy it; needed from the beginning, it stays."""
    always = Component(id="glue", name="Glue")
    found = lacks(_project(BOARD, always), 0, {}, done=frozenset({"wire"}))
    assert [lack.id for lack in found] == ["glue"]


@pytest.mark.parametrize(
    ("have", "told"),
    [(0, [(18, True)]), (13, [(5, True)]), (14, [(4, False)]), (18, [])],
)
def test_spares_are_wanted_but_not_essential(have: int, told: list[tuple[int, bool]]) -> None:
    """Fourteen screws are taken, four more are wanted in hand."""
    screws = Component(id="m3", name="M3", count=14, spares=4, have=have)
    found = lacks(_project(screws), 0, {})
    assert [(lack.buy, lack.essential) for lack in found] == told
