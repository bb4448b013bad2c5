"""Projects opened lately, and the window as it was left."""

import shutil
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop import recent, settings
from fabsched.desktop.desk import Desk
from fabsched.desktop.window import MainWindow
from tests.desktop import fakes
from tests.desktop.conftest import finish
from tests.desktop.hands import click


def reopened(
    qtbot: QtBot, make_desk: Callable[[], Desk], asks: fakes.FakeAsks, window: MainWindow
) -> MainWindow:
    """The window as it comes up the next time."""
    window.close()
    again = MainWindow(make_desk(), asks)
    qtbot.addWidget(again)
    with qtbot.waitExposed(again):
        again.show()
    return again


def test_one_goes_on_with_what_was_open_last(
    qtbot: QtBot,
    planned: MainWindow,
    project: Path,
    make_desk: Callable[[], Desk],
    asks: fakes.FakeAsks,
) -> None:
    """The next start offers the project on its first button, which has the focus, and opens it."""
    again = reopened(qtbot, make_desk, asks, planned)
    (button,) = again.start.recent.buttons
    assert button.accessibleName() == "Go on with Balcony weather station"
    assert again.start.first is button
    click(button)
    assert again.desk.session is not None
    assert again.desk.session.folder == project
    again.close()


def test_size_page_and_stretch_of_time_come_back(
    qtbot: QtBot,
    planned: MainWindow,
    project: Path,
    make_desk: Callable[[], Desk],
    asks: fakes.FakeAsks,
    pool: fakes.FakePool,
) -> None:
    """Whoever left the shop at some size finds it there, the timeline showing the same hours."""
    planned.resize(980, 717)  # no wider than the screen of tests, or Qt fits it in
    planned.plan.timeline.zoom(2.0)
    planned.plan.timeline.pan(200.0)
    planned.plan.show_page(planned.shop)
    before = planned.plan.timeline.scale
    again = reopened(qtbot, make_desk, asks, planned)
    again.open_folder(project)
    finish(qtbot, again, pool)
    after = again.plan.timeline.scale
    assert (again.width(), again.height()) == (980, 717)
    assert again.plan.pages.currentWidget() is again.shop
    assert abs(after.start_s - before.start_s) <= 1
    assert abs(after.span_s - before.span_s) <= 1
    again.close()


def test_a_project_that_is_away_is_grey_and_can_be_forgotten(
    qtbot: QtBot, planned: MainWindow, project: Path, dressed: QApplication
) -> None:
    """Its button and its line in the menu say so; the menu takes it out of the list."""
    del qtbot, dressed
    shutil.rmtree(project)
    menu, start = planned.remembering.menu, planned.start.recent
    start.follow()
    menu.aboutToShow.emit()
    assert [button.isEnabled() for button in start.buttons] == [False]
    assert "not there now" in start.buttons[0].accessibleName()
    named, _line, forget = menu.actions()
    assert not named.isEnabled()
    forget.trigger()
    assert recent.recents() == ()
    assert start.buttons == [], "the start page has followed"


def test_projects_of_one_name_are_told_apart_by_their_folders(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    """On the start page and in the menu; a name that stands alone stays as it is."""
    del qtbot
    for folder, name in (("one", "Lamp"), ("two", "Lamp"), ("three", "Shelf")):
        recent.note(fakes.write_project(tmp_path / folder), name)
    window.start.recent.follow()
    window.remembering.menu.aboutToShow.emit()
    told = ["Shelf", "Lamp (two)", "Lamp (one)"]
    assert [action.text() for action in window.remembering.menu.actions()] == told
    texts = [button.accessibleName() for button in window.start.recent.buttons]
    assert texts == ["Go on with Shelf", *told[1:]]


def test_the_last_ones_are_kept_newest_first(tmp_path: Path) -> None:
    """Opening one again moves it to the top; the oldest fall off the end."""
    for number in range(recent.MOST + 2):
        recent.note(tmp_path / str(number), f"no. {number}")
    recent.note(tmp_path / "5", "five")
    kept = recent.recents()
    assert len(kept) == recent.MOST
    assert [kept[0].name, kept[1].name] == ["five", "no. 9"]


def test_settings_written_by_hand_do_no_harm() -> None:
    """Whatever stands there, the list is at worst empty."""
    for text in ("{", "3", "[1]", '[["a"]]', "null"):
        settings.keep(recent.KEY, text)
        assert recent.recents() == ()
