"""The strip packing library in a process of its own, so that it can be ended at any moment.

The library computes for a fixed time and cannot be interrupted. The child tells every better packing as
soon as there is one, so that nothing is lost when it is ended early.
"""

import math
import os
import pickle
import sys
import threading
from pathlib import Path
from typing import IO, Any, NamedTuple

from fabsched.nest.records import Ring

DRAIN_S = 0.2
"""How often the child looks for news of the library."""

Lying = tuple[str, float, float, float]
"""Id, turn in degrees, and x and y in mm of a copy."""


class StripTask(NamedTuple):
    """What is packed.

    Attributes:
        shapes: id, outline, copies and angles allowed of everything.
        height_mm: of the strip.
        gap_mm: least distance of two copies, and of a copy and the border of the strip.
        seconds: how long; some more pass until the library ends.
        threads: how many it uses.
        seed: of its chance.
        widest_mm: length of the strip that is of use; the library does not care.
        lying: how everything lies already, if it does; the library begins anew.
    """

    shapes: tuple[tuple[str, Ring, int, tuple[float, ...]], ...]
    height_mm: float
    gap_mm: float
    seconds: int
    threads: int
    seed: int
    widest_mm: float = math.inf
    lying: tuple[Lying, ...] = ()


class Packing(NamedTuple):
    """A packing.

    Attributes:
        length_mm: how much of the strip it takes.
        lying: where everything lies.
    """

    length_mm: float
    lying: tuple[Lying, ...]


def serve() -> None:
    """Answer the one task on standard input with ever better packings. Runs in the child.

    What the library prints goes nowhere, so that it cannot spoil the answer.
    """
    answer_to = os.dup(1)
    with Path(os.devnull).open("wb") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        os.dup2(nowhere.fileno(), 2)
    task: StripTask = pickle.load(sys.stdin.buffer)  # noqa: S301 - our own parent wrote it
    threading.Thread(target=_end_with_parent, daemon=True).start()
    with open(answer_to, "wb") as file:  # noqa: PTH123 - a descriptor has no path
        _pack(task, file)
    os._exit(0)


def _end_with_parent() -> None:
    """Wait for the end of standard input, whose other end the parent holds."""
    if not os.read(0, 1):
        os._exit(1)


def _pack(task: StripTask, file: IO[bytes]) -> None:
    import spyrrow  # noqa: PLC0415 - not needed to read this module

    items = [
        spyrrow.Item(ident, list(ring), demand=copies, allowed_orientations=list(turns))
        for ident, ring, copies, turns in task.shapes
    ]
    strip = spyrrow.StripPackingInstance("strip", strip_height=task.height_mm, items=items)
    settings = spyrrow.StripPackingConfig(
        early_termination=True,
        total_computation_time=task.seconds,
        min_items_separation=task.gap_mm or None,
        num_workers=task.threads,
        seed=task.seed,
    )
    news = spyrrow.ProgressQueue()
    ended = threading.Event()

    def solve() -> None:
        try:
            _tell(strip.solve(settings, news), file)
        finally:
            ended.set()

    threading.Thread(target=solve, daemon=True).start()
    sound = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)
    while not ended.wait(DRAIN_S):
        found = [packing for kind, packing in news.drain() if kind in sound]
        if found and not ended.is_set():
            _tell(found[-1], file)


def _tell(packing: Any, file: IO[bytes]) -> None:
    """Write a packing of the library's own kind in one piece."""
    lying = tuple(
        (p.id, float(p.rotation), *map(float, p.translation)) for p in packing.placed_items
    )
    file.write(pickle.dumps(Packing(float(packing.width), lying)))
    file.flush()
