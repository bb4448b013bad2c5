"""Compile the kernels of nesting once, so that the cache on disk holds them."""

import numpy as np

from fabsched.nest.place import nest
from fabsched.nest.records import Item, alike
from fabsched.nest.verify import distance_mm

SQUARE = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))
"""Corners of a part."""


def warm_nesting() -> None:
    """Place squares, and measure how far apart two are."""
    nest([Item(id="warm", outline=SQUARE, count=3)], alike((20.0, 20.0), 1), 1.0, effort=100)
    distance_mm(np.array(SQUARE), np.array(SQUARE) + 10.0)
