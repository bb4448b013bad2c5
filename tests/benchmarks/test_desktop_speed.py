"""How long the timeline takes to draw, with a thousand blocks on a screen of 1920 by 1080.

No paint may take longer than 8 ms, half a frame at sixty a second; the least of many is held to
that, since other programs run as well, and the median to a whole frame. What takes longer together
is drawn in steps (`glide`), each of which is held to the same.
"""

from collections.abc import Callable
from itertools import chain, count, repeat
from time import process_time
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication
from pytest_benchmark.fixture import BenchmarkFixture
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.glide import Drawing, View
from fabsched.desktop.timeline.widget import TimelineView
from tests.desktop.timeline.crowded import crowded

PAINT_S = 0.008
FRAME_S = 1 / 60
ZOOMS = (1, 2, 4, 8)


@pytest.fixture
def view(qtbot: QtBot, qapp: QApplication) -> TimelineView:
    """A timeline that fills the screen."""
    del qapp
    made_view = TimelineView()
    qtbot.addWidget(made_view)
    made_view.resize(1920, 1080)
    made_view.set_scene(crowded(1000))
    made_view.show()
    return made_view


def at_rest(view: TimelineView) -> View:
    """What it shows, drawn finely."""
    shown = view.look_now()
    assert shown is not None
    while not view.easel.drawing.ink(shown):
        pass
    return shown


def hold(benchmark: BenchmarkFixture, view: TimelineView, step: Callable[[], None]) -> None:
    """Time steps of a movement, each of them drawn."""

    def go_on() -> None:
        step()
        view.viewport().repaint()

    benchmark(go_on)
    stats: Any = benchmark.stats  # the library has no types
    assert stats.stats.min <= PAINT_S
    assert stats.stats.median <= FRAME_S


@pytest.mark.parametrize("zoom", ZOOMS)
def test_moving_in_time(benchmark: BenchmarkFixture, view: TimelineView, zoom: int) -> None:
    """As while it is dragged: to and fro, by twelve pixels a frame."""
    view.zoom(zoom)
    at_rest(view)
    steps = chain.from_iterable(chain(repeat(12, 30), repeat(-12, 30)) for _ in count())
    hold(benchmark, view, lambda: view.pan(next(steps)))


@pytest.mark.parametrize("zoom", ZOOMS)
def test_zooming(benchmark: BenchmarkFixture, view: TimelineView, zoom: int) -> None:
    """As while two fingers spread and close: by two in a hundred a frame."""
    view.zoom(zoom)
    at_rest(view)
    steps = chain.from_iterable(chain(repeat(1.02, 30), repeat(1 / 1.02, 30)) for _ in count())
    hold(benchmark, view, lambda: view.zoom(next(steps)))


@pytest.mark.parametrize("zoom", ZOOMS)
def test_drawing_all_of_it_anew(benchmark: BenchmarkFixture, view: TimelineView, zoom: int) -> None:
    """As when the plan has changed, with nothing known from before."""
    view.zoom(zoom)
    hold(benchmark, view, lambda: setattr(view.easel, "drawing", Drawing()))


@pytest.mark.parametrize("zoom", ZOOMS)
def test_drawing_finely(benchmark: BenchmarkFixture, view: TimelineView, zoom: int) -> None:
    """The longest step is held to the bar; all of them together take longer."""
    view.zoom(zoom)
    shown, found = view.look_now(), list[list[float]]()
    assert shown is not None
    timer: Any = benchmark  # the library has no types
    timer.pedantic(lambda: found.append(steps_s(shown)), rounds=5)
    assert max(map(min, zip(*found, strict=True))) <= PAINT_S


def steps_s(shown: View) -> list[float]:
    """How long each step of drawing it finely takes."""
    drawing, found, ended = Drawing(), list[float](), False
    while not ended:
        before_s = process_time()
        ended = drawing.ink(shown)
        found.append(process_time() - before_s)
    return found


def test_showing_again(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As when the pointer or the selection moves."""
    idents = [block.id for lane in view.scene.lanes for block in lane.blocks] if view.scene else []
    at_rest(view)
    hold(
        benchmark,
        view,
        lambda: view.select(idents[0] if view.chosen != idents[0] else idents[-1]),
    )
