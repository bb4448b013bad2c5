"""Turning parts: angles, their order, and the side that comes down."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.rotation import rotation
from fabsched.estimate.turning import AS_DRAWN, turn_onto, turned
from tests.estimate import bodies

ANGLES = st.floats(-180, 180)
DIRECTIONS = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 1e-3)


@given(st.tuples(ANGLES, ANGLES, ANGLES))
def test_a_turn_is_rigid(turn: tuple[float, float, float]) -> None:
    """Whatever the angles, lengths and handedness stay."""
    matrix = rotation(turn)
    assert np.abs(matrix @ matrix.T - np.eye(3)).max() < 1e-12
    assert np.linalg.det(matrix) == pytest.approx(1.0)


@given(st.tuples(ANGLES, ANGLES, ANGLES))
def test_about_x_then_y_then_z(turn: tuple[float, float, float]) -> None:
    """Three turns about fixed axes, one after the other (Rodrigues' formula for each)."""
    axes = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    mesh = wanted = bodies.box(3, 2, 1)
    for axis, degrees in zip(axes, turn, strict=True):
        wanted = bodies.tilted(wanted, axis, degrees)
    assert np.abs(turned(mesh, turn).vertices - wanted.vertices).max() < 1e-12


@given(DIRECTIONS)
def test_the_side_comes_down(direction: tuple[float, float, float]) -> None:
    """The turn found for a side makes it look down, to the rounding of the angles."""
    side = np.array(direction) / np.linalg.norm(direction)
    turn = turn_onto(side)
    assert turn[2] == 0.0
    assert np.abs(rotation(turn) @ side - [0, 0, -1]).max() < 2e-5


@pytest.mark.parametrize(
    ("side", "turn"),
    [
        ((0, 0, -1), (0, 0, 0)),
        ((0, 0, 1), (180, 0, 0)),
        ((0, -1, 0), (90, 0, 0)),
        ((0, 1, 0), (-90, 0, 0)),
        ((1, 0, 0), (0, 90, 0)),
        ((-1, 0, 0), (0, -90, 0)),
    ],
)
def test_sides_of_a_block_take_right_angles(
    side: tuple[float, float, float], turn: tuple[float, float, float]
) -> None:
    """Round angles about one axis, and a block stays exact to the last bit."""
    assert turn_onto(np.array(side, dtype=float)) == turn
    block = turned(bodies.box(30, 20, 10), turn)
    assert set(np.abs(block.vertices).ravel().tolist()) == {0.0, 10.0, 20.0, 30.0}


def test_nothing_to_turn_is_the_same_mesh() -> None:
    """As drawn, not even a copy is made."""
    mesh = bodies.box(3, 2, 1)
    assert turned(mesh, AS_DRAWN) is mesh
