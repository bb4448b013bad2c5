"""Time along x and lanes along y."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.desktop.timeline.geometry import (
    CLOSEST_S,
    STEPS_S,
    WIDEST_S,
    Frame,
    Rect,
    Scale,
    Sizes,
    days,
    step_s,
    stretch,
    ticks,
)
from fabsched.model.units import DAY_S, HOUR_S

VIENNA = ZoneInfo("Europe/Vienna")
SCALE = Scale(start_s=1000, left_px=100, width_px=800, span_s=8000)
SIZES = Sizes(line=17, small=14, pad=6, gutter=120)

moments = st.floats(-1e9, 4e9)
scales = st.builds(
    Scale,
    start_s=moments,
    left_px=st.floats(0, 500),
    width_px=st.floats(100, 4000),
    span_s=st.floats(CLOSEST_S, WIDEST_S),
)


def at(*wall: int, zone: ZoneInfo = VIENNA) -> int:
    """A moment by its wall clock time."""
    year, month, day, hour = wall
    return int(datetime(year, month, day, hour, tzinfo=zone).timestamp())


@given(scales, moments)
def test_x_and_moment_undo_each_other(scale: Scale, moment_s: float) -> None:
    """The moment at the x of a moment is that moment again."""
    assert scale.moment_s(scale.x(moment_s)) == pytest.approx(moment_s, abs=1e-3, rel=1e-9)


@given(scales, st.floats(0.1, 10), st.floats(0, 1))
def test_zooming_keeps_what_is_under_the_pointer(scale: Scale, factor: float, share: float) -> None:
    """What lies under the pointer stays there, and the span stays within its limits."""
    x = scale.left_px + share * scale.width_px
    zoomed = scale.zoomed(factor, x)
    assert zoomed.x(scale.moment_s(x)) == pytest.approx(x, abs=1e-3)
    assert CLOSEST_S <= zoomed.span_s <= WIDEST_S


def test_moving_right_shows_what_is_later() -> None:
    """A hundred pixels to the right are a hundred pixels' worth of seconds later."""
    assert SCALE.moved(100).start_s == 1000 + 1000


@given(scales, moments, st.floats(1, 1e7))
def test_the_view_stays_where_there_is_something(
    scale: Scale, first_s: float, length_s: float
) -> None:
    """It never looks before the first moment, and past the last only when it is wider than all."""
    kept = scale.kept_within(first_s, first_s + length_s)
    assert kept.start_s >= first_s
    assert kept.end_s <= first_s + max(length_s, kept.span_s) + 1e-3
    assert kept.span_s == scale.span_s


def test_revealing_moves_as_little_as_possible() -> None:
    """What is seen already moves nothing; what is too long shows its start."""
    assert SCALE.revealing(2000, 3000) == SCALE
    assert SCALE.revealing(10_000, 11_000).end_s == 11_000
    assert SCALE.revealing(0, 500).start_s == 0
    assert SCALE.revealing(0, 50_000).start_s == 0


@given(
    st.sampled_from(STEPS_S),
    st.integers(0, 20 * 365),
    st.sampled_from(
        ["UTC", "Europe/Vienna", "America/Sao_Paulo", "Asia/Kolkata", "Australia/Lord_Howe"]
    ),
)
def test_marks_stand_at_round_local_times(every_s: int, day: int, name: str) -> None:
    """Each mark shows a wall clock time that is a multiple of the step since local midnight."""
    zone = ZoneInfo(name)
    start_s = at(2005, 1, 1, 0, zone=ZoneInfo("UTC")) + day * DAY_S
    found = ticks(zone, start_s, start_s + 2 * DAY_S, every_s)
    moments_s = [tick.moment_s for tick in found]
    assert moments_s == sorted(set(moments_s))
    for tick in found:
        wall = datetime.fromtimestamp(tick.moment_s, UTC).astimezone(zone)
        since_midnight_s = wall.hour * HOUR_S + wall.minute * 60 + wall.second
        assert since_midnight_s % every_s == 0
        assert tick.midnight == (since_midnight_s == 0)


def test_the_hour_that_is_skipped_has_no_mark() -> None:
    """On 29 March 2026 Vienna's clocks go from 02:00 to 03:00 (Directive 2000/84/EC)."""
    start_s = at(2026, 3, 29, 0)
    found = ticks(VIENNA, start_s, start_s + 4 * HOUR_S, HOUR_S)
    hours = [datetime.fromtimestamp(tick.moment_s, UTC).astimezone(VIENNA).hour for tick in found]
    assert hours == [0, 1, 3, 4, 5]


