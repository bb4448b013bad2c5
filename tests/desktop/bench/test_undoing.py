"""Ctrl+Z across edits and what was told, and a log that may not be written, by real keys."""

import sqlite3
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop.window import MainWindow
from fabsched.model.log import Cure, Event
from fabsched.session.bench import Bench
from fabsched.session.edits import without
from fabsched.session.requests import PlanRequest
from fabsched.session.sayings import Saying, Verb
from tests.desktop.bench.conftest import Settle, say
from tests.desktop.conftest import Clock
from tests.desktop.hands import click

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")

CTRL = Qt.KeyboardModifier.ControlModifier


def undo(window: QWidget) -> None:
    """Press Ctrl+Z in a window."""
    _pressed(window, Qt.Key.Key_Z, CTRL)


def redo(window: QWidget) -> None:
    """Press what the desktop redoes with."""
    window.activateWindow()
    QApplication.processEvents()
    QTest.keySequence(window.windowHandle(), QKeySequence(QKeySequence.StandardKey.Redo))


def _pressed(window: QWidget, key: Qt.Key, keys: Qt.KeyboardModifier) -> None:
    """A key as the desktop hands it to a window, so that it can be a shortcut."""
    window.activateWindow()
    QApplication.processEvents()
    QTest.keyClick(window.windowHandle(), key, keys)


def test_one_key_goes_back_through_everything(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """Told, edited, told: each press takes back the newest of them, whichever kind it was."""
    say(planned, "louvres", "Started")
    settle()
    bench.change("remove", without(["wire"]))
    settle()
    clock.moment_s += 600
    say(planned, "code#1", "Started")
    settle()
    assert bench.log.state.going.keys() == {"louvres", "code"}

    undo(planned)
    settle()
    assert bench.log.state.going.keys() == {"louvres"}
    assert "wire" not in {item.id for item in bench.project.items}
    undo(planned)
    settle()
    assert "wire" in {item.id for item in bench.project.items}
    assert bench.log.state.going.keys() == {"louvres"}
    undo(planned)
    settle()
    assert not bench.log.state.going
    for _ in range(3):
        redo(planned)
        settle()
    assert bench.log.state.going.keys() == {"louvres", "code"}
    assert "wire" not in {item.id for item in bench.project.items}


def test_a_choice_goes_by_one_key_from_the_window_at_the_bench(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle, qtbot: QtBot
) -> None:
    """After a failure a card is picked; Ctrl+Z in the small window brings the choices back."""
    say(planned, "louvres", "Started")
    settle()
    clock.moment_s += 3600
    _pressed(planned, Qt.Key.Key_B, CTRL)
    small = planned.making.small
    with qtbot.waitExposed(small):
        pass
    run = next(row for row in small.rows if row.step.block.id == "louvres")
    click(run.buttons["say-failed"])
    settle()
    click(planned.making.choices.cards.cards[1].take)
    settle()
    assert bench.log.state.remedies["louvres"].cure is Cure.MACHINE
    undo(small)
    settle()
    assert not bench.log.state.remedies
    assert planned.making.choices.cards.cards


def test_a_log_that_may_not_be_written_is_told_and_nothing_else_happens(
    planned: MainWindow, bench: Bench, settle: Settle, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was told before stays, what is told now is refused in one line, undo as well."""
    say(planned, "louvres", "Started")
    settle()

    def connected(path: Path, _: str) -> sqlite3.Connection:
        """As the library opens what it may not write; permissions do not bind every user."""
        return sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)

    monkeypatch.setattr("fabsched.files.ledger.connected", connected)
    say(planned, "code#1", "Started")
    assert "log.sqlite" in planned.plan.trouble.text
    assert bench.log.state.going.keys() == {"louvres"}
    undo(planned)
    assert bench.log.state.going.keys() == {"louvres"}
    settle(PlanRequest)
    assert bench.answer is not None
    monkeypatch.undo()
    undo(planned)
    assert not bench.log.state.going


def test_two_windows_and_a_command_line_at_once(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """Each sees what the others tell, and undo takes back what was told last, by whomever."""
    other, third = Bench.open(bench.folder), Bench.open(bench.folder)
    say(planned, "louvres", "Started")
    settle()
    now_s = clock.moment_s
    other.tell(Saying(verb=Verb.START, block="code", at_s=now_s, now_s=now_s))
    third.tell(Saying(verb=Verb.FAIL, block="louvres", at_s=now_s + 9, now_s=now_s + 9))
    planned.making.teller.look()
    settle()
    assert bench.log.state.going.keys() == {"code"}
    undo(planned)
    settle()
    assert bench.log.state.going.keys() == {"code", "louvres"}
    other.look_at_log()
    assert other.log.state.going.keys() == {"code", "louvres"}
    told = [entry.kind for entry in bench.log.entries if entry.kind is not Event.PLANNED]
    assert told == [Event.STARTED, Event.STARTED, Event.FAILED, Event.WITHDRAWN]
    assert [entry.id for entry in bench.log.entries] == list(range(1, len(bench.log.entries) + 1))
