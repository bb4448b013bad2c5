"""Numbers in a row: in order, apart, and as near as can be to what they stand for."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.desktop.timeline.numbers import kept, spread

PLACES = st.lists(
    st.tuples(st.floats(0, 1000, width=32), st.floats(1, 40, width=32)), max_size=40
).map(sorted)
"""Wanted left edges, rising, with widths."""


@given(PLACES)
def test_nothing_overlaps_and_nothing_leaves_the_row(places: list[tuple[float, float]]) -> None:
    """Each begins where the one before has ended, or later; all of them lie between both edges."""
    wanted, widths = [at for at, _ in places], [width for _, width in places]
    row = spread(wanted, widths, -2000.0, 3000.0)
    for (one, width), other in pairwise(zip(row, widths, strict=True)):
        assert other[0] >= one + width - 1e-6
    assert all(-2000.0 <= left <= 3000.0 - width for left, width in zip(row, widths, strict=True))


@given(PLACES)
def test_no_other_row_is_nearer(places: list[tuple[float, float]]) -> None:
    """Moved on by a step from any place on, or back up to it, a row that is allowed is no better."""
    wanted, widths = [at for at, _ in places], [width for _, width in places]
    row = spread(wanted, widths, -5000.0, 5000.0)
    best = off(row, wanted)
    for start in range(len(row)):
        for step in (-0.5, 0.5):
            other = [
                left + (step if (at >= start) is (step > 0) else 0.0) for at, left in enumerate(row)
            ]
            assert off(other, wanted) >= best - 1e-3


def off(row: list[float] | tuple[float, ...], wanted: list[float]) -> float:
    """Sum of the squares of what a row is away from where it is wanted."""
    return sum((left - at) ** 2 for left, at in zip(row, wanted, strict=True))


def test_the_row_is_the_isotonic_regression() -> None:
    """Without widths 1, 3, 2, 4 becomes 1, 2.5, 2.5, 4: the mean of the two out of order (by hand)."""
    assert spread([1, 3, 2, 4], [0, 0, 0, 0], 0, 9) == pytest.approx((1, 2.5, 2.5, 4))


def test_two_at_one_place_stand_on_both_sides_of_it() -> None:
    """Both are wanted at 100 and 10 wide: one at 95, one at 105."""
    assert spread([100, 100], [10, 10], 0, 1000) == pytest.approx((95, 105))
    assert spread([0, 0], [10, 10], 0, 1000) == pytest.approx((0, 10))
    assert spread([995, 995], [10, 10], 0, 1000) == pytest.approx((980, 990))


@given(PLACES, st.floats(0, 60))
def test_those_kept_can_all_stand_near_enough(
    places: list[tuple[float, float]], far: float
) -> None:
    """There is a row of them in which none is moved further than allowed."""
    wanted, widths = [at for at, _ in places], [width for _, width in places]
    edge = -50.0
    for index in kept(wanted, widths, far, -50.0, 700.0):
        left = max(edge, wanted[index] - far)
        assert left <= wanted[index] + far + 1e-6
        edge = left + widths[index]
        assert edge <= 700.0 + 1e-6


def test_all_are_kept_where_there_is_room_and_few_where_there_is_none() -> None:
    """Ten a hundred apart all stay; of ten at one place those within reach do."""
    assert kept([100.0 * i for i in range(10)], [20.0] * 10, 30.0, 0, 1000) == tuple(range(10))
    assert kept([100.0] * 10, [20.0] * 10, 30.0, 0, 1000) == (0, 1, 2, 3)
    assert kept([100.0] * 10, [20.0] * 10, 30.0, 95, 120) == (0,)
