"""Calendars: another reading of RFC 5545, updates in place, and the weekend the clocks change."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar
from icalendar import Event as Entry

from fabsched.files.calendar_out import Event, calendar_bytes, uid_of, write_calendar
from fabsched.model.errors import Fault, InputError

BERLIN = ZoneInfo("Europe/Berlin")
NOW_S = int(datetime(2026, 10, 24, 18, tzinfo=BERLIN).timestamp())
TWICE_S = int(datetime(2026, 10, 25, 2, 30, tzinfo=BERLIN).timestamp())
"""Half past two in summer time; it is half past two again an hour later."""

FIRST = Event(
    key="lid.start",
    start_s=TWICE_S,
    end_s=TWICE_S + 600,
    summary="Start Lid; on Printer, now",
    location="Home",
    description="Nothing has to be done before.\nA print running alone: only behind a smoke alarm.",
    category="hands",
)
SECOND = Event(key="solder", start_s=TWICE_S + 3600, end_s=TWICE_S + 9000, summary="Löten ☀")


def made(*events: Event, before: bytes = b"", now_s: int = NOW_S) -> bytes:
    """A calendar of one project."""
    return calendar_bytes(events, before, name="Lamp", project="lamp", now_s=now_s)


def read(data: bytes) -> dict[str, Entry]:
    """The events by summary, as another library reads them."""
    return {str(entry["SUMMARY"]): entry for entry in Calendar.from_ical(data).events}


def moment(entry: Entry, name: str) -> datetime:
    """A moment of an event, with its zone."""
    found = entry.decoded(name)
    assert isinstance(found, datetime)
    assert found.tzinfo is not None
    return found


def states(data: bytes) -> dict[str, tuple[int, str]]:
    """Sequence number and status of every event."""
    return {text: (int(str(e["SEQUENCE"])), str(e["STATUS"])) for text, e in read(data).items()}


def test_another_reader_finds_everything() -> None:
    """Texts with commas, semicolons and line breaks, times, places and what a calendar must have."""
    calendar = Calendar.from_ical(made(FIRST, SECOND))
    assert (calendar["VERSION"], calendar["METHOD"]) == ("2.0", "PUBLISH")
    assert not calendar.errors
    found = read(made(FIRST, SECOND))
    lid = found[FIRST.summary]
    assert str(lid["DESCRIPTION"]) == FIRST.description
    assert str(lid["LOCATION"]) == "Home"
    assert moment(lid, "DTEND") - moment(lid, "DTSTART") == timedelta(seconds=600)
    assert int(moment(lid, "DTSTAMP").timestamp()) == NOW_S
    assert SECOND.summary in found


def test_an_hour_that_comes_twice_is_told_apart() -> None:
    """Both events begin at 02:30 on the clock, an hour apart; times are written in UTC."""
    data = made(FIRST, SECOND)
    starts = [moment(read(data)[event.summary], "DTSTART") for event in (FIRST, SECOND)]
    assert starts[1] - starts[0] == timedelta(hours=1)
    local = [start.astimezone(BERLIN) for start in starts]
    assert [f"{start:%H:%M}" for start in local] == ["02:30", "02:30"]
    assert [start.utcoffset() for start in local] == [timedelta(hours=2), timedelta(hours=1)]
    assert b"DTSTART:20261025T003000Z" in data


def test_work_over_the_lost_hour_lasts_as_long_as_planned() -> None:
    """From 01:30 to 03:30 on the clock of a March night is one hour."""
    start = datetime(2027, 3, 28, 1, 30, tzinfo=BERLIN)
    event = Event(
        key="k", start_s=int(start.timestamp()), end_s=int(start.timestamp()) + 3600, summary="s"
    )
    entry = read(made(event))["s"]
    assert f"{moment(entry, 'DTEND').astimezone(BERLIN):%H:%M}" == "03:30"
    assert moment(entry, "DTSTART").astimezone(UTC) == start.astimezone(UTC)


def test_nothing_changes_where_nothing_moved() -> None:
    """Exported again later, the same plan gives the same file."""
    data = made(FIRST, SECOND)
    assert made(FIRST, SECOND, before=data, now_s=NOW_S + 999) == data


def test_what_moves_is_numbered_and_what_goes_is_cancelled_once() -> None:
    """UIDs stay; numbers only grow; an event that comes back is confirmed under a higher one."""
    moved = replace(FIRST, start_s=FIRST.start_s + 60)
    first = made(FIRST, SECOND)
    second = made(moved, before=first, now_s=NOW_S + 60)
    third = made(moved, before=second, now_s=NOW_S + 120)
    fourth = made(moved, SECOND, before=third, now_s=NOW_S + 180)
    assert states(first) == {FIRST.summary: (0, "CONFIRMED"), SECOND.summary: (0, "CONFIRMED")}
    assert states(second) == {FIRST.summary: (1, "CONFIRMED"), SECOND.summary: (1, "CANCELLED")}
    assert third == second
    assert states(fourth) == {FIRST.summary: (1, "CONFIRMED"), SECOND.summary: (2, "CONFIRMED")}
    uids = [{str(e["UID"]) for e in read(data).values()} for data in (first, second, fourth)]
    assert uids[0] == uids[1] == uids[2] == {uid_of("lamp", "lid.start"), uid_of("lamp", "solder")}


def test_projects_do_not_share_uids() -> None:
    """The same key in another project is another event."""
    assert uid_of("lamp", "lid") != uid_of("box", "lid")


@pytest.mark.parametrize(
    "before",
    [
        b"no calendar",
        b"BEGIN:VCALENDAR\r\n",
        b"\xff\xfe\x00",
        b"BEGIN:VCALENDAR\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:1\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
    ],
)
def test_what_is_no_calendar_of_ours_counts_as_none(before: bytes) -> None:
    """A damaged or foreign file in the way begins anew instead of ending in a mixture."""
    assert made(FIRST, before=before) == made(FIRST)


def test_any_damage_to_the_earlier_file_is_survived() -> None:
    """However its bytes are changed, a whole calendar comes out, and numbers never fall below 0."""
    random = np.random.default_rng(7)
    whole = made(FIRST, SECOND)
    for _ in range(300):
        data = bytearray(whole)
        for _ in range(random.integers(1, 6)):
            at = random.integers(len(data))
            if random.random() < 0.5:
                data[at] = random.integers(256)
            else:
                del data[at : at + random.integers(1, 40)]
        found = states(made(FIRST, SECOND, before=bytes(data)))
        assert set(found) >= {FIRST.summary, SECOND.summary}
        assert all(number >= 0 for number, _ in found.values())


def test_control_characters_are_left_out() -> None:
    """A calendar may hold none but line breaks (RFC 5545, 3.1)."""
    data = made(replace(FIRST, summary="a\x07b\x00c", description="d\x1be"))
    assert list(read(data)) == ["abc"]
    assert not set(data) & (set(range(32)) - {10, 13})


@given(st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=300))
def test_any_text_survives_in_lines_of_75_octets(text: str) -> None:
    """Folding and escaping lose nothing (RFC 5545, 3.1 and 3.3.11)."""
    data = made(replace(FIRST, summary="s", description=text or "x"))
    assert str(read(data)["s"]["DESCRIPTION"]) == (text or "x")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75


def test_a_calendar_is_carried_on_in_its_file(tmp_path: Path) -> None:
    """Numbers go on from the file; one that cannot be written is told."""
    path = tmp_path / "calendar.ics"
    for shift in (0, 60):
        event = replace(FIRST, start_s=FIRST.start_s + shift)
        write_calendar(path, [event], name="Lamp", project="lamp", now_s=NOW_S)
    assert states(path.read_bytes()) == {FIRST.summary: (1, "CONFIRMED")}
    with pytest.raises(InputError) as caught:
        write_calendar(tmp_path / "no" / "c.ics", [FIRST], name="L", project="l", now_s=NOW_S)
    assert caught.value.code is Fault.FILE_UNWRITABLE
