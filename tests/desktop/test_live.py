"""Better plans told while they are searched, and a search that ends with the best so far."""

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from fabsched.desktop.window import MainWindow
from fabsched.session.following import Better
from fabsched.session.requests import PlanRequest
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, press

CTRL = Qt.KeyboardModifier.ControlModifier


def found(qtbot: QtBot, window: MainWindow, pool: FakePool, on_time: float) -> int:
    """Let the search tell of a better plan; the id of its request."""
    (request,) = pool.of(PlanRequest)
    pool.tell(request.id, 0.4, "search", Better(on_time=on_time))
    qtbot.waitUntil(lambda: window.desk.best == on_time)
    return int(request.id)


def test_the_odds_rise_while_a_plan_is_searched(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """The top of the window says how good the best plan so far is, until the plan is there."""
    click(planned.headline.plan)
    assert not planned.strip.keep.isVisible()
    for on_time in (0.42, 0.71):
        found(qtbot, planned, pool, on_time)
        assert f"{on_time:.0%}".rstrip("%") + " in 100" in planned.headline.spare.text()
    finish(qtbot, planned, pool)
    assert "71 in 100" not in planned.headline.spare.text()
    assert not planned.strip.keep.isVisible()


def test_the_best_so_far_can_be_kept(qtbot: QtBot, planned: MainWindow, pool: FakePool) -> None:
    """A button beside Cancel, or keys: the search is told that it has enough, and goes on to its end."""
    click(planned.headline.plan)
    assert not planned.actions_.keep.isEnabled()
    ident = found(qtbot, planned, pool, 0.5)
    click(planned.strip.keep)
    assert pool.contented == [ident]
    assert not planned.strip.keep.isEnabled()
    press(planned, Qt.Key.Key_Return, CTRL)
    assert pool.contented == [ident, ident]
    assert ident in pool.held
    finish(qtbot, planned, pool)
    assert planned.desk.session is not None
    assert planned.desk.session.answer_is_current
