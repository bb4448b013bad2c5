"""Ctrl-C while a plan is searched for: once for the best so far, twice for the end."""

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Thread, current_thread, main_thread
from types import FrameType

from fabsched.cli.tongue import tr
from fabsched.session.pool import Pool


@contextmanager
def content_when_interrupted(pool: Pool, ident: int, say: Callable[[str], None]) -> Iterator[None]:
    """Take the first Ctrl-C to mean that the best so far will do; the next one ends the program.

    Args:
        pool: where the request runs.
        ident: id of the request.
        say: called with what Ctrl-C has done.
    """
    if current_thread() is not main_thread():  # only there a signal can be listened to
        yield
        return

    def content(_number: int, _frame: FrameType | None) -> None:
        signal.signal(signal.SIGINT, before)
        say(tr("Taking the best plan found so far; Ctrl-C once more ends without one."))
        # In a thread of its own: what was interrupted may hold the pool's lock.
        Thread(target=pool.enough, args=(ident,), daemon=True).start()

    before = signal.signal(signal.SIGINT, content)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
