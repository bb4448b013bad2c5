"""Strips packed by our own search, in threads: for parts of few corners, where it finds more (measured).

The kernels hold no lock, so that threads really run side by side. Which layouts come up, and in which
order, follows from the seed; how many of them do depends on how fast the computer is.
"""

import queue
import threading
from collections.abc import Iterator, Sequence
from contextlib import suppress
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from fabsched.model.progress import UNWATCHED, Watch
from fabsched.nest.climbing import Climber, Strip, copies_of
from fabsched.nest.nofit import Turned, nofit_of, ways_of
from fabsched.nest.separate import Lie
from fabsched.nest.strip_child import Lying, Packing, StripTask

LOOK_S = 0.1
"""How often somebody who wants an end is listened to."""
FEW = 250
"""Corners of all parts in all ways they may be turned up to which they count as few: a second or two
of preparing."""

Ways = Sequence[Sequence[Turned]]
Told = queue.SimpleQueue[tuple[float, Lie]]


def few_corners(task: StripTask) -> bool:
    """Whether our own search does well with these parts."""
    corners = sum(len(ring) * max(1, len(turns)) for _, ring, _, turns in task.shapes)
    return corners <= FEW


def tightened(task: StripTask, watch: Watch = UNWATCHED) -> Iterator[Packing]:
    """Ever better packings of a strip.

    Args:
        task: what is packed; how everything lies is where the first thread begins.
        watch: hears that it goes on; when it says stop, it ends.
    """
    ways = [ways_of(ring, (), turns or (0.0,)) for _, ring, _, turns in task.shapes]
    halt, told = np.zeros(1, dtype=np.uint8), queue.SimpleQueue[tuple[float, Lie]]()
    climbers = _climbers(task, ways, halt, told)
    begin = _begin(task, ways) if task.lying else None
    threads = [
        threading.Thread(target=climber.search, args=(begin if k == 0 else None,), daemon=True)
        for k, climber in enumerate(climbers)
    ]
    for thread in threads:
        thread.start()
    try:
        yield from _heard(task, ways, told, watch)
    finally:
        halt[0] = 1
        for thread in threads:
            thread.join()


def _climbers(task: StripTask, ways: Ways, halt: NDArray[np.uint8], told: Told) -> list[Climber]:
    counts = [copies for _, _, copies, _ in task.shapes]
    areas = [_area_mm2(each[0]) for each in ways]
    strip = Strip(
        fits=nofit_of(ways, task.gap_mm),
        item=copies_of(counts),
        high_mm=task.height_mm - 2 * task.gap_mm,
        area_mm2=float(np.dot(areas, counts)),
        widest_mm=task.widest_mm - 2 * task.gap_mm,
    )
    seeds = np.random.SeedSequence(task.seed).spawn(max(1, task.threads))
    return [
        Climber(strip, np.random.default_rng(seed), halt, lambda w, lie: told.put((w, lie)))
        for seed in seeds
    ]


def _area_mm2(way: Turned) -> float:
    a, b = way.pieces[:, 1] - way.pieces[:, 0], way.pieces[:, 2] - way.pieces[:, 0]
    return float(abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2)


def _heard(task: StripTask, ways: Ways, told: Told, watch: Watch) -> Iterator[Packing]:
    """What is found until the time is over or an end is wanted."""
    end, best = monotonic() + task.seconds, np.inf
    while monotonic() < end and not watch.stopped():
        watch.report(0.0, "improving-layout")
        with suppress(queue.Empty):
            width, lie = told.get(timeout=LOOK_S)
            if width < best:
                best = width
                yield Packing(width + 2 * task.gap_mm, tuple(_lying(task, ways, lie)))


def _lying(task: StripTask, ways: Ways, lie: Lie) -> Iterator[Lying]:
    """Copies in the library's terms: the gap is left at the border, too."""
    flat = [way for each in ways for way in each]
    for item, pose, at in zip(lie.item, lie.pose, lie.at, strict=False):
        x, y = at - flat[pose].corner_mm + task.gap_mm
        yield task.shapes[item][0], flat[pose].turn_deg, float(x), float(y)


def _begin(task: StripTask, ways: Ways) -> tuple[float, Lie]:
    """How everything lies already, and how wide that is."""
    rank = {shape[0]: k for k, shape in enumerate(task.shapes)}
    lying = sorted(task.lying, key=lambda each: rank[each[0]])
    item = np.array([rank[each[0]] for each in lying], dtype=np.int64)
    first = np.cumsum([0, *map(len, ways)])
    pose, at = [], []
    for kind, (_, turn_deg, x, y) in zip(item, lying, strict=True):
        (way,) = ways_of(task.shapes[kind][1], (), (turn_deg,))
        looks = [other.look for other in ways[kind]]
        pose.append(first[kind] + (looks.index(way.look) if way.look in looks else 0))
        at.append(way.corner_mm + np.array([x, y]) - task.gap_mm)
    lie = Lie(np.array(pose, dtype=np.int64), np.array(at, dtype=np.float64), item)
    sizes = np.array([way.size_mm for each in ways for way in each])
    return float((lie.at[:, 0] + sizes[lie.pose, 0]).max()), lie
