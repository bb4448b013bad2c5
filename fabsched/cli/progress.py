"""Slow work with its progress on stderr, and what it finds on the way."""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar, cast

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TaskProgressColumn, TextColumn

from fabsched.session.pool import Failed, Finished, Pool, events
from fabsched.session.requests import Request
from fabsched.session.wording import stage
from fabsched.session.worker import Progressed

FEW = 3
"""Up to so many requests run in this process: starting others costs more than it saves, half a
second each (measured on two slow cores)."""

ResponseT = TypeVar("ResponseT")


class _Bar:
    """One bar for all requests; nothing is shown where stderr is no terminal."""

    def __init__(self, progress: Progress, total: int) -> None:
        self._progress = progress
        self._task: TaskID = progress.add_task("", total=total)
        self._shares: dict[int, float] = {}

    def set(self, ident: int, done: float, text: str = "") -> None:
        """Say how far one request is."""
        self._shares[ident] = done
        completed = sum(self._shares.values())
        self._progress.update(self._task, completed=completed, description=text)

    @contextmanager
    def aside(self) -> Iterator[None]:
        """Out of the way of what is printed meanwhile."""
        self._progress.stop()
        yield
        self._progress.start()


class _BarWatch:
    """A watch that moves the bar; Ctrl-C ends the work by itself."""

    def __init__(self, bar: _Bar, ident: int, found: Callable[[object], None]) -> None:
        self._bar, self._ident, self._found = bar, ident, found

    def report(self, done: float, stage_code: str) -> None:
        """Show the share done."""
        self._bar.set(self._ident, done, stage(stage_code))

    def stopped(self) -> bool:
        """Never: the exception of Ctrl-C is raised in this very process."""
        return False

    def tell(self, what: object) -> None:
        """Hand on what was found before the end."""
        with self._bar.aside():
            self._found(what)

    def enough(self) -> bool:
        """Never: nobody can say so here."""
        return False


@contextmanager
def _bar(total: int) -> Iterator[_Bar]:
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn())
    console = Console(stderr=True)
    shown = sys.stderr.isatty()
    with Progress(*columns, console=console, transient=True, disable=not shown) as progress:
        yield _Bar(progress, total)


def run_here(
    requests: Sequence[Request[ResponseT]], found: Callable[[object], None] = lambda _: None
) -> list[ResponseT]:
    """Run requests one after the other in this process.

    Args:
        requests: what to run.
        found: called with what is found before the end.

    Returns:
        The responses, in the order of the requests.

    Raises:
        InputError: the input is at fault.
    """
    responses: list[ResponseT] = []
    with _bar(len(requests)) as bar:
        for request in requests:
            responses.append(request.run(_BarWatch(bar, request.id, found)))
            bar.set(request.id, 1.0)
    return responses


def run_in(pool: Pool, requests: Sequence[Request[ResponseT]]) -> list[ResponseT]:
    """Run requests in worker processes; Ctrl-C ends them however busy they are.

    Returns:
        The responses, in the order of the requests.

    Raises:
        InputError: the input is at fault.
        WorkerLost: a worker process died.
    """
    responses: dict[int, Any] = {}
    with _bar(len(requests)) as bar:
        for event in events(pool, requests):
            match event:
                case Progressed(ident, done, code):
                    bar.set(ident, done, stage(code))
                case Finished(ident, response):
                    responses[ident] = response
                    bar.set(ident, 1.0)
                case Failed(_, error):
                    raise error
    return [cast("ResponseT", responses[request.id]) for request in requests]


def run_all(requests: Sequence[Request[ResponseT]]) -> list[ResponseT]:
    """Run requests the quickest way: a few in this process, more in others.

    Raises:
        InputError: the input is at fault.
        WorkerLost: a worker process died.
    """
    if len(requests) <= FEW:
        return run_here(requests)
    with Pool() as pool:
        return run_in(pool, requests)
