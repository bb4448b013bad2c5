"""Days of deliveries: by when to order, when it comes, over weekends and clock changes."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.deliveries import comes_at, order_by

BERLIN = ZoneInfo("Europe/Berlin")


def _s(day: str, hour: str = "09:15", zone: ZoneInfo = BERLIN) -> int:
    return int(datetime.fromisoformat(f"{day}T{hour}").replace(tzinfo=zone).timestamp())


@pytest.mark.parametrize(
    ("needed", "days", "by"),
    [
        ("2027-03-06", 0, "2027-03-06"),  # fetched on the Saturday itself
        ("2027-03-07", 0, "2027-03-06"),  # a Sunday: the day before
        ("2027-03-06", 1, "2027-03-04"),  # there on Friday, so ordered on Thursday
        ("2027-03-07", 2, "2027-03-03"),
        ("2027-03-08", 1, "2027-03-05"),  # ordered on Friday, there on Monday
        ("2027-03-10", 5, "2027-03-03"),  # a working week is seven days
        ("2027-03-29", 1, "2027-03-26"),  # clocks went forward in between: the same hour
    ],
)
def test_days_by_hand(needed: str, days: int, by: str) -> None:
    """Saturdays and Sundays bring nothing, and nothing is fetched on a Sunday (days by a calendar)."""
    assert order_by(_s(needed), days, BERLIN) == _s(by)


@given(st.integers(0, 3000), st.integers(1, 60))
def test_deliveries_count_as_numpy_counts_them(ahead: int, days: int) -> None:
    """`numpy.busday_offset`, backwards from the last working day, comes to the same day."""
    needed = np.datetime64("2026-01-01") + ahead
    by = np.busday_offset(needed, -days, roll="backward")
    utc = ZoneInfo("UTC")
    found = datetime.fromtimestamp(order_by(_s(str(needed), zone=utc), days, utc), UTC)
    assert str(by) == found.date().isoformat()


@given(st.integers(0, 3000), st.integers(1, 60))
def test_orders_come_as_numpy_counts_working_days(ahead: int, days: int) -> None:
    """`numpy.busday_offset`, from the next working day, comes to the same day."""
    ordered = np.datetime64("2026-01-01") + ahead
    comes = np.busday_offset(ordered, days, roll="forward")
    utc = ZoneInfo("UTC")
    found = datetime.fromtimestamp(comes_at(_s(str(ordered), zone=utc), days, utc), UTC)
    assert str(comes) == found.date().isoformat()


@given(st.integers(0, 60_000), st.integers(1, 30))
def test_what_is_ordered_now_is_there_in_time_for_when_it_comes(hours: int, days: int) -> None:
    """Whoever needs it when it comes did not have to order it before, whatever the clocks do."""
    ordered_s = _s("2026-01-01") + hours * 3600
    assert order_by(comes_at(ordered_s, days, BERLIN), days, BERLIN) >= ordered_s
