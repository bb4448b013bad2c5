"""The page of what waits for what, by real drags and keys."""

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from fabsched.desktop.needs.layers import Joint
from fabsched.desktop.needs.view import NeedsView
from fabsched.desktop.window import MainWindow
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, drag, press


@pytest.fixture
def view(planned: MainWindow) -> NeedsView:
    """The picture, brought to the front."""
    planned.actions_.needs.trigger()
    assert planned.needs.view.isVisible()
    return planned.needs.view


def middle(view: NeedsView, ident: str) -> QPoint:
    """Where something stands."""
    return view.box(ident).center().toPoint()


def after(window: MainWindow, ident: str) -> tuple[str, ...]:
    """What something waits for."""
    assert window.desk.session is not None
    return next(i.after for i in window.desk.session.project.items if i.id == ident)


def test_dragging_joins_two_and_undo_parts_them(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, view: NeedsView
) -> None:
    """From the wiring to the test fit: the fit waits for the wiring too, until that is undone."""
    drag(view, middle(view, "wire"), middle(view, "fit"))
    assert after(planned, "fit") == ("cradle", "wire")
    assert Joint("wire", "fit") in view.graph.joints
    planned.actions_.undo.trigger()
    assert after(planned, "fit") == ("cradle",)
    finish(qtbot, planned, pool)


def test_a_line_is_marked_and_deleted(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, view: NeedsView
) -> None:
    """A click on a line and Delete: one no longer waits for the other."""
    joint = Joint("cradle", "fit")
    click(view, view.curve(joint).pointAtPercent(0.5).toPoint())
    assert joint == view.line
    press(view, Qt.Key.Key_Delete)
    assert after(planned, "fit") == ()
    assert joint not in view.graph.joints
    finish(qtbot, planned, pool)


def test_a_circle_is_refused_in_place(planned: MainWindow, view: NeedsView) -> None:
    """The cradle cannot wait for its own test fit; why stands over the picture."""
    drag(view, middle(view, "fit"), middle(view, "cradle"))
    assert after(planned, "cradle") == ()
    assert planned.needs.trouble.isVisible()


def test_keys_go_from_box_to_box(planned: MainWindow, view: NeedsView) -> None:
    """Right follows the line, and a screen reader hears what it waits for."""
    assert planned.needs.focusProxy() is view
    click(view, middle(view, "cradle"))
    press(view, Qt.Key.Key_Right)
    assert view.accessibleDescription().startswith(
        "Test fit of the cradle, waits for Sensor cradle"
    )
    press(view, Qt.Key.Key_Escape)
    assert view.accessibleDescription() == ""
