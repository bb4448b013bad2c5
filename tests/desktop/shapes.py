"""Shapes made up for the desktop's tests."""

import numpy as np

from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Mesh, Outline


def box(x: float = 40.0, y: float = 20.0, z: float = 10.0) -> Mesh:
    """A box with its lowest corner at the origin."""
    corners = np.array([(i & 1, i >> 1 & 1, i >> 2) for i in range(8)], np.float64)
    quads = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    faces = [face for a, b, c, d in quads for face in ((a, b, c), (a, c, d))]
    return Mesh(corners * (x, y, z), np.array(faces, np.int32))


def wedge() -> Mesh:
    """A solid with four sides."""
    corners = np.array([(0, 0, 0), (30, 0, 0), (0, 20, 0), (0, 0, 25)], np.float64)
    return Mesh(corners, np.array([(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)], np.int32))


def flat() -> Drawing:
    """A square with a square hole, on two layers."""
    square = np.array([(0, 0), (40, 0), (40, 40), (0, 40)], np.float64)
    outlines = (Outline(square, closed=True), Outline(square * 0.25 + 15, closed=True))
    return Drawing(outlines, layers=(("border", Operation.CUT), ("text", Operation.CUT)))
