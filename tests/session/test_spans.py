"""Lengths of time as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.session.spans import minutes_of, minutes_text


@given(st.integers(0, 20_000))
def test_what_is_written_is_read_back(minutes: int) -> None:
    """Any number of minutes survives being shown and read."""
    assert minutes_of(minutes_text(minutes)) == minutes


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing breaks, and nothing is below zero."""
    found = minutes_of(text)
    assert found is None or found >= 0


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("1 h 20", 80),
        ("1h20min", 80),
        ("90 min", 90),
        ("90", 90),
        (" 1:05 ", 65),
        ("1,5 Std", 90),
        ("2 hours and 5 minutes", 125),
        ("1 day", 1440),
        ("1½ h", 90),
        ("¾ h", 45),
        ("1 Std. 20 Min.", 80),
        ("2 Stunden und 5 Minuten", 125),
        ("1 Tag", 1440),
        ("0", 0),
    ],
)
def test_usual_ways_to_write(text: str, minutes: float) -> None:
    """Hours, minutes and days in any usual form."""
    assert minutes_of(text) == minutes


@pytest.mark.parametrize(
    "text", ["", "h", "soon", "1 parsec", "-5 min", "1:75", "5 min later", "1½½", "9" * 400]
)
def test_what_is_no_length_of_time(text: str) -> None:
    """Such texts are not guessed at."""
    assert minutes_of(text) is None
