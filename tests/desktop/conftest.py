"""What the desktop's tests share: a window over a pool that answers when told to."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.app import dress
from fabsched.desktop.background import Background
from fabsched.desktop.desk import Desk
from fabsched.desktop.window import MainWindow
from tests.desktop import fakes, made


@dataclass
class Clock:
    """A clock that stands where it is put."""

    moment_s: int = made.BEGIN

    def __call__(self) -> datetime:
        """The moment it stands at."""
        return datetime.fromtimestamp(self.moment_s, UTC)


@pytest.fixture(scope="session")
def dressed(qapp: QApplication) -> QApplication:
    """The application with its style and colours."""
    dress(qapp)
    return qapp


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no test find estimates or settings another one has kept."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def clock() -> Clock:
    """A clock standing at the beginning of the weekend."""
    return Clock()


@pytest.fixture
def pool() -> fakes.FakePool:
    """A pool that answers when told to."""
    return fakes.FakePool()


@pytest.fixture
def asks() -> fakes.FakeAsks:
    """Somebody who answers in the user's place."""
    return fakes.FakeAsks()


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """The folder of a project with three parts, two pieces of work and a gate."""
    return fakes.write_project(tmp_path / "station")


@pytest.fixture
def make_desk(
    qapp: QApplication, pool: fakes.FakePool, clock: Clock
) -> Iterator[Callable[[], Desk]]:
    """Makes desks over the pool; they are closed afterwards."""
    desks: list[Desk] = []

    def make() -> Desk:
        background = Background(pool, qapp)
        desk = Desk(background, clock, qapp)
        desks.append(desk)
        return desk

    yield make
    for desk in desks:
        desk.close()
        desk.deleteLater()


@pytest.fixture
def window(
    qtbot: QtBot, dressed: QApplication, make_desk: Callable[[], Desk], asks: fakes.FakeAsks
) -> Iterator[MainWindow]:
    """An open window without a project."""
    del dressed
    made_window = MainWindow(make_desk(), asks)
    qtbot.addWidget(made_window)
    with qtbot.waitExposed(made_window):
        made_window.show()
    yield made_window
    made_window.close()
    left = [widget for widget in QApplication.topLevelWidgets() if widget.isVisible()]
    assert not left, f"left open: {left}"


@pytest.fixture
def planned(qtbot: QtBot, window: MainWindow, project: Path, pool: fakes.FakePool) -> MainWindow:
    """A window that shows a project with its plan."""
    window.open_folder(project)
    finish(qtbot, window, pool)
    return window


def finish(qtbot: QtBot, window: MainWindow, pool: fakes.FakePool) -> None:
    """Let the pool answer until nothing is left to do."""
    for _ in range(4):
        qtbot.waitUntil(lambda: bool(pool.held) or not window.desk.busy)
        if not pool.held:
            return
        pool.answer()
        qtbot.wait(1)
    assert not window.desk.busy
