"""The beat of the event loop while the window works: how often it came round, and what it was kept by."""

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from time import monotonic, sleep, thread_time

import numpy as np
from ezdxf.document import Drawing
from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

BEAT_MS = 5
"""How often the loop is asked to come round."""


@dataclass
class Beats:
    """What a beating heart has counted.

    Attributes:
        count: how often the loop came round.
        longest_s: most processor time this thread spent between two beats: other programs on the
            machine do not count.
    """

    count: int = 0
    longest_s: float = 0.0
    _last_s: float = field(default_factory=thread_time)

    def beat(self) -> None:
        """Once round."""
        now_s = thread_time()
        self.longest_s = max(self.longest_s, now_s - self._last_s)
        self.count, self._last_s = self.count + 1, now_s


def beats_until(done: Callable[[], bool], owner: QObject, patience_s: float) -> Beats:
    """Let the loop run until something is done, and count.

    Raises:
        TimeoutError: it never was.
    """
    timer, beats = QTimer(owner), Beats()
    timer.setInterval(BEAT_MS)
    timer.timeout.connect(beats.beat)
    timer.start()
    end = monotonic() + patience_s
    while not done():
        if monotonic() > end:
            raise TimeoutError
        QApplication.processEvents()
        sleep(0.001)
    timer.stop()
    timer.deleteLater()
    beats.beat()
    return beats


def ring(path: Path, side: int) -> int:
    """Write a ring of 2 x side x side triangles as binary STL; returns how many they are."""
    turns = np.linspace(0, 2 * np.pi, side, endpoint=False)
    u, v = np.meshgrid(turns, turns, indexing="ij")
    far = 30 + 8 * np.cos(v)
    corners = np.stack([far * np.cos(u), far * np.sin(u), 8 * np.sin(v) + 8], axis=-1)
    beside = np.roll(corners, -1, axis=0)
    across, above = np.roll(beside, -1, axis=1), np.roll(corners, -1, axis=1)
    halves = [(corners, beside, across), (corners, across, above)]
    faces = np.concatenate([np.stack(half, axis=2).reshape(-1, 3, 3) for half in halves])
    layout = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    records = np.zeros(len(faces), layout)
    records["corners"] = faces
    path.write_bytes(bytes(80) + np.uint32(len(faces)).tobytes() + records.tobytes())
    return len(faces)


def lines(path: Path, count: int) -> Path:
    """Write a DXF of a circle in so many single lines."""
    document = Drawing.new()
    document.header["$INSUNITS"] = 4
    turns = np.linspace(0, 2 * np.pi, count + 1)
    points = np.column_stack([50 + 40 * np.cos(turns), 50 + 40 * np.sin(turns)]).tolist()
    for start, end in pairwise(points):
        document.modelspace().add_line(start, end)
    document.saveas(path)
    return path
