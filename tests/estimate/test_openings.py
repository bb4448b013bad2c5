"""What drops out of a flat part leaves room for another one."""

import numpy as np

from fabsched.estimate.openings import openings
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline


def box(x: float, y: float, side: float, operation: Operation = Operation.CUT) -> Outline:
    """A square."""
    points = np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]], dtype=float)
    return Outline(points, closed=True, operation=operation)


def test_a_hole_is_an_opening() -> None:
    """The border itself is not, nor is a square that is only engraved."""
    frame = [box(0, 0, 100), box(20, 20, 40), box(70, 70, 10, Operation.ENGRAVE)]
    assert openings(frame) == (((20, 20), (60, 20), (60, 60), (20, 60)),)


def test_what_holds_something_is_none() -> None:
    """A square within the hole, a line across it."""
    line = Outline(np.array([[30.0, 30], [40, 45]]), closed=False, operation=Operation.SCORE)
    for inside in (box(30, 30, 10), line):
        assert openings([box(0, 0, 100), box(20, 20, 40), inside]) == ()


def test_pieces_beside_each_other_have_none() -> None:
    """Two squares apart."""
    assert openings([box(0, 0, 10), box(20, 0, 10)]) == ()
