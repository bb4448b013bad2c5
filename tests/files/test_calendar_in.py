"""Busy times read from calendars: RFC 5545 by its own examples, defects, days and changes of clocks."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.calendar_busy import busy_in
from fabsched.files.calendar_in import read_calendar
from fabsched.files.calendar_out import Event, calendar_bytes
from fabsched.files.recurring import MOST_STEPS
from fabsched.files.shop_toml import parse_shop
from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import Calendar
from fabsched.model.windows import Windows

DATA = Path(__file__).parent.parent / "data" / "calendars"
NEW_YORK = ZoneInfo("America/New_York")
BERLIN = ZoneInfo("Europe/Berlin")
HOUR = 3600

DEFECTS = {
    "no_calendar": Fault.FILE_NOT_OF_KIND,
    "latin": Fault.FILE_NOT_OF_KIND,
    "cut_short": Fault.FILE_NO_END,
    "no_start": Fault.CALENDAR_MALFORMED,
    "start_no_moment": Fault.CALENDAR_MALFORMED,
    "ends_before_it_starts": Fault.CALENDAR_MALFORMED,
    "day_to_moment": Fault.CALENDAR_MALFORMED,
    "zone_unknown": Fault.CALENDAR_MALFORMED,
    "rule_without_freq": Fault.CALENDAR_MALFORMED,
    "rule_freq_unknown": Fault.CALENDAR_MALFORMED,
    "rule_count_and_until": Fault.CALENDAR_MALFORMED,
    "rule_until_no_moment": Fault.CALENDAR_MALFORMED,
    "rule_every_second": Fault.CALENDAR_UNREAD,
    "rule_30th_of_february": Fault.CALENDAR_UNREAD,
    "rest_of_series": Fault.CALENDAR_UNREAD,
}


def calendar(*events: str) -> Calendar:
    """A calendar of events, each given by its lines."""
    bodies = "".join(f"BEGIN:VEVENT\n{event}\nEND:VEVENT\n" for event in events)
    return Calendar(file="a.ics", text=f"BEGIN:VCALENDAR\n{bodies}END:VCALENDAR\n")


def busy(
    found: Calendar, zone: ZoneInfo, start: datetime, end: datetime
) -> list[tuple[datetime, float]]:
    """Beginnings by the clock of a zone, each with its hours."""
    spans = busy_in(found, zone, int(start.timestamp()), int(end.timestamp()), "busy")
    return [(datetime.fromtimestamp(a, zone), (b - a) / HOUR) for a, b in spans]


def days(found: Calendar, first: datetime, last: datetime) -> list[tuple[int, int]]:
    """Months and days of beginnings in New York."""
    return [(at.month, at.day) for at, _ in busy(found, NEW_YORK, first, last)]


@pytest.mark.parametrize("defect", DEFECTS)
def test_each_defect_is_told_with_its_file(defect: str) -> None:
    """A calendar with one defect is refused with that defect's code, naming the field and the file."""
    with pytest.raises(InputError) as caught:
        read_calendar(DATA, f"{defect}.ics", "shop.toml: person 'me': busy")
    assert caught.value.code == DEFECTS[defect]
    assert caught.value.where == f"shop.toml: person 'me': busy: {defect}.ics"


def test_no_defect_is_forgotten() -> None:
    """Every file of a defect has its line in the table above."""
    assert {path.stem for path in DATA.iterdir()} == set(DEFECTS)


NINE = "DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\n"
BEGIN, LATER = datetime(1997, 9, 1, tzinfo=UTC), datetime(2001, 1, 1, tzinfo=UTC)


def test_the_examples_of_the_standard() -> None:
    """RFC 5545, 3.8.5.3: ten days; every other Tuesday and Thursday; Fridays the 13th; until Christmas."""
    ten = calendar(NINE + "RRULE:FREQ=DAILY;COUNT=10")
    assert days(ten, BEGIN, LATER) == [(9, day) for day in range(2, 12)]
    weeks = calendar(NINE + "RRULE:FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH")
    sept = [(9, day) for day in (2, 4, 9, 11, 16, 18, 23, 25, 30)]
    assert days(weeks, BEGIN, LATER) == [*sept, (10, 2)]
    rule = "EXDATE;TZID=America/New_York:19970902T090000\nRRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13"
    fridays = busy(calendar(NINE + rule), NEW_YORK, BEGIN, LATER)
    assert [(at.year, at.month) for at, _ in fridays] == [
        *((1998, 2), (1998, 3), (1998, 11)),
        *((1999, 8), (2000, 10)),
    ]
    daily = busy(calendar(NINE + "RRULE:FREQ=DAILY;UNTIL=19971224T000000Z"), NEW_YORK, BEGIN, LATER)
    assert len(daily) == 113
    assert {(at.hour, hours) for at, hours in daily} == {(9, 1.0)}


