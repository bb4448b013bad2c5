"""What the outcome of a ladder of test cuts means."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.ladder import KERFS_MM, Ladder, Outcome, kerf_mm, setting_of
from fabsched.model.spread import Spread

DAY = date(2026, 11, 25)
LADDER = Ladder(
    laser="laser",
    power_w=60.0,
    material="plywood",
    thickness_mm=3.0,
    feeds_mm_s=(8.0, 9.0, 10.0, 11.2, 12.5),
    pierce_s=0.3,
    passes=1,
    kerf_mm=0.2,
)
MEASURED = Outcome(fell=4, day=DAY, square_mm=9.85, hole_mm=10.13)


@given(st.floats(0, 0.6), st.floats(9.8, 10.2))
def test_the_kerf_is_half_of_what_hole_and_square_differ(kerf: float, side: float) -> None:
    """A beam of width k on the line of a leaves a - k and a + k (identity), whatever a came out."""
    assert kerf_mm(side - kerf, side + kerf, "x") == pytest.approx(kerf, abs=1e-4)


def test_a_worked_example() -> None:
    """40 mm with a kerf of 0.2: part 39.8, hole 40.2 (cut on the centre line)."""
    assert kerf_mm(39.8, 40.2, "x", drawn_mm=40.0) == pytest.approx(0.2)


def test_the_fastest_square_that_fell_out_gives_the_feeds() -> None:
    """Highest that one, usual a step below, lowest two; with the day and where it comes from."""
    setting, findings = setting_of(LADDER, MEASURED, "testcut.toml")
    assert setting.feed_mm_s == Spread(9.0, 10.0, 11.2)
    assert (setting.kerf_mm, setting.power_w, setting.thickness_mm) == (0.14, 60.0, 3.0)
    assert (setting.source, setting.measured) == ("own test cut 2026-11-25", DAY)
    assert findings == ()
    slowest, _ = setting_of(LADDER, replace(MEASURED, fell=1), "testcut.toml")
    assert slowest.feed_mm_s == Spread.exactly(8.0)


def test_the_narrowest_hole_it_goes_into_gives_the_kerf_too() -> None:
    """Without a calliper; without either the old kerf stays, and that is told."""
    setting, _ = setting_of(LADDER, Outcome(fell=3, day=DAY, fits=4), "x")
    assert setting.kerf_mm == KERFS_MM[3] == 0.2
    kept, findings = setting_of(LADDER, Outcome(fell=3, day=DAY), "x")
    assert kept.kerf_mm == LADDER.kerf_mm
    assert [f.code for f in findings] == [Remark.SETTING_BY_DEFAULT]


def test_a_ladder_that_fell_out_whole_is_told() -> None:
    """The limit lies above it."""
    _, findings = setting_of(LADDER, replace(MEASURED, fell=5), "x")
    assert [f.code for f in findings] == [Remark.LADDER_TOO_SLOW]


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"fell": 0}, Fault.NONE_FELL_OUT),
        ({"fell": 6}, Fault.FIELD_OUT_OF_RANGE),
        ({"fell": -1}, Fault.FIELD_OUT_OF_RANGE),
        ({"hole_mm": None}, Fault.FIELD_MISSING),
        ({"square_mm": 10.2, "hole_mm": 9.9}, Fault.MEASURED_ODD),  # mixed up
        ({"square_mm": 25.2, "hole_mm": 25.6}, Fault.MEASURED_ODD),  # in the wrong unit or scale
        ({"square_mm": float("nan")}, Fault.MEASURED_ODD),
        ({"square_mm": None, "hole_mm": None, "fits": 10}, Fault.FIELD_OUT_OF_RANGE),
    ],
)
def test_outcomes_that_cannot_be_are_refused(changes: dict[str, float], code: Fault) -> None:
    """Each with its word, nothing is noted."""
    with pytest.raises(InputError) as caught:
        setting_of(LADDER, replace(MEASURED, **changes), "testcut.toml")  # type: ignore[arg-type]  # names of its fields
    assert caught.value.code is code