def test_the_hour_that_comes_twice_has_two_marks() -> None:
    """On 25 October 2026 Vienna's clocks go from 03:00 back to 02:00 (Directive 2000/84/EC)."""
    start_s = at(2026, 10, 25, 0)
    found = ticks(VIENNA, start_s, start_s + 5 * HOUR_S, HOUR_S)
    hours = [datetime.fromtimestamp(tick.moment_s, UTC).astimezone(VIENNA).hour for tick in found]
    assert hours == [0, 1, 2, 2, 3, 4]


@pytest.mark.parametrize(
    ("wall", "hours"), [((2026, 3, 29, 0), 23), ((2026, 10, 25, 0), 25), ((2026, 6, 1, 0), 24)]
)
def test_days_are_as_long_as_their_clocks_make_them(wall: tuple[int, ...], hours: int) -> None:
    """A local day is 23 or 25 hours long when the clocks change, else 24."""
    start_s = at(*wall)
    (day,) = days(VIENNA, start_s, start_s + HOUR_S)
    assert day == (start_s, start_s + hours * HOUR_S)


def test_a_day_without_midnight_starts_after_the_gap() -> None:
    """In Sao Paulo 4 November 2018 began at 01:00 (tz database, southamerica)."""
    zone = ZoneInfo("America/Sao_Paulo")
    noon_s = at(2018, 11, 4, 12, zone=zone)
    (day,) = days(zone, noon_s, noon_s + 1)
    assert datetime.fromtimestamp(day[0], UTC).astimezone(zone).hour == 1
    assert day[1] - day[0] == 23 * HOUR_S


@given(st.floats(1e-5, 1.0), st.floats(10, 100))
def test_marks_lie_far_enough_apart(px_s: float, least_px: float) -> None:
    """The step is the finest whose marks are far enough apart, or a day."""
    step = step_s(px_s, least_px)
    assert step * px_s >= least_px or step == DAY_S
    finer = [other for other in STEPS_S if other < step]
    assert all(other * px_s < least_px for other in finer)


def test_every_height_belongs_to_the_lane_drawn_there() -> None:
    """Asking for the lane at the middle of a lane gives that lane, however far it is scrolled."""
    for scroll_px in (0, 37):
        frame = Frame(sizes=SIZES, lanes=3, width_px=900, scroll_px=scroll_px)
        for index in range(1, 3):
            rect = frame.lane(index)
            assert frame.lane_at(rect.y + rect.h / 2) == index
    still = Frame(sizes=SIZES, lanes=3, width_px=900)
    assert still.lane_at(SIZES.scale - 1) is None
    assert still.lane_at(still.finish.y + 1) is None


def test_lanes_and_strip_fill_the_frame_without_overlap() -> None:
    """Lanes follow each other without gap; the strip of finishes ends the frame."""
    frame = Frame(sizes=SIZES, lanes=4, width_px=900)
    bottoms = [frame.lane(index).bottom for index in range(4)]
    tops = [frame.lane(index).y for index in range(4)]
    assert tops == [SIZES.scale, *bottoms[:-1]]
    assert frame.finish.bottom == frame.height_px


@given(st.integers(1, 20), st.floats(0, 4000))
def test_lanes_grow_into_free_height_and_never_shrink(lanes: int, height_px: float) -> None:
    """Grown lanes fit the height if the least ones do, and are never lower than these."""
    least = Frame(sizes=SIZES, lanes=lanes, width_px=900).height_px
    grown = Frame(sizes=SIZES.grown(lanes, height_px), lanes=lanes, width_px=900)
    assert least <= grown.height_px <= max(least, height_px)


def test_a_stretch_lies_between_its_moments_and_is_never_too_narrow() -> None:
    """Its left edge is its start, its right edge its end; a moment gets the least width."""
    frame = Frame(sizes=SIZES, lanes=1, width_px=900)
    rect = stretch(frame.slot(0), SCALE, 2000, 4000, 4)
    assert (rect.x, rect.right) == (SCALE.x(2000), SCALE.x(4000))
    assert frame.lane(0).y < rect.y < rect.bottom < frame.lane(0).bottom
    assert stretch(frame.slot(0), SCALE, 2000, 2000, 4).w == 4


@given(st.floats(-100, 100), st.floats(0, 100), st.floats(-100, 0), st.floats(0, 100))
def test_a_cut_rectangle_stays_between_the_cuts(
    x: float, w: float, left: float, right: float
) -> None:
    """What is left of a rectangle lies between both, and is no wider than it was."""
    cut = Rect(x=x, y=0, w=w, h=1).between(left, right)
    assert left <= cut.x <= cut.right <= right + 1e-9
    assert cut.w <= w + 1e-9
