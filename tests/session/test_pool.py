"""The pool of worker processes."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from time import monotonic, sleep

import pytest

from fabsched.model.errors import Cancelled, Fault, InputError, WorkerLost
from fabsched.model.progress import UNWATCHED, Watch, check, enough, tell
from fabsched.session import pool as pool_module
from fabsched.session.pool import Event, Failed, Finished, Pool, events
from fabsched.session.worker import Progressed, Worker


@dataclass(frozen=True, slots=True)
class Square:
    """Answers with the square of its id, after saying how far it is."""

    id: int

    def run(self, watch: Watch = UNWATCHED) -> int:
        """Square the id."""
        watch.report(0.5, "squaring")
        return self.id**2


@dataclass(frozen=True, slots=True)
class Refuse:
    """Refuses its input."""

    id: int

    def run(self, watch: Watch = UNWATCHED) -> int:
        """Refuse."""
        check(watch)
        raise InputError(Fault.FILE_TRUNCATED, "parts/lid.stl", have=3, want=84)


@dataclass(frozen=True, slots=True)
class Sleep:
    """Goes on until it is stopped; listens only if asked to."""

    id: int
    listens: bool = True

    def run(self, watch: Watch = UNWATCHED) -> int:
        """Sleep for up to a minute."""
        watch.report(0.0, "sleeping")
        for _ in range(6000):
            sleep(0.01)
            if self.listens:
                check(watch)
        return 0


@dataclass(frozen=True, slots=True)
class Die:
    """Takes its process with it."""

    id: int

    def run(self, watch: Watch = UNWATCHED) -> int:
        """Die as from lack of memory."""
        check(watch)
        os.kill(os.getpid(), signal.SIGKILL)
        return 0


@dataclass(frozen=True, slots=True)
class Search:
    """Finds something better again and again, until that will do."""

    id: int

    def run(self, watch: Watch = UNWATCHED) -> int:
        """Count what was found before it was enough; at most a minute."""
        watch.report(0.3, "search")
        for number in range(1, 6000):
            tell(watch, {"best": number})
            sleep(0.01)
            if enough(watch):
                return number
        return 0


@dataclass(frozen=True, slots=True)
class Unpackable:
    """Answers with something that cannot be pickled."""

    id: int

    def run(self, watch: Watch = UNWATCHED) -> object:
        """Answer with a lock."""
        check(watch)
        return threading.Lock()


@pytest.fixture
def pool() -> Iterator[Pool]:
    """A pool of one worker that must leave nothing behind."""
    with Pool(workers=1) as pool:
        yield pool
    assert not multiprocessing.active_children()
    assert not [thread for thread in threading.enumerate() if thread.name == "fabsched-pool"]


def _last(happened: list[Event]) -> Event:
    return next(event for event in reversed(happened) if not isinstance(event, Progressed))


def test_responses_carry_the_id_of_their_request(pool: Pool) -> None:
    """Each request gets its own response, progress first, and the workers are used again."""
    happened = list(events(pool, [Square(3), Square(5)]))
    ends = {event.id: event.response for event in happened if isinstance(event, Finished)}
    assert ends == {3: 9, 5: 25}
    assert Progressed(3, 0.5, "squaring") in happened


def test_errors_cross_with_their_facts(pool: Pool) -> None:
    """An input error raised in a worker arrives as the same error, with code, place and facts."""
    failed = _last(list(events(pool, [Refuse(1)])))
    assert isinstance(failed, Failed)
    assert isinstance(failed.error, InputError)
    assert failed.error.code is Fault.FILE_TRUNCATED
    assert failed.error.facts == {"have": 3, "want": 84}


def test_cancelling_reaches_a_request_that_listens(pool: Pool) -> None:
    """A cancelled request fails with Cancelled, and its worker lives on for the next one."""
    list(events(pool, [Square(2)]))
    workers = multiprocessing.active_children()
    happened = []
    for event in events(pool, [Sleep(1)]):
        happened.append(event)
        if isinstance(event, Progressed):
            pool.cancel(1)
    failed = _last(happened)
    assert isinstance(failed, Failed)
    assert isinstance(failed.error, Cancelled)
    list(events(pool, [Square(2)]))
    assert multiprocessing.active_children() == workers


def test_cancelling_kills_a_request_that_does_not_listen(
    pool: Pool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A request deaf to its watch is ended all the same, and the next one gets a new worker."""
    monkeypatch.setattr(pool_module, "GRACE_S", 0.1)
    for event in events(pool, [Sleep(1, listens=False)]):
        if isinstance(event, Progressed):
            pool.cancel(1)
        else:
            assert isinstance(event, Failed)
            assert isinstance(event.error, Cancelled)
    assert isinstance(_last(list(events(pool, [Square(2)]))), Finished)


