"""Ctrl-C while a plan is searched for."""

import os
import signal
from collections.abc import Iterator
from threading import Event

import pytest

from fabsched.cli.contentment import content_when_interrupted
from fabsched.session.pool import Pool


class _Pool(Pool):
    """A pool that only notes whose best so far will do."""

    def __init__(self) -> None:
        self.content: list[int] = []
        self.told = Event()

    def enough(self, ident: int) -> None:
        """Note it."""
        self.content.append(ident)
        self.told.set()


@pytest.fixture(autouse=True)
def _interrupts() -> Iterator[None]:
    """Let Ctrl-C be heard, also where a job in the background is to ignore it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def test_the_first_takes_the_best_so_far_and_the_second_ends() -> None:
    """The search is told that it may end, and said so; only then Ctrl-C does what it always does."""
    pool, said = _Pool(), list[str]()
    before = signal.getsignal(signal.SIGINT)
    with content_when_interrupted(pool, 7, said.append):
        os.kill(os.getpid(), signal.SIGINT)
        assert pool.told.wait(10)
        assert (pool.content, len(said)) == ([7], 1)
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before
