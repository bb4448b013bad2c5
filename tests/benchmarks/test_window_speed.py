"""How long the window's event loop is kept at most while the program works, with real worker processes.

Bars: no gap of 50 ms while a project is planned, and none of 100 ms while large files are taken in. It is measured as processor time of the window's own thread between two beats, so
that other programs on the machine do not count. What is done: planning the sample, taking in a solid of
a million triangles and a drawing of ten thousand lines, and showing both.
"""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.desktop.app import dress, make_window
from fabsched.desktop.window import MainWindow
from tests.desktop.heartbeat import Beats, beats_until, lines, ring

GAP_S = 0.1
PLANNING_GAP_S = 0.05
PATIENCE_S = 300.0
NOW = datetime(2027, 3, 5, 17, tzinfo=UTC)
SIDE = 708
"""Of the ring's grid: 1,002,528 triangles."""


@pytest.fixture
def window(qapp: QApplication, sample: Path, tmp_path: Path) -> Iterator[MainWindow]:
    """A window over real worker processes that has begun to plan the sample."""
    dress(qapp)
    made = make_window(lambda: NOW)
    made.resize(1400, 900)
    made.show()
    made.open_folder(Path(shutil.copytree(sample, tmp_path / "station")))
    yield made
    made.close()


def hold(name: str, window: MainWindow, done: Callable[[], bool], gap_s: float = GAP_S) -> Beats:
    """Let something be done, and hold its longest gap to a bar."""
    beats = beats_until(done, window, PATIENCE_S)
    print(f"{name}: {beats.count} beats, longest gap {1000 * beats.longest_s:.0f} ms")  # noqa: T201 - a figure of the benchmark
    assert beats.longest_s < gap_s, name
    return beats


def test_the_window_is_never_kept(
    benchmark: BenchmarkFixture, window: MainWindow, tmp_path: Path
) -> None:
    """Planning, taking in and showing large files leave the loop free."""
    timer: Any = benchmark  # the library has no types
    timer.pedantic(work_through, args=(window, tmp_path), rounds=1)


def work_through(window: MainWindow, tmp_path: Path) -> None:
    """All of it, each step held to the bar."""
    session = window.desk.session
    assert session is not None
    rounds, more = iter(range(5)), iter(range(40))
    hold("opening it", window, lambda: next(rounds, None) is None)
    hold("planning the sample", window, lambda: session.answer_is_current, PLANNING_GAP_S)
    hold("showing the plan", window, lambda: next(more, None) is None, PLANNING_GAP_S)
    solid, flat = tmp_path / "ring.stl", lines(tmp_path / "circle.dxf", 10_000)
    assert ring(solid, SIDE) > 1_000_000
    known = {part.id for part in session.project.parts}
    window.desk.add_files([solid, flat])
    hold("taking files in", window, lambda: len(session.project.parts) == len(known) + 2)
    new = [part.id for part in session.project.parts if part.id not in known]
    shapes = window.parts.shapes
    hold("reading them", window, lambda: all(shapes.of(ident) is not None for ident in new))
    for ident in new:
        window.show_part(ident)
        hold(f"showing {ident}", window, lambda: window.part.view.grab().toImage().width() > 0)
    turning = iter(range(40))

    def turned() -> bool:
        window.part.view.look_from(window.part.view.camera.turned(9.0, 0.0))
        return next(turning, None) is None

    hold("turning it", window, turned)
