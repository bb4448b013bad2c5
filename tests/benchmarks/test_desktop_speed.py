"""How long the timeline takes to draw, with a thousand blocks on a large screen.

Wanted is 16 ms, a frame at sixty a second. While the view moves, stand-ins are drawn (`glide`); a
full drawing may miss a frame, since then nothing moves.
"""

from collections.abc import Callable
from itertools import chain, count, repeat
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication
from pytest_benchmark.fixture import BenchmarkFixture
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.widget import TimelineView
from tests.desktop import made
from tests.desktop.timeline.crowded import crowded

FRAME_S = 1 / 60
CALM = 1.25
"""The median may miss a frame by so much: other programs run as well."""


@pytest.fixture
def view(qtbot: QtBot, qapp: QApplication) -> TimelineView:
    """A timeline as large as on a screen of 1920 by 1080, zoomed in on half a day."""
    del qapp
    made_view = TimelineView()
    qtbot.addWidget(made_view)
    made_view.resize(1500, 700)
    made_view.set_scene(crowded(1000))
    made_view.show()
    made_view.zoom(4)
    made_view.viewport().grab()
    return made_view


def median_s(benchmark: BenchmarkFixture, deed: Callable[[], None]) -> float:
    """Time a deed, and tell what it took in the median."""
    benchmark(deed)
    stats: Any = benchmark.stats  # the library has no types
    return float(stats.stats.median)


def moving(view: TimelineView, step: Callable[[], None]) -> Callable[[], None]:
    """A step of a movement that goes on, drawn."""

    def go_on() -> None:
        step()
        view.viewport().repaint()

    return go_on


def test_moving_in_time(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As while it is dragged: to and fro, by twelve pixels a frame."""
    steps = chain.from_iterable(chain(repeat(12, 30), repeat(-12, 30)) for _ in count())
    took_s = median_s(benchmark, moving(view, lambda: view.pan(next(steps))))
    assert took_s < CALM * FRAME_S


def test_zooming(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As while two fingers spread and close: by two in a hundred a frame."""
    steps = chain.from_iterable(chain(repeat(1.02, 30), repeat(1 / 1.02, 30)) for _ in count())
    took_s = median_s(benchmark, moving(view, lambda: view.zoom(next(steps))))
    assert took_s < CALM * FRAME_S


def test_drawing_all_of_it_anew(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As when the plan has changed, with the whole weekend in view."""
    moments = count(made.BEGIN, 60)
    view.fit()
    took_s = median_s(benchmark, moving(view, lambda: view.set_now(next(moments))))
    assert took_s < CALM * FRAME_S


def test_showing_again(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As when the pointer or the selection moves."""
    idents = [block.id for lane in view.scene.lanes for block in lane.blocks] if view.scene else []
    view.fit()
    took_s = median_s(
        benchmark,
        moving(view, lambda: view.select(idents[0] if view.chosen != idents[0] else idents[-1])),
    )
    assert took_s < CALM * FRAME_S
