"""A coupon by the button of its advice, with nothing faked: files, estimates, plans, processes."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from fabsched.desktop.background import Background
from fabsched.desktop.desk import Desk
from fabsched.desktop.window import MainWindow
from fabsched.session.bench import Bench
from fabsched.session.pool import Pool
from tests.coupon_project import write_vane
from tests.desktop.fakes import FakeAsks
from tests.desktop.hands import click

NOW = datetime(2026, 10, 23, 18, tzinfo=ZoneInfo("Europe/Berlin"))
PATIENCE_MS = 120_000
"""Longer than the slowest machine needs; the test waits no longer than the work takes."""
COUPON, CHECK = "housing-bearing-coupon", "housing-bearing-check"


@pytest.fixture
def window(
    qtbot: QtBot, dressed: QApplication, asks: FakeAsks, tmp_path: Path
) -> Iterator[MainWindow]:
    """The project in an open window over a real pool, planned."""
    desk = Desk(Background(Pool(workers=2)), lambda: NOW, dressed)
    made_window = MainWindow(desk, asks)
    qtbot.addWidget(made_window)
    with qtbot.waitExposed(made_window):
        made_window.show()
    made_window.open_folder(write_vane(tmp_path / "vane"))
    _wait_for_plan(qtbot, made_window)
    yield made_window
    made_window.close()


def _bench(window: MainWindow) -> Bench:
    assert window.desk.session is not None
    return window.desk.session


def _wait_for_plan(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: _bench(window).answer_is_current, timeout=PATIENCE_MS)


def _button(window: MainWindow) -> QPushButton | None:
    page = window.deciding.advice
    rows = zip(page.advice.texts, page.advice.buttons, strict=False)
    return next((button for text, button in rows if text.startswith("Print a coupon")), None)


def _on_time(window: MainWindow) -> float:
    answer = _bench(window).answer
    assert answer is not None
    return answer.odds.on_time


def test_one_press_makes_it_and_one_undo_takes_it_back(qtbot: QtBot, window: MainWindow) -> None:
    """The file is written, the plan tries it first, and the chance is what the line told, within 3."""
    bench, before = _bench(window), _bench(window).project
    chance = _on_time(window)
    window.actions_.advice.trigger()
    qtbot.waitUntil(lambda: _button(window) is not None, timeout=PATIENCE_MS)
    told = window.deciding.advice.advice.texts[0]
    button = _button(window)
    assert button is not None
    click(button)
    assert (bench.folder / "parts" / f"{COUPON}.stl").stat().st_size > 1000
    _wait_for_plan(qtbot, window)
    assert bench.answer is not None
    starts = {block.id: block.start_s for block in bench.answer.course.blocks}
    assert starts[COUPON] < starts[CHECK] < starts["housing"]
    foretold = float(told.split(": ", 2)[-1].split(" in 100")[0].rsplit(" ", 1)[-1]) / 100
    assert _on_time(window) == pytest.approx(foretold, abs=0.03)
    assert _on_time(window) > chance + 0.15
    window.actions_.undo.trigger()
    assert bench.project == before
    _wait_for_plan(qtbot, window)
    assert _on_time(window) == chance
