"""Hours that are the same every week."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.session.week import ALWAYS, NEVER, QUARTERS, Week, open_h, painted, text_of, week_of

CELL = st.tuples(st.integers(0, 6), st.integers(0, QUARTERS - 1))
STROKES = st.lists(st.tuples(CELL, CELL, st.booleans()), max_size=6)


def week_from(strokes: list[tuple[tuple[int, int], tuple[int, int], bool]]) -> Week:
    """A week painted with some rectangles."""
    week = NEVER
    for one, other, is_open in strokes:
        week = painted(week, one, other, is_open=is_open)
    return week


@settings(max_examples=20, deadline=None)
@given(STROKES)
def test_what_is_painted_is_written_and_read_back(
    strokes: list[tuple[tuple[int, int], tuple[int, int], bool]],
) -> None:
    """Any grid survives the `opening_hours` grammar."""
    week = week_from(strokes)
    assert week_of(text_of(week)) == week


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("24/7", 168),
        ("off", 0),
        ("Mo-Fr 17:00-22:00", 25),
        ("Sa 10:00-18:00; Su 12:00-16:00", 12),
        ("Mo-Su 20:00-02:00", 42),
        ("Mo-Fr 08:00-12:00,13:00-18:00", 45),
    ],
)
def test_usual_hours(text: str, hours: float) -> None:
    """Open hours of a week, counted by hand; nights over midnight too."""
    week = week_of(text)
    assert week is not None
    assert open_h(week) == hours


@pytest.mark.parametrize(
    "text", ["Mo-Fr 09:00-17:00; Dec 25 off", "week 1-53/2 Mo 09:00-17:00", "Mo 09:10-12:00"]
)
def test_other_hours_are_no_grid(text: str) -> None:
    """Dates, every other week and odd minutes cannot be painted."""
    assert week_of(text) is None


def test_all_and_nothing() -> None:
    """The two grids without edges have texts of their own."""
    assert (text_of(ALWAYS), text_of(NEVER)) == ("24/7", "off")
