"""What tests of the time while it is being made share."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu
from pytestqt.qtbot import QtBot

from fabsched.desktop.bench.block_menu import menu_of
from fabsched.desktop.window import MainWindow
from fabsched.session.bench import Bench
from fabsched.session.log_requests import OptionRequest, PoseRequest
from fabsched.session.requests import EstimateRequest, PlanRequest, RoughRequest
from tests.desktop.fakes import FakePool

KINDS = (RoughRequest, EstimateRequest, PlanRequest, OptionRequest, PoseRequest)
"""What is answered by itself; what other views ask for is let be."""


PATIENCE_MS = 10_000
"""The desk waits a while for further changes before it works."""


def settled(qtbot: QtBot, window: MainWindow, pool: FakePool, *kinds: type) -> None:
    """Let the pool answer until nothing of some kinds is left, and the desk rests."""
    wanted = kinds or KINDS

    def rests() -> bool:
        for kind in wanted:
            pool.answer(only=kind)
        qtbot.wait(2)
        return not window.desk.busy and not any(map(pool.of, wanted))

    qtbot.waitUntil(rests, timeout=PATIENCE_MS)


Settle = Callable[..., None]
"""Answers what is asked for; takes kinds of requests."""


@pytest.fixture
def settle(qtbot: QtBot, window: MainWindow, pool: FakePool) -> Settle:
    """Lets the pool answer until the desk rests."""
    return lambda *kinds: settled(qtbot, window, pool, *kinds)


@pytest.fixture
def planned(window: MainWindow, project: Path, settle: Settle) -> MainWindow:
    """A window that shows a project with its plan; what other views ask for is never answered."""
    window.open_folder(project)
    settle()
    return window


@pytest.fixture
def bench(planned: MainWindow) -> Bench:
    """The project in the window, planned."""
    assert planned.desk.session is not None
    return planned.desk.session


def point_of(window: MainWindow, ident: str) -> QPoint:
    """The middle of a block on the timeline."""
    view = window.plan.timeline
    assert view.scene is not None
    block, lane = view.scene.block(ident), view.scene.lane_of(ident)
    assert block is not None
    assert lane is not None
    slot = view.frame().slot(lane)
    middle_s = (block.start_s + block.end_s) / 2
    return QPoint(round(view.scale.x(middle_s)), round(slot.y + slot.h / 2))


def menu_at(window: MainWindow, ident: str) -> QMenu:
    """The menu of a block, opened by the right button."""
    return _opened(window, point_of(window, ident))


def _opened(window: MainWindow, at: QPoint) -> QMenu:
    """The menu that opens where the right button goes down; Qt asks for it by an event of its own."""
    view = window.plan.timeline
    where = view.viewport().mapToGlobal(at)
    asked = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, where)
    QApplication.sendEvent(view.viewport(), asked)
    menu = menu_of(view)
    assert menu is not None
    return menu


def pick(menu: QMenu, text: str) -> None:
    """Click an entry of a menu."""
    action = next(action for action in menu.actions() if action.text() == text)
    middle = menu.actionGeometry(action).center()
    QTest.mouseClick(menu, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, middle)


def say(window: MainWindow, ident: str, text: str) -> None:
    """Say something of a block through its menu."""
    pick(menu_at(window, ident), text)


def menu_at_lane(window: MainWindow, lane: int) -> QMenu:
    """The menu of a lane, opened by the right button on its name."""
    slot = window.plan.timeline.frame().slot(lane)
    return _opened(window, QPoint(10, round(slot.y + slot.h / 2)))
