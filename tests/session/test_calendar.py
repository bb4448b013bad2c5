"""Calendars of a weekend under way: what is done once more is an event of its own."""

from dataclasses import replace
from datetime import UTC, datetime

from icalendar import Calendar

from fabsched.files.calendar_out import calendar_bytes
from fabsched.model.log import Entry, Event, Meant, Sort
from fabsched.model.state import State, state_of
from fabsched.schedule.remedies import clear_id
from fabsched.session.calendar import calendar_events, turns_of
from tests.cli.made import crewed
from tests.session.test_estimating import SHOP

RUN = Meant(name="Lid", sort=Sort.RUN, machine="printer", place="home", clear_s=300)


def _told(*kinds: Event) -> State:
    """What the log says after a run was told of so, an hour between each."""
    return state_of(
        Entry(id=i + 1, kind=kind, subject="lid", moment_s=3600 * i, noted_s=3600 * i, meant=RUN)
        for i, kind in enumerate(kinds)
    )


def test_every_failure_begins_another_turn() -> None:
    """Failed twice, the third attempt is the third event; so is taking off what failed."""
    failed = _told(*(Event.STARTED, Event.FAILED) * 2)
    assert turns_of(failed) == {"lid": 2, clear_id("printer"): 2}
    assert turns_of(_told(Event.STARTED, Event.CANCELLED))["lid"] == 1


def test_what_only_has_to_be_taken_off_is_still_the_same_turn() -> None:
    """From its start until it is cleared nothing gets another event."""
    assert turns_of(State()) == {}
    assert turns_of(_told(Event.STARTED)) == {}
    assert turns_of(_told(Event.STARTED, Event.FINISHED)) == {}


def test_a_new_attempt_leaves_the_event_of_the_failed_one_where_it_was() -> None:
    """What was begun keeps its place in the past; what is planned again gets a UID of its own."""
    week, answer = crewed()
    first = calendar_events(week, answer, SHOP)[0]
    block = next(b for b in answer.course.blocks if b.id == first.key)
    again = calendar_events(week, answer, SHOP, {block.activity: 1})[0]
    assert again.key != first.key
    before = calendar_bytes([first], name="Box", project="Box", now_s=first.start_s)
    later_s = first.end_s + 3600
    moved = replace(again, start_s=later_s, end_s=later_s + 600)
    after = calendar_bytes([moved], before, name="Box", project="Box", now_s=first.end_s + 60)
    starts = {event.decoded("DTSTART") for event in Calendar.from_ical(after).events}
    assert starts == {datetime.fromtimestamp(s, UTC) for s in (first.start_s, later_s)}
    assert all(str(e["STATUS"]) == "CONFIRMED" for e in Calendar.from_ical(after).events)


def test_events_say_where_nothing_can_start_too_late() -> None:
    """With no weekend done in time every deed says so; ways home and usual plans do not."""
    week, answer = crewed()
    hopeless = replace(answer, odds=replace(answer.odds, on_time=0.0))
    deeds = {block.id for block in answer.course.blocks if block.activity}
    told = calendar_events(week, hopeless, SHOP)
    assert {e.key for e in told if "no simulated weekend is done in time" in e.description} == {
        event.key for event in told if event.key in deeds
    }
    usual = replace(answer, odds=replace(answer.odds, on_time=0.5))
    assert not any("no simulated" in e.description for e in calendar_events(week, usual, SHOP))
