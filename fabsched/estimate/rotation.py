"""The matrix of a turn; light, so that the window can turn what it draws."""

import math

import numpy as np
from numpy.typing import NDArray


def rotation(turn_deg: tuple[float, float, float]) -> NDArray[np.float64]:
    """The matrix Rz Ry Rx of a turn, (3, 3); exact for right angles.

    >>> rotation((90.0, 0.0, 0.0)).tolist()
    [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    """
    matrix = np.eye(3)
    for axis, degrees in enumerate(turn_deg):
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        one, two = (axis + 1) % 3, (axis + 2) % 3
        about = np.eye(3)
        about[one, one] = about[two, two] = c
        about[one, two], about[two, one] = -s, s
        matrix = about @ matrix
    return np.asarray(matrix.round(15) + 0.0)
