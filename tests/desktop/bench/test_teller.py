"""Telling the log from the window: what it waits for, and how it keeps up."""

import shutil
from pathlib import Path

import pytest

from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Event
from fabsched.session.bench import Bench
from fabsched.session.log_book import LogBook
from fabsched.session.log_requests import MeaningsRequest, ReplanRequest
from fabsched.session.requests import PlanRequest
from fabsched.session.sayings import Verb
from tests.desktop.bench.conftest import Settle
from tests.desktop.conftest import Clock
from tests.desktop.fakes import FakePool

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


def test_meanings_are_found_out_where_no_plan_tells_them(
    planned: MainWindow, bench: Bench, pool: FakePool, tmp_path: Path
) -> None:
    """The last plan is gone from the cache: what blocks mean is asked for, then it is written down."""
    shutil.rmtree(tmp_path / "cache")
    planned.making.teller.tell(Verb.START, "louvres.start")
    assert not bench.log.entries
    (request,) = pool.of(MeaningsRequest)
    pool.answer_one(request)
    assert bench.log.entries[-1].kind is Event.STARTED


def test_a_first_answer_comes_before_a_better_one(
    planned: MainWindow, pool: FakePool, settle: Settle
) -> None:
    """After something was told the rest is planned quickly, then once more with care."""
    planned.making.teller.tell(Verb.START, "louvres.start")
    seen: list[bool] = []
    while planned.desk.busy:
        settle_once(planned)
        for request in pool.of(ReplanRequest):
            seen.append(request.quick)
            pool.answer_one(request)
    assert seen == [True, False]
    settle()


def settle_once(window: MainWindow) -> None:
    """Let the desk go on."""
    window.desk.work()


def test_a_plan_that_cannot_be_written_down_is_told(
    planned: MainWindow, bench: Bench, settle: Settle, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan holds all the same; the panel says why it is not in the log."""
    planned.making.teller.tell(Verb.START, "louvres.start")

    def refuse(*_: object) -> None:
        raise InputError(Fault.FILE_UNWRITABLE, "log.sqlite", why="disk full")

    monkeypatch.setattr(LogBook, "take_in_hand", refuse)
    settle()
    assert bench.answer_is_current
    assert "disk full" in planned.plan.trouble.text


def test_the_rest_is_planned_again_as_time_goes_by(
    planned: MainWindow, pool: FakePool, clock: Clock, settle: Settle
) -> None:
    """A quarter of an hour after the last plan, once anything has happened, and not before."""
    keeping = planned.making.keeping_up
    clock.moment_s += 3600
    keeping.look()
    assert not planned.desk.busy
    planned.making.teller.tell(Verb.START, "louvres.start")
    settle()
    clock.moment_s += 14 * 60
    keeping.look()
    assert not planned.desk.busy
    clock.moment_s += 60
    keeping.look()
    assert pool.of(PlanRequest)
    settle()
