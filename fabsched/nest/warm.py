"""Compile the kernels of nesting once, so that the cache on disk holds them."""

import numpy as np

from fabsched.nest.nofit import nofit_of, ways_of
from fabsched.nest.place import nest
from fabsched.nest.rebuild import rebuilt
from fabsched.nest.records import Item, Task, alike
from fabsched.nest.separate import Lie, separated
from fabsched.nest.verify import distance_mm

SQUARE = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))
"""Corners of a part."""


def warm_nesting() -> None:
    """Place squares, place them anew, move two apart, and measure how far apart two are."""
    items, bins = [Item(id="warm", outline=SQUARE, count=3)], alike((20.0, 20.0), 1)
    layout = nest(items, bins, 1.0, effort=100)
    rebuilt(layout, Task(items=items, bins=bins, gap_mm=1.0), 0, lambda portion: portion > 0)
    distance_mm(np.array(SQUARE), np.array(SQUARE) + 10.0)
    fits, state = nofit_of([ways_of(SQUARE, (), (0.0,))], 1.0), np.ones(1, dtype=np.uint64)
    lie = Lie(np.zeros(2, dtype=np.int64), np.zeros((2, 2)), np.zeros(2, dtype=np.int64))
    separated(fits, lie, np.array([20.0, 20.0]), state, np.zeros(1, dtype=np.uint8))