def test_a_waiting_request_can_be_cancelled(pool: Pool) -> None:
    """A request that has not started yet is dropped at once, while the one before it runs on."""
    ended = []
    for event in events(pool, [Sleep(1), Square(2)]):
        if isinstance(event, Progressed):
            pool.cancel(2)
        elif isinstance(event, Failed):
            ended.append(event.id)
            pool.cancel(1)
    assert ended == [2, 1]


def test_what_is_found_on_the_way_is_told_and_may_be_enough(pool: Pool) -> None:
    """Findings cross in order, with the share done; told that they will do, the search ends."""
    found = []
    for event in events(pool, [Search(1)]):
        if isinstance(event, Progressed) and event.what is not None:
            found.append(event.what["best"])
            assert (event.done, event.stage) == (0.3, "search")
            pool.enough(1)
    assert found == list(range(1, len(found) + 1))
    assert event == Finished(1, found[-1])


def test_nobody_who_only_watches_has_enough() -> None:
    """What is found is told to nobody, and the search goes on to its end."""
    tell(UNWATCHED, "something")
    assert not enough(UNWATCHED)


def test_a_dead_worker_is_told_and_replaced(pool: Pool) -> None:
    """A killed process fails only its own request."""
    ends = [
        event for event in events(pool, [Die(1), Square(2)]) if not isinstance(event, Progressed)
    ]
    assert isinstance(ends[0], Failed)
    assert isinstance(ends[0].error, WorkerLost)
    assert ends[1] == Finished(2, 4)


@pytest.mark.parametrize(
    ("fault", "told"), [(BlockingIOError("no process left"), WorkerLost), (TypeError(), TypeError)]
)
def test_a_worker_that_cannot_start_fails_its_request(
    pool: Pool, monkeypatch: pytest.MonkeyPatch, fault: Exception, told: type[Exception]
) -> None:
    """Nobody waits for a process that could not be started; the next request has another try."""

    def fail() -> Worker:
        raise fault

    with monkeypatch.context() as broken:
        broken.setattr(pool_module, "start_worker", fail)
        for event in events(pool, [Square(1), Square(2)]):
            assert isinstance(event, Failed)
            assert isinstance(event.error, told)
    assert _last(list(events(pool, [Square(3)]))) == Finished(3, 9)


def test_a_fault_of_the_pool_itself_ends_every_request(monkeypatch: pytest.MonkeyPatch) -> None:
    """If reading the pipes fails, all who wait are told, and nothing is left running."""

    def fail(*_arguments: object, **_options: object) -> list[object]:
        raise ValueError("in the depths")

    monkeypatch.setattr("fabsched.session.pool.connection.wait", fail)
    pool = Pool(workers=1)
    ends = list(events(pool, [Square(1), Square(2)]))
    assert [str(end.error) for end in ends if isinstance(end, Failed)] == ["in the depths"] * 2
    with pytest.raises(RuntimeError):
        pool.submit(Square(3), lambda _event: None)
    pool.close()
    assert not multiprocessing.active_children()


def test_an_unpackable_response_fails_with_the_reason(pool: Pool) -> None:
    """A response that cannot leave its process is reported instead of hanging."""
    failed = _last(list(events(pool, [Unpackable(1)])))
    assert isinstance(failed, Failed)
    assert "lock" in str(failed.error)


def test_leaving_early_cancels_the_rest(pool: Pool) -> None:
    """Whoever stops listening also stops the work."""
    running = events(pool, [Sleep(1)])
    next(running)
    running.close()  # type: ignore[attr-defined] # a generator behind the Iterator type
    assert isinstance(_last(list(events(pool, [Square(2)]))), Finished)


def test_closing_ends_everything_at_once() -> None:
    """Closing a busy pool kills what runs, tells those who wait, and joins every process."""
    heard: list[Event] = []
    started = threading.Event()
    pool = Pool(workers=1)

    def listen(event: Event) -> None:
        heard.append(event)
        started.set()

    pool.submit(Sleep(1, listens=False), listen)
    pool.submit(Square(2), listen)
    started.wait(20)
    begin = monotonic()
    pool.close()
    assert monotonic() - begin < 5
    assert [type(event) for event in heard if not isinstance(event, Progressed)] == [Failed, Failed]
    assert not multiprocessing.active_children()
    with pytest.raises(RuntimeError):
        pool.submit(Square(3), listen)


def test_a_pool_never_used_starts_nothing() -> None:
    """Opening and closing a pool costs neither process nor thread."""
    before = threading.active_count()
    with Pool():
        assert threading.active_count() == before
        assert not multiprocessing.active_children()