@pytest.mark.parametrize(("start", "expected"), [("MO", [5, 10, 19, 24]), ("SU", [5, 17, 19, 31])])
def test_the_first_day_of_a_week_matters(start: str, expected: list[int]) -> None:
    """RFC 5545, 3.8.5.3: the example whose days change with WKST."""
    event = "DTSTART;TZID=America/New_York:19970805T090000\nDURATION:PT1H\n"
    rule = f"RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST={start}"
    found = days(calendar(event + rule), datetime(1997, 8, 1, tzinfo=UTC), LATER)
    assert found == [(8, day) for day in expected]


OCTOBER = datetime(2026, 10, 23, tzinfo=UTC), datetime(2026, 10, 28, tzinfo=UTC)


def test_whole_days_follow_the_clock() -> None:
    """A day on which clocks go back is busy for 25 hours where the project is; its end is left out."""
    found = calendar("DTSTART;VALUE=DATE:20261025\nDTEND;VALUE=DATE:20261026")
    assert busy(found, BERLIN, *OCTOBER) == [(datetime(2026, 10, 25, tzinfo=BERLIN), 25.0)]
    alone = calendar("DTSTART;VALUE=DATE:20261024")
    assert busy(alone, BERLIN, *OCTOBER) == [(datetime(2026, 10, 24, tzinfo=BERLIN), 24.0)]


def test_zones_and_times_without_one() -> None:
    """A time without a zone is meant in the project's; any other where it says, by own rules too."""
    floating = calendar("DTSTART:20261024T090000\nDTEND:20261024T103000")
    assert busy(floating, BERLIN, *OCTOBER) == [(datetime(2026, 10, 24, 9, tzinfo=BERLIN), 1.5)]
    utc = calendar("DTSTART:20261024T090000Z\nDURATION:PT30M")
    assert busy(utc, BERLIN, *OCTOBER) == [(datetime(2026, 10, 24, 11, tzinfo=BERLIN), 0.5)]
    offset = "BEGIN:STANDARD\nDTSTART:19700101T000000\nTZOFFSETFROM:+0530\nTZOFFSETTO:+0530\nEND:STANDARD"
    own = f"BEGIN:VCALENDAR\nBEGIN:VTIMEZONE\nTZID:Own\n{offset}\nEND:VTIMEZONE\n"
    event = "BEGIN:VEVENT\nDTSTART;TZID=Own:20261024T123000\nDURATION:PT1H\nEND:VEVENT\n"
    named = Calendar(file="a.ics", text=f"{own}{event}END:VCALENDAR\n")
    assert busy(named, BERLIN, *OCTOBER) == [(datetime(2026, 10, 24, 9, tzinfo=BERLIN), 1.0)]


def test_nine_stays_nine_when_clocks_change() -> None:
    """A daily event keeps its clock time across the change, and its length."""
    event = "DTSTART;TZID=Europe/Berlin:20261020T090000\nDTEND;TZID=Europe/Berlin:20261020T100000\n"
    found = busy(calendar(event + "RRULE:FREQ=DAILY"), BERLIN, *OCTOBER)
    assert [(at.hour, hours) for at, hours in found] == [(9, 1.0)] * 5


def test_what_takes_no_time() -> None:
    """Transparent, cancelled and moved away: RFC 5545, 3.8.2.7, 3.8.1.11 and 3.8.4.4."""
    nine = "DTSTART:20261023T090000Z\nDURATION:PT1H"
    assert not busy(calendar(f"{nine}\nTRANSP:TRANSPARENT"), BERLIN, *OCTOBER)
    assert not busy(calendar(f"{nine}\nSTATUS:CANCELLED"), BERLIN, *OCTOBER)
    daily = f"UID:a\n{nine}\nRRULE:FREQ=DAILY;COUNT=4"
    moved = "UID:a\nRECURRENCE-ID:20261024T090000Z\nDTSTART:20261024T150000Z\nDURATION:PT2H"
    off = "UID:a\nRECURRENCE-ID:20261025T090000Z\nDTSTART:20261025T090000Z\nSTATUS:CANCELLED"
    found = busy(calendar(daily, moved, off), ZoneInfo("UTC"), *OCTOBER)
    assert [(at.day, at.hour, hours) for at, hours in found] == [
        (23, 9, 1),
        (24, 15, 2),
        (26, 9, 1),
    ]


