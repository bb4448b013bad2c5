"""Open time as an algebra of intervals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.windows import NEVER, Windows

moments = st.integers(-50, 150)
lengths = st.integers(0, 60)
windows = st.lists(st.tuples(moments, lengths), max_size=6).map(
    lambda spans: Windows.of((start, start + length) for start, length in spans)
)


def open_moments(opened: Windows) -> set[int]:
    """Every open second, the plainest picture of windows there is."""
    return {moment for moment in range(-60, 220) if opened.is_open(moment)}


@given(windows, windows)
def test_and_or_and_minus_are_those_of_sets(a: Windows, b: Windows) -> None:
    """Intersection, union and difference hold exactly the seconds that those of sets hold."""
    assert open_moments(a & b) == open_moments(a) & open_moments(b)
    assert open_moments(a | b) == open_moments(a) | open_moments(b)
    assert open_moments(a - b) == open_moments(a) - open_moments(b)


@given(windows, windows, windows)
def test_the_algebra_is_associative_and_distributes(a: Windows, b: Windows, c: Windows) -> None:
    """Windows that hold the same seconds are equal, however they were put together."""
    assert (a & b) & c == a & (b & c)
    assert (a | b) | c == a | (b | c)
    assert a & b == b & a
    assert a & (b | c) == (a & b) | (a & c)
    assert a - (b | c) == (a - b) - c


@given(windows)
def test_tidying_again_changes_nothing(a: Windows) -> None:
    """Tidy windows stay as they are."""
    assert Windows.of(a.spans) == a
    assert a & a == a
    assert a | a == a
    assert (a - a).spans == ()


@given(windows, moments, lengths)
def test_added_time_is_open_time(a: Windows, moment: int, seconds: int) -> None:
    """Between a moment and the end of some open time lies that much open time, to the second."""
    end = a.add(moment, seconds)
    if end < NEVER:
        assert a.open_s(moment, end) == seconds
        assert seconds == 0 or a.is_open(end - 1)
    else:
        assert a.open_s(moment, 10_000) < seconds


@given(windows, moments, lengths, lengths)
def test_time_can_be_added_in_two_goes(a: Windows, moment: int, first: int, second: int) -> None:
    """Adding open time twice is adding the sum once."""
    half = a.add(moment, first)
    if half < NEVER:
        assert a.add(half, second) == a.add(moment, first + second)


@given(windows, moments, moments)
def test_pieces_are_the_open_stretches(a: Windows, start: int, end: int) -> None:
    """Pieces lie inside, are open throughout, and add up to the open time."""
    pieces = a.pieces(start, end)
    assert sum(stop - begin for begin, stop in pieces) == a.open_s(start, end)
    assert all(start <= begin < stop <= end for begin, stop in pieces)
    assert all(a.is_open(begin) and a.is_open(stop - 1) for begin, stop in pieces)


@given(windows, moments)
def test_next_open_is_the_first_open_moment(a: Windows, moment: int) -> None:
    """Nothing between a moment and the next open one is open."""
    later = [at for at in open_moments(a) if at >= moment]
    assert a.next_open(moment) == min(later, default=NEVER)


@given(windows, moments, st.integers(1, 60))
def test_first_fit_is_the_first_start_that_fits(a: Windows, moment: int, seconds: int) -> None:
    """The whole of it lies in one window, and no earlier start would do."""
    opened = open_moments(a)
    fits = [at for at in range(moment, 220) if set(range(at, at + seconds)) <= opened]
    assert a.first_fit(moment, seconds) == min(fits, default=NEVER)


@given(windows, moments, lengths)
def test_closed_time_is_the_rest(a: Windows, start: int, length: int) -> None:
    """Inside any stretch, every second is either open or closed."""
    closed = a.closed_within(start, start + length)
    assert closed | a.clipped(start, start + length) == Windows.of([(start, start + length)])
    assert (closed & a).spans == ()


@pytest.mark.parametrize(
    "spans",
    [
        ((5, 5),),  # empty
        ((5, 3),),  # ends before it starts
        ((0, 5), (5, 9)),  # touching
        ((10, 20), (0, 5)),  # not ascending
    ],
)
def test_untidy_spans_are_refused(spans: tuple[tuple[int, int], ...]) -> None:
    """Windows cannot be made from spans that are out of order."""
    with pytest.raises(ValueError, match="window"):
        Windows(spans)
