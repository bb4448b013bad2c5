"""Blocks moved by hand, by real drags and keys."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.pinning import name_of
from fabsched.desktop.timeline.moving import GRID_S
from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.window import MainWindow
from fabsched.model.project import Pin
from fabsched.session.pin_request import PinRequest, PinResponse
from fabsched.session.pool import Finished
from tests.desktop import made
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import LEFT, NO_KEYS, press

CTRL = Qt.KeyboardModifier.ControlModifier


def middle(window: MainWindow, ident: str) -> QPoint:
    """Where a block is drawn."""
    view = window.plan.timeline
    assert view.scene is not None
    block, lane = view.scene.block(ident), view.scene.lane_of(ident)
    assert block is not None
    assert lane is not None
    rect = view.frame().lane(lane)
    x = view.scale.x((block.start_s + block.end_s) / 2)
    return QPoint(round(x), round(rect.y + rect.h / 2))


def pins(window: MainWindow) -> tuple[Pin, ...]:
    """What is pinned."""
    assert window.desk.session is not None
    return window.desk.session.project.pins


def requests(pool: FakePool) -> list[PinRequest]:
    """What is asked of the cost of a pin."""
    return [request for request, _ in pool.held.values() if isinstance(request, PinRequest)]


@pytest.fixture
def held(qtbot: QtBot, planned: MainWindow) -> MainWindow:
    """A window in which the funnel is selected and held three hours later."""
    view = planned.plan.timeline
    view.select("funnel")
    start = middle(planned, "funnel")
    later = start + QPoint(round(3 * 3600 * view.scale.px_s), 0)
    QTest.mousePress(view.viewport(), LEFT, NO_KEYS, start)
    QTest.mouseMove(view.viewport(), (start + later) / 2)
    QTest.mouseMove(view.viewport(), later)
    qtbot.wait(1)
    return planned


def later_s(window: MainWindow) -> int:
    """Three hours after the funnel's start, to five minutes or what a pixel is worth."""
    assert window.plan.timeline.scene is not None
    block = window.plan.timeline.scene.block("funnel")
    assert block is not None
    return block.start_s + 3 * 3600


def test_what_it_costs_is_told_while_it_is_held(
    qtbot: QtBot, held: MainWindow, pool: FakePool
) -> None:
    """Held still for a moment, the chance is asked for and shown; nothing is changed yet."""
    qtbot.waitUntil(lambda: bool(requests(pool)))
    (request,) = requests(pool)
    assert (request.what, request.start_s % GRID_S) == ("funnel", 0)
    assert request.start_s == pytest.approx(later_s(held), abs=1800)
    view = held.plan.timeline
    before = view.viewport().grab().toImage()
    got = PinResponse(id=request.id, course=made.answer().course, on_time=0.84, before=0.93)
    pool.end(request.id, Finished(request.id, got))
    QApplication.processEvents()
    assert view.viewport().grab().toImage() != before
    assert pins(held) == ()
    press(view, Qt.Key.Key_Escape)
    QTest.mouseRelease(view.viewport(), LEFT, NO_KEYS, QPoint(400, 100))
    assert pins(held) == ()


def test_let_go_it_is_pinned_and_planned_anew(
    qtbot: QtBot, held: MainWindow, pool: FakePool
) -> None:
    """The wish is in the project, to be undone; the plan re-forms."""
    view, start = held.plan.timeline, middle(held, "funnel")
    wanted = later_s(held)
    later = start + QPoint(round(3 * 3600 * view.scale.px_s), 0)
    QTest.mouseRelease(view.viewport(), LEFT, NO_KEYS, later)
    (pin,) = pins(held)
    assert pin.id == "funnel"
    assert pin.at.timestamp() == pytest.approx(wanted, abs=1800)
    assert held.actions_.undo.text() == "&Undo: set when it starts"
    assert held.desk.busy
    finish(qtbot, held, pool)
    held.actions_.undo.trigger()
    assert pins(held) == ()
    finish(qtbot, held, pool)


def test_keys_move_and_pin(qtbot: QtBot, planned: MainWindow, pool: FakePool) -> None:
    """Ctrl and an arrow move a quarter of an hour; the action pins and lets go again."""
    view = planned.plan.timeline
    view.select("wire#2")
    assert view.scene is not None
    block = view.scene.block("wire#2")
    assert block is not None
    press(view, Qt.Key.Key_Right, CTRL)
    assert pins(planned) == (Pin(id="wire", at=pins(planned)[0].at),)
    assert pins(planned)[0].at.timestamp() == pytest.approx(block.start_s + 900, abs=GRID_S)
    planned.actions_.pin.trigger()
    assert pins(planned) == ()
    planned.actions_.pin.trigger()
    assert pins(planned)[0].at.timestamp() == block.start_s
    finish(qtbot, planned, pool)


def test_dragging_another_block_moves_the_view(planned: MainWindow) -> None:
    """Only what is selected is taken hold of; elsewhere a drag pans as ever."""
    view = planned.plan.timeline
    view.zoom(3.0)
    before = view.scale
    start = QPoint(round(view.scale.left_px + 300), round(view.frame().lane(0).y + 20))
    QTest.mousePress(view.viewport(), LEFT, NO_KEYS, start)
    QTest.mouseMove(view.viewport(), start - QPoint(40, 0))
    QTest.mouseMove(view.viewport(), start - QPoint(80, 0))
    QTest.mouseRelease(view.viewport(), LEFT, NO_KEYS, start - QPoint(80, 0))
    assert view.scale.start_s > before.start_s
    assert pins(planned) == ()


def test_pieces_are_pinned_by_their_work() -> None:
    """A piece of the wiring stands for the wiring, a run for itself."""
    blocks = {block.id: block for block in made.answer().course.blocks}
    weekend = made.weekend()
    assert name_of(weekend, blocks["wire#2"]) == "wire"
    assert name_of(weekend, blocks["funnel.clear"]) == "funnel"


def test_what_is_pinned_carries_a_mark() -> None:
    """All blocks of what goes first are marked."""
    weekend = replace(made.weekend(), first=frozenset({"funnel"}))
    assert scene(weekend, made.answer()).pinned == {"funnel.start", "funnel", "funnel.clear"}
