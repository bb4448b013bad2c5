"""The far end of the pool: what runs inside a worker process, and how one is started.

Kept light, since every worker imports it before anything else.
"""

import os
import pickle
import signal
import sys
import threading
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import connection, get_context, parent_process, resource_tracker
from multiprocessing.process import BaseProcess
from time import monotonic
from typing import Any

REPORT_S = 0.1
"""Shortest pause between two reports of progress (our own choice: the eye needs no more)."""

LISTEN_S = 0.05
"""Shortest pause between two looks for a wish to cancel (our own choice)."""

Pipe = connection.Connection


@dataclass(frozen=True, slots=True)
class Progressed:
    """A request has got on.

    Attributes:
        id: of the request.
        done: share done, 0 to 1.
        stage: code of the stage, a key of the wording table's `[stage]`.
        what: what was found on the way, see `model.progress.Following`; None for nothing.
    """

    id: int
    done: float
    stage: str
    what: Any = None


@dataclass(frozen=True, slots=True)
class Ended:
    """How a request ended in a worker.

    Attributes:
        id: of the request.
        response: what it returned; None if it raised.
        error: what it raised, or None.
        trace: traceback of that error, for the log.
    """

    id: int
    response: Any = None
    error: BaseException | None = None
    trace: str = ""


@dataclass(slots=True)
class Worker:
    """A worker process as the pool sees it.

    Attributes:
        process: the process.
        pipe: our end of the pipe to it.
    """

    process: BaseProcess
    pipe: Pipe


def start_worker() -> Worker:
    """Spawn a process that waits for requests.

    Spawned, not forked: a forked child of a process with threads and a window may hang.

    Raises:
        OSError: there is no memory or no process left.
    """
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=serve, args=(theirs,), name="fabsched-worker", daemon=True)
    try:
        with interrupts_held_back():
            process.start()
    except BaseException:
        ours.close()
        raise
    finally:
        theirs.close()
    return Worker(process, ours)


@contextmanager
def interrupts_held_back() -> Iterator[None]:
    """Keep Ctrl-C waiting until something has been started, which then is deaf to it.

    A terminal sends it to the whole group. The owner of the pool hears it and decides; a child
    interrupted while it starts would print a traceback.
    """
    if sys.platform == "win32":
        yield
        return
    resource_tracker.ensure_running()  # started with the first process, it would let Ctrl-C through
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ())
    try:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def serve(pipe: Pipe) -> None:
    """Answer requests until the pipe is closed. Runs in the worker process.

    Args:
        pipe: brings `("run", id, request)`, `("cancel", id)` and `("enough", id)`, pickled; takes `Progressed` and `Ended`.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    try:
        while True:
            match pickle.loads(pipe.recv_bytes()):  # noqa: S301 - from our own parent process
                case "run", ident, packed:
                    pipe.send_bytes(_packed(_answer(ident, packed, PipeWatch(pipe, ident))))
                case _:
                    pass  # a wish that came after the end
    except (EOFError, OSError):
        return  # the pool was closed


def _end_with_parent() -> None:
    """End this process as soon as the one that owns the pool has gone, however busy it is."""
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)


def _answer(ident: int, packed: bytes, watch: "PipeWatch") -> Ended:
    try:
        request = pickle.loads(packed)  # noqa: S301 - from our own parent process
        return Ended(ident, response=request.run(watch))
    except BaseException as error:  # noqa: BLE001 - the edge of a process: nothing may be lost
        return Ended(ident, error=error, trace=traceback.format_exc())


def _packed(ended: Ended) -> bytes:
    """Pickle an ending; what cannot be pickled is reported as text."""
    try:
        packed = pickle.dumps(ended)
        pickle.loads(packed)  # noqa: S301 - made one line above
    except Exception as error:  # noqa: BLE001 - foreign exceptions fail in any way they like
        text = f"{error!r} while packing {ended.error or ended.response!r}\n{ended.trace}"
        return pickle.dumps(Ended(ended.id, error=RuntimeError(text), trace=ended.trace))
    return packed


class PipeWatch:
    """A watch whose other end is the pool."""

    def __init__(self, pipe: Pipe, ident: int) -> None:
        self._pipe = pipe
        self._ident = ident
        self._stop = self._enough = False
        self._last = (0.0, "")
        self._told_at = self._heard_at = -1.0

    def report(self, done: float, stage: str) -> None:
        """Pass the report on, unless the last one has just been."""
        now, self._last = monotonic(), (done, stage)
        if now - self._told_at >= REPORT_S:
            self._told_at = now
            self._pipe.send_bytes(pickle.dumps(Progressed(self._ident, done, stage)))

    def stopped(self) -> bool:
        """Whether the pool has asked for an end."""
        self._listen()
        return self._stop

    def tell(self, what: object) -> None:
        """Pass on what was found, however short ago the last report was."""
        self._pipe.send_bytes(pickle.dumps(Progressed(self._ident, *self._last, what)))

    def enough(self) -> bool:
        """Whether the pool has said that the best so far will do."""
        self._listen()
        return self._enough

    def _listen(self) -> None:
        """Hear what the pool wants, unless that was looked for just now."""
        now = monotonic()
        if now - self._heard_at < LISTEN_S:
            return
        self._heard_at = now
        while not self._stop and self._pipe.poll():
            message = pickle.loads(self._pipe.recv_bytes())  # noqa: S301 - from our own parent
            self._stop |= message == ("cancel", self._ident)
            self._enough |= message == ("enough", self._ident)
