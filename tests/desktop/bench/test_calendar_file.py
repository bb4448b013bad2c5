"""The calendar, saved again to the same place."""

from pathlib import Path

import pytest
from icalendar import Calendar

from fabsched.desktop.window import MainWindow
from fabsched.files.calendar_out import uid_of
from fabsched.session.calendar_request import CalendarRequest
from fabsched.session.sayings import Verb
from tests.desktop.bench.conftest import Settle
from tests.desktop.conftest import Clock
from tests.desktop.fakes import FakeAsks, FakePool

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


Events = dict[str, tuple[int, str]]
"""Sequence number and status of each event, by UID."""


def events(path: Path) -> Events:
    """What stands in a calendar file."""
    calendar = Calendar.from_ical(path.read_bytes())
    return {
        str(event["UID"]): (int(str(event["SEQUENCE"])), str(event["STATUS"]))
        for event in calendar.walk("VEVENT")
    }


def go_on(planned: MainWindow, clock: Clock, settle: Settle) -> None:
    """Start a print, and half an hour later some work."""
    planned.making.teller.tell(Verb.START, "louvres.start")
    clock.moment_s += 1800
    planned.making.teller.tell(Verb.START, "code#1")
    settle()


def updated_in_place(before: Events, after: Events) -> None:
    """Hold that every event is still there, with higher numbers where something moved."""
    assert before.keys() <= after.keys()
    assert any(after[uid][0] > number for uid, (number, _) in before.items())


def test_it_asks_once_and_then_updates_in_place(
    planned: MainWindow,
    asks: FakeAsks,
    pool: FakePool,
    clock: Clock,
    settle: Settle,
    tmp_path: Path,
) -> None:
    """The second time nothing is asked: same file, same UIDs, higher numbers where something moved."""
    asks.path = tmp_path / "plan.ics"
    planned.actions_.calendar.trigger()
    (request,) = pool.of(CalendarRequest)
    pool.answer_one(request)
    assert planned.making.bar.note.text == f"calendar saved to {asks.path}"
    before = events(asks.path)
    go_on(planned, clock, settle)
    planned.actions_.calendar.trigger()
    (request,) = pool.of(CalendarRequest)
    pool.answer_one(request)
    after = events(asks.path)
    assert len(asks.asked) == 1
    updated_in_place(before, after)


def test_a_new_plan_goes_into_the_calendar_by_itself(
    planned: MainWindow,
    asks: FakeAsks,
    pool: FakePool,
    clock: Clock,
    settle: Settle,
    tmp_path: Path,
) -> None:
    """Once saved it follows every plan, without a word; taken away, it is not made again."""
    asks.path = tmp_path / "plan.ics"
    settle()
    assert not pool.of(CalendarRequest)
    planned.actions_.calendar.trigger()
    pool.answer(only=CalendarRequest)
    settle()
    before = events(asks.path)
    told: list[object] = []
    planned.making.calendar.written.connect(told.append)
    go_on(planned, clock, settle)
    pool.answer(only=CalendarRequest)
    after = events(asks.path)
    updated_in_place(before, after)
    assert not told
    asks.path.unlink()
    planned.making.teller.tell(Verb.FINISH, "code#1")
    settle()
    assert not pool.of(CalendarRequest)


def test_what_has_happened_stays_in_the_calendar(
    planned: MainWindow,
    asks: FakeAsks,
    pool: FakePool,
    clock: Clock,
    settle: Settle,
    tmp_path: Path,
) -> None:
    """An event that lies behind is not called off because nothing of it is left to plan."""
    asks.path = tmp_path / "plan.ics"
    planned.actions_.calendar.trigger()
    pool.answer(only=CalendarRequest)
    settle()
    planned.making.teller.tell(Verb.START, "louvres.start")
    clock.moment_s += 3600
    settle()
    planned.actions_.calendar.trigger()
    pool.answer(only=CalendarRequest)
    settle()
    start = uid_of("Balcony weather station", "louvres.start")
    assert events(asks.path)[start] == (0, "CONFIRMED")
