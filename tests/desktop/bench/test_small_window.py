"""The small window at the bench."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from fabsched.desktop.bench.small_window import BenchWindow
from fabsched.desktop.window import MainWindow
from fabsched.model.log import Event
from fabsched.session.bench import Bench
from tests.desktop.bench.conftest import Settle
from tests.desktop.conftest import Clock
from tests.desktop.hands import click, press

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def small(planned: MainWindow, qtbot: QtBot) -> BenchWindow:
    """The window, opened by its key."""
    press(planned, Qt.Key.Key_B, CTRL)
    with qtbot.waitExposed(planned.making.small):
        pass
    return planned.making.small


def texts(small: BenchWindow) -> list[str]:
    """What is to be done now."""
    return [row.what.text() for row in small.rows]


def test_it_says_what_to_do_now_and_next(small: BenchWindow) -> None:
    """The first thing for the hands with until when, and what comes then."""
    assert texts(small) == ["Start Louvre plates (6) on Large printer"]
    assert small.rows[0].until.text() == "until Fri 18:10"
    assert small.next.text() == "Next, Fri 18:10: Start Sensor cradle on Small printer."
    assert "you will very likely be done" in small.odds.text().lower()


def test_whose_start_is_meant_is_told_at_the_button(small: BenchWindow) -> None:
    """Of what runs alone the machine's, not that of the hands that set it up."""
    tip = small.rows[0].buttons["say-started"].toolTip()
    assert "when the machine begins to run" in tip
    assert all(
        "machine begins" not in b.toolTip()
        for k, b in small.rows[0].buttons.items()
        if k != "say-started"
    )


def test_one_click_each_from_start_to_done(
    small: BenchWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """Started, then the run stands below with done and failed; done is written down at once."""
    click(small.rows[0].buttons["say-started"])
    settle()
    assert bench.log.state.going.keys() == {"louvres"}
    assert "Large printer: Louvre plates (6)" in texts(small)
    clock.moment_s += 12 * 3600
    run = next(row for row in small.rows if row.step.block.id == "louvres")
    click(run.buttons["say-done"])
    assert bench.log.entries[-1].kind is Event.FINISHED


def test_one_click_fails_a_run_and_the_choices_open(
    planned: MainWindow, small: BenchWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """Nothing is asked: how far it got is taken from the clock."""
    click(small.rows[0].buttons["say-started"])
    settle()
    clock.moment_s += 149 * 60
    run = next(row for row in small.rows if row.step.block.id == "louvres")
    click(run.buttons["say-failed"])
    (entry,) = [e for e in bench.log.entries if e.kind is Event.FAILED]
    assert entry.share == pytest.approx(0.2)
    settle()
    assert planned.plan.pages.currentWidget() is planned.making.choices


def test_keys_suffice(small: BenchWindow, bench: Bench, settle: Settle) -> None:
    """The first button has the focus; Ctrl+Z takes it back from here as well."""
    first = small.rows[0].buttons["say-started"]
    assert small.focusWidget() is first
    press(first, Qt.Key.Key_Space)
    assert bench.log.state.going.keys() == {"louvres"}
    settle()
    assert small.focusWidget() in small.rows[0].buttons.values()
    QTest.keyClick(small.windowHandle(), Qt.Key.Key_Z, CTRL)
    assert not bench.log.state.has_begun


def test_it_stays_on_top_and_remembers(planned: MainWindow, small: BenchWindow) -> None:
    """Switch and size are there again the next time it is opened."""
    click(small.on_top, QPoint(8, small.on_top.height() // 2))
    assert small.on_top.isChecked()
    assert small.windowFlags() & Qt.WindowType.WindowStaysOnTopHint
    assert small.isVisible()
    small.resize(420, 380)
    small.close()
    again = BenchWindow(planned.desk, planned.making.teller, planned.plan.timeline)
    again.bring()
    assert again.on_top.isChecked()
    assert again.windowFlags() & Qt.WindowType.WindowStaysOnTopHint
    assert (again.width(), again.height()) == (420, 380)
    again.close()


def test_when_hands_are_free_it_says_so(
    small: BenchWindow, clock: Clock, settle: Settle, planned: MainWindow
) -> None:
    """Between two blocks there is nothing to do but to wait for the next."""
    clock.moment_s -= 3600
    small.follow()
    assert texts(small) == []
    assert small.none.text() == "Nothing for your hands right now."
    assert small.next.text().startswith("Next, Fri 18:00")
    del settle, planned
