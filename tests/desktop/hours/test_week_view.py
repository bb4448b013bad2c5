"""A week that is painted, by mouse and keys."""

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from fabsched.desktop.hours.week_view import WeekView
from fabsched.session.week import Week, open_h, text_of
from tests.desktop.hands import click, drag, press


@pytest.fixture
def view(qtbot: QtBot) -> WeekView:
    """A closed week."""
    made = WeekView()
    qtbot.addWidget(made)
    made.resize(made.sizeHint())
    with qtbot.waitExposed(made):
        made.show()
    return made


def test_dragging_opens_hours_and_a_second_drag_closes_them(view: WeekView) -> None:
    """From Monday ten to Wednesday noon, then Tuesday away again; told when the button is let go."""
    told: list[Week] = []
    view.changed.connect(told.append)
    start = view.rect_of((0, 40)).center().toPoint()
    drag(view, start, view.rect_of((2, 47)).center().toPoint())
    assert text_of(view.week) == "Mo-We 10:00-12:00"
    tuesday = view.rect_of((1, 40)).center().toPoint()
    drag(view, tuesday, view.rect_of((1, 47)).center().toPoint())
    assert text_of(view.week) == "Mo 10:00-12:00; We 10:00-12:00"
    assert len(told) == 2


def test_keys_do_the_same(view: WeekView) -> None:
    """Space opens a quarter hour, with Shift an hour; a screen reader hears where and how much."""
    press(view, Qt.Key.Key_Down)
    press(view, Qt.Key.Key_Space, Qt.KeyboardModifier.ShiftModifier)
    assert text_of(view.week) == "Tu 09:00-10:00"
    press(view, Qt.Key.Key_Space)
    assert open_h(view.week) == 0.75
    assert view.accessibleDescription() == "Tue 09:00 closed; 0.75 hours a week"


def test_a_click_beside_the_grid_means_the_nearest_cell(view: WeekView) -> None:
    """The upper left corner is Monday midnight."""
    click(view, QPoint(1, 1))
    assert text_of(view.week) == "Mo 00:00-00:15"
