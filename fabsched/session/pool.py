"""One small pool of local processes for everything slow.

Each worker is a spawned process at the other end of a pipe. One reader thread listens to all pipes
and calls back with progress, responses and errors; whoever needs them on another thread (a window)
passes them on. A cancelled request first hears of it through its watch; a worker that does not
listen is killed after a moment and replaced, so that cancelling always works. Workers end when the
pool is closed, and by themselves when the process that owns the pool has gone.
"""

import os
import pickle
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import Pipe, connection
from queue import SimpleQueue
from time import monotonic
from types import TracebackType
from typing import Any, Self

from fabsched.model.errors import Cancelled, WorkerLost
from fabsched.session.requests import Request
from fabsched.session.worker import Ended, Progressed, Worker, interrupts_held_back, start_worker

MAX_WORKERS = 4
"""More processes cost more memory than they save time on a maker's few parts (our own choice)."""

GRACE_S = 3.0
"""How long a cancelled request may go on before its process is killed (our own choice)."""


@dataclass(frozen=True, slots=True)
class Finished:
    """A request has ended with a response.

    Attributes:
        id: of the request.
        response: what its `run` returned.
    """

    id: int
    response: Any


@dataclass(frozen=True, slots=True)
class Failed:
    """A request has ended without a response.

    Attributes:
        id: of the request.
        error: what its `run` raised; `Cancelled` if it was cancelled, `WorkerLost` if its process
            died; anything outside our error family is a bug.
    """

    id: int
    error: BaseException


Event = Progressed | Finished | Failed
"""What a request tells: any number of `Progressed`, then exactly one `Finished` or `Failed`."""

Listener = Callable[[Event], None]
"""Called on the reader thread; must return quickly and must not raise."""


@dataclass(slots=True)
class _Job:
    """A request on its way.

    Attributes:
        id: of the request.
        packed: the request, pickled.
        tell: where its events go.
        worker: who runs it; None while it waits.
        kill_at: when its worker is killed (monotonic seconds); None unless it was cancelled.
        asked: whether its worker has been asked to stop.
        content: whether the best it has so far will do, and its worker has not been told so.
    """

    id: int
    packed: bytes
    tell: Listener
    worker: Worker | None = None
    kill_at: float | None = None
    asked: bool = False
    content: bool = False


