"""Layouts improved by the placer of pixels: for bins of any outline, with areas kept out, and for holes.

Copies are taken out and put back another way, again and again. How many times follows from the time there
is; what comes of a given number of times, from the seed alone.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import count

import numpy as np

from fabsched.nest.drawn import drawn_on_pixels
from fabsched.nest.filling import search
from fabsched.nest.place import (
    RESOLUTION_MM,
    chance_of,
    layout_faults,
    orders_of,
    tuned_mm,
    without_small_holes,
)
from fabsched.nest.records import Bin, Layout, Task
from fabsched.nest.recreate import recreated, score_of_spots
from fabsched.nest.settle import settled_layout
from fabsched.nest.worth import score_of

BEGIN = 20_000_000
"""Runs of pixels looked at for what it begins with: some tenths of a second."""
PORTION = 5_000_000
"""Runs of pixels looked at before somebody who wants an end is listened to again."""
MOST_PIXELS = 1_000_000
"""Pixels of the largest bin at most; larger ones are drawn more coarsely."""


def rebuilt(standing: Layout, task: Task, seed: int, ended: Callable[[int], bool]) -> Layout:
    """A layout at least as good as the one that stands, by `worth.score_of`.

    Args:
        standing: a sound layout.
        task: what is laid out; no bin behind the last one that is in use is touched.
        seed: of its chance.
        ended: is asked now and then, with how many portions of work are done.

    Returns:
        The best layout that passed the check; the standing one if there is none better.
    """
    items, used, best = task.items, task.bins[: standing.bins], standing
    if not used:
        return standing
    for layout in _found(replace(task, bins=used), seed, ended):
        for tried in (settled_layout(layout, items, used, task.gap_mm), layout):
            better = score_of(tried, items, used) < score_of(best, items, used)
            if better and not layout_faults(tried, items, used, task.gap_mm):
                best = tried
                break
    return best


def _found(task: Task, seed: int, ended: Callable[[int], bool]) -> Iterator[Layout]:
    """Layouts on pixels, each better than the one before, the first one excepted."""
    task = replace(task, items=without_small_holes(task.items))
    drawn = drawn_on_pixels(task, tuned_mm(task, _resolution_mm(task.bins)))
    shapes, rooms, state = drawn.shapes, drawn.rooms, chance_of(seed)
    genes, spots, _ = search(shapes, rooms, orders_of(task.items), state, BEGIN)
    order, score = genes[0], np.inf
    for portion in count():
        fresh = score_of_spots(shapes, rooms, spots)
        if fresh < score:
            score = fresh
            yield drawn.laid_out(order, spots)
        if ended(portion):
            return
        recreated(shapes, rooms, order, spots, state, PORTION)


def _resolution_mm(bins: Sequence[Bin]) -> float:
    """Side of a pixel."""
    largest = max(room.size_mm[0] * room.size_mm[1] for room in bins)
    return max(RESOLUTION_MM, float(np.sqrt(largest / MOST_PIXELS)))
