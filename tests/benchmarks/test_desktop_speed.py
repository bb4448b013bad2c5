"""How long the timeline takes to draw, with a thousand blocks on a large screen."""

from dataclasses import replace
from itertools import count

import pytest
from PySide6.QtWidgets import QApplication
from pytest_benchmark.fixture import BenchmarkFixture
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.scene import Scene, scene
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.plan import Block, Kind
from tests.desktop import made

BLOCKS = 1000
KINDS = (Kind.WORK, Kind.TEND, Kind.GATE, Kind.TRAVEL)


def crowded() -> Scene:
    """A thousand blocks on the lanes of the made-up weekend."""
    weekend, answer = made.weekend(), made.answer()
    machines = [station.id for station in weekend.stations]
    lanes = [*machines, *(hands.id for hands in weekend.hands)]
    step_s = (made.DEADLINE - made.BEGIN) // (BLOCKS // len(lanes))
    blocks = [
        Block(
            id=f"{lane}.{i}",
            activity=f"{lane}.{i}",
            kind=Kind.RUN if lane in machines else KINDS[i % len(KINDS)],
            what=f"Thing number {i}",
            resource=lane,
            place="home",
            start_s=made.BEGIN + i * step_s,
            end_s=made.BEGIN + i * step_s + step_s * 4 // 5,
            attended=i % 3 == 0,
        )
        for lane in lanes
        for i in range(BLOCKS // len(lanes))
    ]
    course = replace(answer.course, blocks=tuple(sorted(blocks, key=lambda b: b.start_s)))
    return scene(weekend, replace(answer, course=course))


@pytest.fixture
def view(qtbot: QtBot, qapp: QApplication) -> TimelineView:
    """A timeline as large as on a screen of 1920 by 1080."""
    del qapp
    made_view = TimelineView()
    qtbot.addWidget(made_view)
    made_view.resize(1500, 700)
    made_view.set_scene(crowded())
    made_view.show()
    return made_view


def test_drawing_anew(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As at every step of a zoom. Wanted: 50 ms, later 8 ms."""
    moments = count(made.BEGIN, 60)

    def go_on() -> None:
        view.set_now(next(moments))
        view.viewport().repaint()

    benchmark(go_on)


def test_showing_again(benchmark: BenchmarkFixture, view: TimelineView) -> None:
    """As when the pointer or the selection moves. Wanted: 5 ms."""
    idents = [block.id for lane in view.scene.lanes for block in lane.blocks] if view.scene else []

    def select() -> None:
        view.select(idents[0] if view.chosen != idents[0] else idents[-1])
        view.viewport().repaint()

    view.fit()
    benchmark(select)
