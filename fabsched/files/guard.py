"""Runs a reader in a process of its own, so that a hostile file cannot hang or swallow the program.

The child is a fresh interpreter, started the same way on every platform and from any thread; it
shares no lock, window or file handle with its parent. It ends when the time is up, when the memory
is used up, and when its parent is gone.
"""

import math
import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import IO, TypeVar

from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding

T = TypeVar("T")
Read = tuple[T, tuple[Finding, ...]]
"""What a reader returns: the value and its findings."""
Reader = Callable[[Path, str | None], Read[T]]
"""Reads one file; its second argument is the unit the user named. A function of a module."""

START = (
    "import pickle, sys; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "from fabsched.files.guard import serve; serve()"
)
"""What the child runs: it looks for modules where its parent does."""
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
"""Number libraries set aside address space for each thread, which would use up the limit."""
MB = 1_000_000
WHY_LONGEST = 200
"""Characters kept of a foreign error message."""


def guarded(
    reader: Reader[T], path: Path, unit: str | None, limit_s: float = 20.0, limit_mb: int = 2000
) -> Read[T]:
    """Read a file in a child process with limits.

    Args:
        reader: a function that can be pickled, so one defined at the top of a module.
        path: its first argument.
        unit: its second argument.
        limit_s: wall time, in seconds, the start of the child included.
        limit_mb: address space in MB; not enforced on Windows.

    Returns:
        What the reader returns.

    Raises:
        InputError: whatever the reader refused; or that it crashed, ran out of memory or took too
            long.
    """
    kind = path.suffix.removeprefix(".").upper()
    limits = pickle.dumps((limit_s, limit_mb))
    answer, code = _ask(limits + pickle.dumps((reader, path, unit)), limit_s)
    if code is None:
        raise InputError(Fault.FILE_READER_TIMEOUT, str(path), limit=limit_s)
    if not answer:
        raise InputError(Fault.FILE_READER_FAILED, str(path), kind=kind, why=_ending(code))
    outcome: Read[T] | InputError | str = pickle.loads(answer)  # noqa: S301 - our own child wrote it
    if isinstance(outcome, str):
        raise InputError(Fault.FILE_READER_FAILED, str(path), kind=kind, why=outcome)
    if isinstance(outcome, InputError):
        raise outcome
    return outcome


def _ask(request: bytes, limit_s: float) -> tuple[bytes, int | None]:
    """Start a child, hand it the request and wait.

    Its input stays open until it has answered: an end there tells it that its parent is gone.

    Returns:
        Its answer, and its exit code, None if the time was up.
    """
    late = threading.Event()
    with subprocess.Popen(  # noqa: S603 - our own interpreter on our own code
        [sys.executable, "-c", START],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, **ONE_THREAD},
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    ) as child:
        assert child.stdin is not None  # noqa: S101 - piped above, for the type checker
        assert child.stdout is not None  # noqa: S101 - likewise
        timer = threading.Timer(limit_s, _stop, (child, late))
        timer.daemon = True
        timer.start()
        try:
            answer = _exchange(child.stdin, child.stdout, request)
            child.wait()
        except BaseException:
            child.kill()
            raise
        finally:
            timer.cancel()
            timer.join()
    spent = late.is_set() or child.returncode == -getattr(signal, "SIGXCPU", 0)
    return answer, None if spent else child.returncode


def _stop(child: "subprocess.Popen[bytes]", late: threading.Event) -> None:
    late.set()
    child.kill()


def _exchange(to_child: IO[bytes], from_child: IO[bytes], request: bytes) -> bytes:
    with suppress(OSError):  # a child that is gone already is seen by its missing answer
        to_child.write(pickle.dumps(sys.path) + request)
        to_child.flush()
    return from_child.read()


def _ending(code: int) -> str:
    """How a child ended that gave no answer: the name of the signal, or its exit code."""
    with suppress(ValueError):
        return signal.Signals(-code).name
    return f"exit code {code}"


def serve() -> None:
    """Answer the one request on standard input. Runs in the child.

    What the reader prints goes nowhere, so that it cannot spoil the answer.
    """
    answer_to = os.dup(1)
    with Path(os.devnull).open("wb") as nowhere:
        os.dup2(nowhere.fileno(), 1)
    _limit(*pickle.load(sys.stdin.buffer))  # noqa: S301 - our own parent wrote it
    answer = _outcome(sys.stdin.buffer)
    with open(answer_to, "wb") as file:  # noqa: PTH123 - a descriptor has no path
        file.write(answer)
    os._exit(0)


def _limit(limit_s: float, limit_mb: int) -> None:
    """Bound memory and processor time, where the system can, and end with the parent.

    Processor time is a second line of defence: wall time is watched by the parent.
    """
    threading.Thread(target=_end_with_parent, daemon=True).start()
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - there is none on Windows

    wanted = {
        resource.RLIMIT_AS: limit_mb * MB,
        resource.RLIMIT_CPU: math.ceil(limit_s) + 1,
        resource.RLIMIT_CORE: 0,
    }
    for what, limit in wanted.items():
        with suppress(OSError, ValueError):  # the system's own limit is lower, or it has none
            resource.setrlimit(what, (limit, resource.getrlimit(what)[1]))


def _end_with_parent() -> None:
    """Wait for the end of standard input, whose other end the parent holds."""
    if not os.read(0, 1):
        os._exit(1)


def _outcome(request: IO[bytes]) -> bytes:
    """What the reader returned, refused, or died of, pickled."""
    outcome: Read[object] | InputError | str
    try:
        reader, path, unit = pickle.load(request)  # noqa: S301 - our own parent wrote it
        outcome = reader(path, unit)
        return pickle.dumps(outcome)
    except InputError as error:
        outcome = error
    except MemoryError:
        outcome = "out of memory"
    except Exception as error:  # noqa: BLE001 - the edge of the process: everything becomes an answer
        outcome = f"{type(error).__name__}: {error}".splitlines()[0][:WHY_LONGEST]
    return pickle.dumps(outcome)
