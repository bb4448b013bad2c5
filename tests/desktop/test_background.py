"""The bridge from the pool to the window's thread."""

import threading
from dataclasses import dataclass, field
from typing import Any

import pytest
from PySide6.QtCore import QThread
from pytestqt.qtbot import QtBot

from fabsched.desktop.background import Background
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.session.pool import Failed, Finished, Pool
from fabsched.session.requests import next_id
from tests.desktop.fakes import FakePool


@dataclass(frozen=True)
class Doubling:
    """A request that doubles a number in two steps, or refuses to."""

    number: int
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> int:
        """Double it."""
        watch.report(0.5, "sections")
        if self.number < 0:
            raise InputError(Fault.FILE_EMPTY, "number")
        return 2 * self.number


@pytest.fixture
def heard() -> list[tuple[Any, ...]]:
    """What has been heard, with whether it was heard on the main thread."""
    return []


def listen(background: Background, heard: list[tuple[Any, ...]]) -> None:
    """Note every signal."""
    for name in ("progressed", "finished", "failed"):
        signal = getattr(background, name)
        signal.connect(lambda *facts, name=name: heard.append((name, *facts)))


def test_events_arrive_on_the_thread_of_the_window(
    qtbot: QtBot, heard: list[tuple[Any, ...]]
) -> None:
    """What the pool tells on a thread of its own is heard on the main one, in order."""
    pool = FakePool()
    background = Background(pool)
    listen(background, heard)
    threads: list[bool] = []
    background.finished.connect(lambda *_: threads.append(QThread.currentThread().isMainThread()))
    request = Doubling(4)
    background.submit(request)
    tell = pool.held[request.id][1]

    def work() -> None:
        pool.tell(request.id, 0.25, "walls")
        tell(Finished(request.id, 8))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert heard == []
    qtbot.waitUntil(lambda: len(heard) == 2)
    assert heard == [("progressed", request.id, 0.25, "walls"), ("finished", request.id, 8)]
    assert threads == [True]
    assert not background.busy


def test_nothing_is_heard_of_a_request_that_was_dropped(
    qtbot: QtBot, heard: list[tuple[Any, ...]]
) -> None:
    """Its end is under way already when it is dropped, and still it does not arrive."""
    pool = FakePool()
    background = Background(pool)
    listen(background, heard)
    late, dropped = Doubling(1), Doubling(2)
    for request in (late, dropped):
        background.submit(request)
    pool.end(late.id, Finished(late.id, 2))
    background.drop(late.id)
    background.drop(dropped.id)
    qtbot.wait(20)
    assert heard == []
    assert pool.cancelled == [dropped.id]
    assert not background.busy


def test_a_failure_arrives_as_the_error_it_is(qtbot: QtBot, heard: list[tuple[Any, ...]]) -> None:
    """The error object itself is handed on."""
    pool = FakePool()
    background = Background(pool)
    listen(background, heard)
    request, error = Doubling(1), InputError(Fault.FILE_EMPTY, "x")
    background.submit(request)
    pool.end(request.id, Failed(request.id, error))
    qtbot.waitUntil(lambda: bool(heard))
    assert heard == [("failed", request.id, error)]


def test_closing_ends_the_pool_and_silences_everything(
    qtbot: QtBot, heard: list[tuple[Any, ...]]
) -> None:
    """After closing nothing is heard and the pool is closed."""
    pool = FakePool()
    background = Background(pool)
    listen(background, heard)
    background.submit(Doubling(1))
    background.close()
    qtbot.wait(20)
    assert heard == []
    assert pool.closed


def test_the_real_pool_works_through_the_bridge(qtbot: QtBot, heard: list[tuple[Any, ...]]) -> None:
    """A process doubles one number and refuses another; both endings arrive."""
    background = Background(Pool(workers=1))
    listen(background, heard)
    good, bad = Doubling(21), Doubling(-1)
    for request in (good, bad):
        background.submit(request)
    qtbot.waitUntil(lambda: not background.busy, timeout=20_000)
    background.close()
    ends = {entry[1]: entry for entry in heard if entry[0] != "progressed"}
    assert ends[good.id] == ("finished", good.id, 42)
    assert ends[bad.id][0] == "failed"
    assert ends[bad.id][2].code is Fault.FILE_EMPTY
