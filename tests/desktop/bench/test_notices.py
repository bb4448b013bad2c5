"""Notices when hands are needed."""

import pytest
from PySide6.QtWidgets import QSystemTrayIcon
from pytestqt.qtbot import QtBot

from fabsched.desktop import settings
from fabsched.desktop.window import MainWindow
from tests.desktop import made
from tests.desktop.conftest import Clock

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


def test_without_a_tray_the_window_tells(planned: MainWindow, clock: Clock) -> None:
    """At the start of a block that needs hands its text stands at the foot of the window."""
    notices = planned.making.notices
    assert not QSystemTrayIcon.isSystemTrayAvailable()
    clock.moment_s = made.at(13, 18, 10)
    notices.look()
    assert planned.making.bar.isVisible()
    text = planned.making.bar.note.text
    assert text.startswith("Hands are needed. Now, until")
    assert "Start Sensor cradle on Small printer" in text
    planned.making.bar.hide()
    notices.look()
    assert not planned.making.bar.isVisible()


def test_a_timer_wakes_at_the_start_of_the_next_block(
    planned: MainWindow, clock: Clock, qtbot: QtBot
) -> None:
    """Nobody looks; the timer does."""
    clock.moment_s = made.at(13, 18, 10) - 1
    planned.making.notices.look()
    with qtbot.waitSignal(planned.making.notices.due, timeout=3000):
        clock.moment_s += 1


def test_where_there_is_a_tray_it_tells(
    planned: MainWindow, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The desktop is told, and the window stays as it is."""
    shown: list[str] = []
    monkeypatch.setattr(QSystemTrayIcon, "isSystemTrayAvailable", staticmethod(lambda: True))
    monkeypatch.setattr(QSystemTrayIcon, "supportsMessages", staticmethod(lambda: True))
    monkeypatch.setattr(QSystemTrayIcon, "showMessage", lambda *said: shown.append(said[2]))
    monkeypatch.setattr(QSystemTrayIcon, "show", lambda _self: None)
    clock.moment_s = made.at(13, 18, 10)
    planned.making.notices.look()
    assert len(shown) == 1
    assert not planned.making.bar.isVisible()


def test_they_can_be_switched_off_for_good(planned: MainWindow, clock: Clock) -> None:
    """The action is checked while they are on; off, nothing is told, and that is remembered."""
    action = planned.actions_.notices
    assert action.isChecked()
    action.trigger()
    assert not action.isChecked()
    clock.moment_s = made.at(13, 18, 10)
    assert not planned.making.notices._timer.isActive()
    assert not settings.flag("notices", otherwise=True)
    action.trigger()
    planned.making.notices.look()
    assert not planned.making.bar.isVisible()
