"""Hours in the `opening_hours` grammar, expanded into windows."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.opening_hours import check_hours, expand
from fabsched.model.errors import Fault, InputError
from fabsched.model.units import HOUR_S
from fabsched.model.windows import Windows

BERLIN = ZoneInfo("Europe/Berlin")


def _s(zone: str, *clock: int) -> int:
    year, month, day, hour = clock
    return int(datetime(year, month, day, hour, tzinfo=ZoneInfo(zone)).timestamp())


@pytest.mark.parametrize(
    ("zone", "saturday", "hours"),
    [
        # Law: Directive 2000/84/EC and US Energy Policy Act 2005 section 110 (from memory);
        # lengths computed with zoneinfo over tzdata 2026.6.
        ("Europe/Berlin", (2026, 10, 24), 13),
        ("Europe/Berlin", (2027, 3, 27), 11),
        ("America/New_York", (2026, 10, 31), 13),
        ("America/New_York", (2027, 3, 13), 11),
        ("Europe/Berlin", (2026, 10, 17), 12),
        ("Australia/Sydney", (2026, 10, 3), 11),
        ("Australia/Sydney", (2026, 4, 4), 13),
    ],
)
def test_a_night_on_which_clocks_change(
    zone: str, saturday: tuple[int, int, int], hours: int
) -> None:
    """From 20:00 on Saturday to 08:00 on Sunday an hour more or less passes when clocks change."""
    start = _s(zone, *saturday, 12)
    night = expand("Sa 20:00-08:00", ZoneInfo(zone), start, start + 30 * HOUR_S, "x")
    assert [(end - begin) / HOUR_S for begin, end in night] == [hours]
    assert night.spans[0][0] == _s(zone, *saturday, 20)


def test_clock_times_stay_on_both_sides_of_the_change() -> None:
    """A workshop opens at ten by the clock, whatever the offset of the day."""
    start, end = _s("Europe/Berlin", 2026, 10, 24, 0), _s("Europe/Berlin", 2026, 10, 26, 0)
    open_time = expand("Sa,Su 10:00-18:00", BERLIN, start, end, "x")
    assert open_time.spans == (
        (_s("Europe/Berlin", 2026, 10, 24, 10), _s("Europe/Berlin", 2026, 10, 24, 18)),
        (_s("Europe/Berlin", 2026, 10, 25, 10), _s("Europe/Berlin", 2026, 10, 25, 18)),
    )


def test_always_and_never() -> None:
    """`24/7` covers the horizon exactly; `off` leaves nothing."""
    assert expand("24/7", BERLIN, 1000, 9_000_000, "x") == Windows.always(1000, 9_000_000)
    assert expand("off", BERLIN, 1000, 9_000_000, "x").spans == ()


def test_exceptions_and_notes_count() -> None:
    """Later rules go before earlier ones; a note in quotes changes nothing, PH in it neither."""
    start, end = _s("Europe/Berlin", 2026, 12, 21, 0), _s("Europe/Berlin", 2026, 12, 28, 0)
    text = 'Mo-Fr 10:00-12:00 "not on PH"; Dec 24-26 off'
    days = [datetime.fromtimestamp(a, BERLIN).day for a, _ in expand(text, BERLIN, start, end, "x")]
    assert days == [21, 22, 23]


def test_what_is_unknown_counts_as_closed() -> None:
    """Hours somebody was not sure of are not planned on."""
    start, end = _s("Europe/Berlin", 2026, 10, 24, 0), _s("Europe/Berlin", 2026, 10, 26, 0)
    assert expand("Sa 10:00-18:00 unknown", BERLIN, start, end, "x").spans == ()


@pytest.mark.parametrize("text", ["", "ten to six", "Mo-Fr 25:00-26:00", "Mo 10", "24/24"])
def test_what_cannot_be_read_is_refused(text: str) -> None:
    """Malformed hours are told with the field they stand in."""
    with pytest.raises(InputError) as caught:
        check_hours(text, "shop.toml: place 'lab': hours")
    assert caught.value.code is Fault.HOURS_MALFORMED
    assert caught.value.where == "shop.toml: place 'lab': hours"


@pytest.mark.parametrize("text", ["Mo-Fr 10:00-18:00; PH off", "sunrise-sunset", "dawn-12:00"])
def test_what_hangs_on_the_place_is_refused(text: str) -> None:
    """Holidays and the sun depend on where one lives: better refused than silently left out."""
    with pytest.raises(InputError) as caught:
        check_hours(text, "x")
    assert caught.value.code is Fault.HOURS_UNKNOWABLE


@settings(max_examples=60)
@given(
    opens=st.integers(0, 23),
    length=st.integers(1, 24),
    start=st.integers(1_700_000_000, 1_900_000_000),
    span=st.integers(1, 40 * 86400),
)
def test_every_open_moment_has_the_right_hour(
    opens: int, length: int, start: int, span: int
) -> None:
    """Away from the changes of clocks, a moment is open just when its clock says so."""
    closes = opens + length
    text = f"{opens:02}:00-{closes:02}:00"
    windows = expand(text, BERLIN, start, start + span, "x")
    for moment in range(start, start + span, span // 7 + 1):
        hour = datetime.fromtimestamp(moment, BERLIN).hour
        expected = opens <= hour < closes or opens <= hour + 24 < closes
        if not 1 <= hour <= 4:  # an hour there may be skipped or repeated
            assert windows.is_open(moment) == expected


@settings(max_examples=30)
@given(start=st.integers(1_700_000_000, 1_900_000_000), cut=st.integers(1, 20 * 86400 - 1))
def test_a_horizon_in_two_pieces_is_the_whole(start: int, cut: int) -> None:
    """Expanding up to a moment and from there on gives what expanding at once gives."""
    text, end = "Mo-Fr 18:00-02:30; Sa,Su 09:00-23:00", start + 20 * 86400
    first = expand(text, BERLIN, start, start + cut, "x")
    second = expand(text, BERLIN, start + cut, end, "x")
    assert first | second == expand(text, BERLIN, start, end, "x")