def test_dates_beside_a_rule() -> None:
    """RDATE adds beginnings, with an end of their own too; EXDATE takes some away (3.8.5.1, 3.8.5.2)."""
    event = "DTSTART:20261023T090000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=3\n"
    more = "RDATE;VALUE=PERIOD:20261027T100000Z/PT3H\nEXDATE:20261024T090000Z"
    found = busy(calendar(event + more), ZoneInfo("UTC"), *OCTOBER)
    assert [(at.day, hours) for at, hours in found] == [(23, 1), (25, 1), (27, 3)]


def test_published_busy_times_count() -> None:
    """VFREEBUSY (3.6.4): busy periods by end or length; free ones are none."""
    lines = "FREEBUSY:20261024T090000Z/20261024T100000Z,20261025T090000Z/PT30M"
    free = "FREEBUSY;FBTYPE=FREE:20261026T090000Z/PT8H"
    body = f"BEGIN:VCALENDAR\nBEGIN:VFREEBUSY\n{lines}\n{free}\nEND:VFREEBUSY\nEND:VCALENDAR\n"
    found = busy(Calendar(file="a.ics", text=body), ZoneInfo("UTC"), *OCTOBER)
    assert [(at.day, hours) for at, hours in found] == [(24, 1.0), (25, 0.5)]


def test_what_began_before_goes_on() -> None:
    """A week away that began earlier fills the horizon."""
    away = calendar("DTSTART;VALUE=DATE:20261020\nDTEND;VALUE=DATE:20261101")
    start_s, end_s = (int(at.timestamp()) for at in OCTOBER)
    spans = busy_in(away, BERLIN, start_s, end_s, "busy")
    assert spans == Windows.always(start_s, end_s)


@pytest.mark.parametrize(
    "events",
    [
        ["DTSTART:20000101T000000Z\nDURATION:PT1S\nRRULE:FREQ=MINUTELY"],
        ["DTSTART:20000101T000000Z\nRRULE:FREQ=MONTHLY;BYDAY=MO;BYSETPOS=60"] * 30,
    ],
    ids=["every minute", "never"],
)
def test_a_calendar_without_end_is_refused(events: list[str]) -> None:
    """It is told which event repeats for ever, after a bounded number of steps."""
    with pytest.raises(InputError) as caught:
        busy(calendar(*(f"SUMMARY:Tick\n{event}" for event in events)), BERLIN, *OCTOBER)
    assert caught.value.code is Fault.CALENDAR_TOO_LONG
    assert caught.value.facts == {"limit": MOST_STEPS, "event": "Tick"}


@given(
    hours=st.lists(st.tuples(st.integers(0, 5000), st.integers(1, 300)), max_size=8),
)
def test_what_we_write_we_read(hours: list[tuple[int, int]]) -> None:
    """The busy times of an exported calendar are those of its events."""
    base = 1_790_000_000
    spans = [(base + 60 * a, base + 60 * (a + b)) for a, b in hours]
    events = [Event(key=str(i), start_s=a, end_s=b, summary="x") for i, (a, b) in enumerate(spans)]
    data = calendar_bytes(events, name="n", project="p", now_s=base)
    found = Calendar(file="a.ics", text=data.decode())
    assert busy_in(found, BERLIN, base - 1, base + 10**6, "busy") == Windows.of(spans)


def test_a_shop_names_its_calendars(tmp_path: Path) -> None:
    """The path is from the shop file's folder; without a folder it is not looked at."""
    text = '[[place]]\nid = "home"\nbusy = "home.ics"\n'
    assert parse_shop(text).places[0].busy == Calendar(file="home.ics")
    with pytest.raises(InputError) as caught:
        parse_shop(text, tmp_path)
    assert caught.value.code is Fault.FILE_MISSING
    assert caught.value.where == "shop.toml: place 'home': busy: home.ics"
    (tmp_path / "home.ics").write_text(calendar("DTSTART;VALUE=DATE:20261020").text)
    busy_home = parse_shop(text, tmp_path).places[0].busy
    assert busy_home is not None
    assert "20261020" in busy_home.text


def test_the_name_of_a_property_is_told_as_the_standard_writes_it() -> None:
    """So that it is found in the file (RFC 5545, 3.8.2.4 writes DTSTART)."""
    start = datetime(2026, 3, 14, tzinfo=NEW_YORK)
    with pytest.raises(InputError) as caught:
        busy(calendar("DTSTART:2026"), NEW_YORK, start, start + timedelta(days=1))
    assert str(caught.value.facts["why"]).startswith("DTSTART: ")