class Pool:
    """Runs requests in worker processes, which are started when they are first needed.

    Safe to use from any thread. Use it as a context manager, or call `close`.
    """

    def __init__(self, workers: int | None = None) -> None:
        """Make a pool; no process or thread is started yet.

        Args:
            workers: most processes at a time; by default one per processor, at most `MAX_WORKERS`.
        """
        self._most = workers or min(MAX_WORKERS, _processors())
        self._lock = threading.RLock()
        self._waiting: deque[_Job] = deque()
        self._running: list[_Job] = []
        self._idle: list[Worker] = []
        self._closed = False
        self._roused = False
        self._reader: threading.Thread | None = None
        self._woken, self._wake = Pipe(duplex=False)

    def __enter__(self) -> Self:
        """The pool itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the pool."""
        self.close()

    def submit(self, request: Request[Any], tell: Listener) -> int:
        """Queue a request.

        Args:
            request: what to run.
            tell: called with its events, on the reader thread.

        Returns:
            The request's id, for `cancel`.

        Raises:
            RuntimeError: the pool is closed.
        """
        job = _Job(request.id, pickle.dumps(request), tell)
        with self._lock:
            if self._closed:
                raise RuntimeError("the pool is closed")
            self._waiting.append(job)
            self._start_reader()
        self._rouse()
        return job.id

    def cancel(self, ident: int) -> None:
        """End a request; it fails with `Cancelled`. Unknown and finished ones are left alone."""
        with self._lock:
            for job in [*self._waiting, *self._running]:
                if job.id == ident and job.kill_at is None:
                    job.kill_at = monotonic() + GRACE_S
        self._rouse()

    def enough(self, ident: int) -> None:
        """Let a request end with the best it has so far, if it searches; others are left alone."""
        with self._lock:
            for job in [*self._waiting, *self._running]:
                job.content |= job.id == ident
        self._rouse()

    def close(self) -> None:
        """End everything at once and wait until all processes have gone.

        Requests under way fail with `Cancelled`. Closing twice does nothing.
        """
        with self._lock:
            self._closed = True
            reader = self._reader
        self._rouse()
        if reader is None:
            self._end_all(Cancelled())
        elif reader is not threading.current_thread():
            reader.join()

    def _start_reader(self) -> None:
        if self._reader is None:
            reader = threading.Thread(target=self._read, name="fabsched-pool", daemon=True)
            with interrupts_held_back():  # half started, it could not be waited for
                reader.start()
                self._reader = reader

    def _rouse(self) -> None:
        """Make the reader thread look around."""
        with self._lock:
            if not self._roused and not self._wake.closed:
                self._roused = True
                self._wake.send_bytes(b"!")

    # Everything below runs on the reader thread.

    def _read(self) -> None:
        error: BaseException = Cancelled()
        try:
            while not self._closed:
                self._turn()
        except Exception as fault:  # noqa: BLE001 - whoever waits must not wait for ever
            error = fault
        self._tell(self._end_all(error))

    def _turn(self) -> None:
        self._tell(self._drop_cancelled())
        self._tell(self._hand_out())
        self._pass_on_contentment()
        ready = connection.wait(self._listened_to(), timeout=self._patience_s())
        if self._woken in ready:
            self._wake_up()
        self._tell(self._heard(ready))

    def _wake_up(self) -> None:
        with self._lock:
            self._woken.recv_bytes()
            self._roused = False

    def _listened_to(self) -> list[Any]:
        pipes = [job.worker.pipe for job in self._running if job.worker is not None]
        return [self._woken, *pipes]

    def _patience_s(self) -> float | None:
        """Seconds until the next worker is to be killed; None if none is."""
        with self._lock:
            due = [job.kill_at for job in self._running if job.kill_at is not None]
        return max(0.0, min(due) - monotonic()) if due else None

    def _tell(self, events: list[tuple[_Job, Event]]) -> None:
        """Call listeners without holding the lock, so that they may use the pool."""
        for job, event in events:
            job.tell(event)

    def _drop_cancelled(self) -> list[tuple[_Job, Event]]:
        """Ask cancelled jobs to stop; take out those that wait or do not listen."""
        with self._lock:
            unstarted = [job for job in self._waiting if job.kill_at is not None]
            deaf = [job for job in self._running if _overdue(job)]
            self._waiting = deque(job for job in self._waiting if job.kill_at is None)
            self._running = [job for job in self._running if job not in deaf]
            unasked = [job for job in self._running if job.kill_at is not None and not job.asked]
        for job in unasked:
            _ask_to_stop(job)
        for job in deaf:
            _kill(job.worker)
        return [(job, Failed(job.id, Cancelled())) for job in (*unstarted, *deaf)]

    def _pass_on_contentment(self) -> None:
        """Tell workers of requests whose best so far will do."""
        with self._lock:
            content = [job for job in self._running if job.content]
        for job in content:
            job.content = False
            if job.worker is not None:
                _send(job.worker, ("enough", job.id))

    def _hand_out(self) -> list[tuple[_Job, Event]]:
        """Give waiting jobs to workers, starting more of these as far as allowed."""
        lost: list[tuple[_Job, Event]] = []
        while (job := self._next_job()) is not None:
            try:
                job.worker = self._idle.pop() if self._idle else start_worker()
            except Exception as fault:  # noqa: BLE001 - it is this job's end, whatever it is
                self._retire(job, reusable=False)
                # The platform complains if no memory or no process is left.
                error = WorkerLost() if isinstance(fault, OSError) else fault
                lost.append((job, Failed(job.id, error)))
            else:
                _send(job.worker, ("run", job.id, job.packed))
        return lost

    def _next_job(self) -> _Job | None:
        with self._lock:
            if not self._waiting or len(self._running) >= self._most:
                return None
            job = self._waiting.popleft()
            self._running.append(job)
            return job

    def _heard(self, ready: list[Any]) -> list[tuple[_Job, Event]]:
        """Turn what came in over the pipes into events."""
        talking = [job for job in self._running if job.worker and job.worker.pipe in ready]
        return [(job, event) for job in talking if (event := self._hear(job)) is not None]

    def _hear(self, job: _Job) -> Event | None:
        assert job.worker is not None  # noqa: S101 - only running jobs are heard
        try:
            message = pickle.loads(job.worker.pipe.recv_bytes())  # noqa: S301 - from our own child
        except (EOFError, OSError):
            self._retire(job, reusable=False)
            return Failed(job.id, Cancelled() if job.kill_at is not None else WorkerLost())
        if isinstance(message, Progressed):
            return None if job.kill_at else message
        self._retire(job, reusable=True)
        return _outcome(job, message)

    def _retire(self, job: _Job, *, reusable: bool) -> None:
        with self._lock:
            self._running.remove(job)
        if reusable and job.worker is not None:
            self._idle.append(job.worker)
        else:
            _kill(job.worker)

    def _end_all(self, error: BaseException) -> list[tuple[_Job, Event]]:
        """End every process: work is pure, so killing it loses nothing."""
        with self._lock:
            self._closed = True
            jobs = [*self._waiting, *self._running]
            self._waiting.clear()
            self._running.clear()
        for worker in (*self._idle, *(job.worker for job in jobs)):
            _kill(worker)
        with self._lock:
            self._woken.close()
            self._wake.close()
        return [(job, Failed(job.id, error)) for job in jobs]


def events(pool: Pool, requests: Sequence[Request[Any]]) -> Iterator[Event]:
    """Run requests and give their events on the calling thread, until the last has ended.

    Leaving the loop early cancels what is still under way.
    """
    heard: SimpleQueue[Event] = SimpleQueue()
    left = {pool.submit(request, heard.put) for request in requests}
    try:
        while left:
            event = heard.get()
            if not isinstance(event, Progressed):
                left.discard(event.id)
            yield event
    finally:
        for ident in left:
            pool.cancel(ident)


def _outcome(job: _Job, ended: Ended) -> Event:
    if job.kill_at is not None:
        return Failed(job.id, Cancelled())
    if ended.error is None:
        return Finished(job.id, ended.response)
    if ended.trace:
        ended.error.add_note(f"In the worker process:\n{ended.trace}")
    return Failed(job.id, ended.error)


def _overdue(job: _Job) -> bool:
    return job.kill_at is not None and job.kill_at <= monotonic()


def _ask_to_stop(job: _Job) -> None:
    job.asked = True
    if job.worker is not None:
        _send(job.worker, ("cancel", job.id))


def _send(worker: Worker, message: tuple[Any, ...]) -> None:
    """Send a message; a worker that has died is noticed when its pipe is read."""
    try:
        worker.pipe.send_bytes(pickle.dumps(message))
    except OSError:
        return


def _kill(worker: Worker | None) -> None:
    if worker is not None:
        worker.process.kill()
        worker.process.join()
        worker.process.close()
        worker.pipe.close()


def _processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
