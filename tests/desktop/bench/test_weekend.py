"""A whole weekend driven through the window by clicks, with nothing faked but the clock."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.background import Background
from fabsched.desktop.bench.details import Details
from fabsched.desktop.bench.small_window import DoRow
from fabsched.desktop.desk import Desk
from fabsched.desktop.window import MainWindow
from fabsched.model.log import Cure, Event
from fabsched.model.plan import Block, Kind
from fabsched.session.bench import Bench
from fabsched.session.pool import Pool
from tests.desktop.bench.conftest import say
from tests.desktop.conftest import Clock
from tests.desktop.fakes import FakeAsks
from tests.desktop.hands import click
from tests.desktop.test_whole import PATIENCE_MS, block_stl

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")

PROJECT = """\
name = "Box"
zone = "Europe/Vienna"
start = 2026-03-13T18:00:00
deadline = 2026-03-15T21:00:00

[[part]]
id = "lid"
name = "Lid"
file = "parts/lid.stl"
route = "print"
material = "PLA"

[[work]]
id = "solder"
name = "Solder"
minutes = [30, 45, 90]

[[work]]
id = "assemble"
name = "Assemble"
minutes = [20, 30, 60]
after = ["lid", "solder"]
"""


@pytest.fixture
def window(
    qtbot: QtBot, dressed: QApplication, asks: FakeAsks, clock: Clock, tmp_path: Path
) -> Iterator[MainWindow]:
    """A window over a real pool, with a box of a printed lid and some work."""
    folder = tmp_path / "box"
    (folder / "parts").mkdir(parents=True)
    (folder / "project.toml").write_text(PROJECT, "utf-8")
    (folder / "parts/lid.stl").write_bytes(block_stl(60, 60, 12))
    made_window = MainWindow(Desk(Background(Pool(workers=2)), clock, dressed), asks)
    qtbot.addWidget(made_window)
    with qtbot.waitExposed(made_window):
        made_window.show()
    made_window.open_folder(folder)
    yield made_window
    made_window.close()


def bench_of(window: MainWindow) -> Bench:
    """The open project."""
    assert window.desk.session is not None
    return window.desk.session


def planned(qtbot: QtBot, window: MainWindow) -> None:
    """Wait until there is a first plan for what is known now."""
    bench = bench_of(window)
    qtbot.waitUntil(lambda: bench.answer_is_current, timeout=PATIENCE_MS)


def block(window: MainWindow, which: Callable[[Block], bool]) -> Block:
    """The first block of the plan that is meant."""
    scene = window.plan.timeline.scene
    assert scene is not None
    left = [step.block for step in scene.steps if step.block.id not in scene.past]
    return next(block for block in left if which(block))


def row(window: MainWindow, code: str) -> DoRow:
    """The first row of the window at the bench of which this can be said."""
    return next(row for row in window.making.small.rows if code in row.buttons)


def test_a_weekend_from_the_first_plan_to_the_last_piece_of_work(
    qtbot: QtBot, window: MainWindow, clock: Clock
) -> None:
    """Plan, start, fail, choose, clear, start again, take off, work: in the end all is done in time."""
    planned(qtbot, window)
    bench, small = bench_of(window), window.making.small
    run = block(window, lambda b: b.kind is Kind.RUN)
    say(window, run.id, "Started")
    clock.moment_s += 600
    planned(qtbot, window)
    assert "lid" in bench.log.state.going

    say(window, block(window, lambda b: b.kind is Kind.RUN).id, "Failed\u2026")
    (details,) = [each for each in window.findChildren(Details) if each.isVisible()]
    details.accept()
    page = window.making.choices
    qtbot.waitUntil(page.isVisible, timeout=PATIENCE_MS)
    assert len(page.cards.cards) >= 4
    qtbot.waitUntil(
        lambda: all(card.chance.text() not in {"\u2026", "?"} for card in page.cards.cards),
        timeout=PATIENCE_MS,
    )
    again = next(card for card in page.cards.cards if card.remedy.cure is Cure.AGAIN)
    click(again.take)
    planned(qtbot, window)
    assert bench.log.state.remedies["lid"].cure is Cure.AGAIN
    assert not page.cards.cards

    window.actions_.bench.trigger()
    for _ in range(20):
        small.follow()
        if not [step for step in small.rows if step.buttons]:
            clock.moment_s += 1800
            continue
        _do_next(window, clock)
        planned(qtbot, window)
        if bench.log.state.done.keys() >= {"lid", "solder", "assemble"}:
            break
    assert bench.log.state.done.keys() >= {"lid", "solder", "assemble"}
    assert not bench.log.state.uncleared
    assert bench.answer is not None
    assert bench.answer.odds.on_time == 1.0
    outcomes = [stint.outcome for stint in bench.log.state.past]
    assert outcomes.count(Event.FAILED) == 1
    scene = window.plan.timeline.scene
    assert scene is not None
    assert {past.block.activity for past in scene.past.values()} >= {"lid", "solder", "assemble"}


def _do_next(window: MainWindow, clock: Clock) -> None:
    """Click the first button that can be clicked; what was begun takes its time first."""
    codes = ("say-taken-off", "say-started", "say-done")
    for code in codes:
        rows = [each for each in window.making.small.rows if code in each.buttons]
        if rows:
            if code != "say-started":
                clock.moment_s = max(clock.moment_s, rows[0].step.block.end_s)
            click(rows[0].buttons[code])
            return


def test_a_tower_that_came_loose_is_laid_down(
    qtbot: QtBot, window: MainWindow, clock: Clock
) -> None:
    """Its other pose is looked for behind the first choices; one click turns it, one undo turns it back."""
    planned(qtbot, window)
    bench, page = bench_of(window), window.making.choices
    (bench.folder / "parts/lid.stl").write_bytes(block_stl(12, 40, 90))
    bench.look_at_parts()
    planned(qtbot, window)
    say(window, block(window, lambda b: b.kind is Kind.RUN).id, "Started")
    clock.moment_s += 600
    planned(qtbot, window)
    say(window, block(window, lambda b: b.kind is Kind.RUN).id, "Failed\u2026")
    (details,) = [each for each in window.findChildren(Details) if each.isVisible()]
    details.accept()
    qtbot.waitUntil(lambda: page.isVisible() and page.more.isVisible(), timeout=PATIENCE_MS)
    qtbot.waitUntil(lambda: not page.more.isVisible(), timeout=PATIENCE_MS)
    turned = [card for card in page.cards.cards if card.remedy.cure is Cure.POSE]
    assert turned
    assert "12 mm high" in turned[0].facts.text()
    remedy = turned[0].remedy
    click(turned[0].take)
    planned(qtbot, window)
    assert bench.project.parts[0].turn_deg == remedy.turn_deg
    heights = [estimate.height_mm for estimate in bench.estimates["lid"].values()]
    assert heights == [pytest.approx(12.0)] * len(heights)
    window.actions_.undo.trigger()
    planned(qtbot, window)
    assert bench.project.parts[0].turn_deg == (0.0, 0.0, 0.0)
    assert page.cards.cards
