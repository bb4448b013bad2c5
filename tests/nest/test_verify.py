"""The check of layouts: known distances, and every fault a layout can have."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.shapes import Points2
from fabsched.nest.verify import distance_mm, problems

BIN = (100.0, 60.0)


def box(x: float, y: float, wide: float = 20.0, high: float = 20.0) -> Points2:
    """A rectangle."""
    return np.array([[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]], dtype=np.float64)


@pytest.mark.parametrize(
    ("other", "wanted"),
    [
        (box(25, 0), 5.0),  # beside
        (box(23, 24), 5.0),  # corner to corner: 3, 4, 5
        (box(20, 5), 0.0),  # touching
        (box(10, 10), 0.0),  # overlapping
        (box(5, 5, 2, 2), 0.0),  # inside
        (box(-5, 8, 40, 2), 0.0),  # crossing without a corner inside
        (np.array([[30.0, 10], [40, 0], [40, 20]]), 10.0),  # corner to edge
    ],
)
def test_distances_are_what_they_look_like(other: Points2, wanted: float) -> None:
    """Both ways round."""
    square = box(0, 0)
    assert distance_mm(square, other) == pytest.approx(wanted)
    assert distance_mm(other, square) == pytest.approx(wanted)
    assert distance_mm(square, other, limit_mm=2.0) == pytest.approx(min(wanted, 2.0))


@given(st.floats(1, 30), st.floats(1, 30), st.floats(0, 40), st.floats(0, math.tau))
def test_circles_are_apart_by_their_radii(
    first: float, second: float, gap: float, turn: float
) -> None:
    """Distance of the middles less both radii, to the error of the chords."""
    angles = np.arange(180) * math.tau / 180
    unit = np.column_stack([np.cos(angles), np.sin(angles)])
    away = (first + second + gap) * np.array([math.cos(turn), math.sin(turn)])
    chords = (first + second) * (1 - math.cos(math.pi / 180))
    found = distance_mm(unit * first, unit * second + away)
    assert gap - 1e-9 <= found <= gap + chords + 1e-3


def test_a_good_layout_has_no_problems() -> None:
    """Parts at the gap, and at the border of the bin."""
    bins = [[box(0, 0), box(22, 0), box(80, 40)], [box(0, 0)], []]
    assert problems(bins, BIN, 2.0) == ()


@pytest.mark.parametrize(
    ("other", "gap", "word"),
    [
        (box(21.9, 0), 2.0, "too close"),
        (box(19.9, 0), 0.0, "too close"),
        (box(5, 5, 2, 2), 0.0, "too close"),
        (box(5, 5, 2, 2), 2.0, "too close"),
        (box(80.1, 0), 2.0, "sticks out"),
        (box(50, -0.1), 2.0, "sticks out"),
    ],
)
def test_every_fault_of_a_layout_is_found(other: Points2, gap: float, word: str) -> None:
    """A tenth of a millimetre is enough."""
    (line,) = problems([[], [box(0, 0), other]], BIN, gap)
    assert line.startswith("bin 1:")
    assert word in line


def test_parts_without_a_gap_may_touch() -> None:
    """Edge on edge."""
    assert problems([[box(0, 0), box(20, 0), box(0, 20)]], BIN, 0.0) == ()
