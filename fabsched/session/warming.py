"""Compile what is computed with, once after installing: a minute that should not be spent unseen.

The compiler keeps what it has made beside the modules, or where it may write if not there. A mark is
left in the same place, so that it is known whether that has been done for this very code. Heavy:
imported when a request runs.
"""

import hashlib
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numba
from numba.core import event
from numba.core.dispatcher import Dispatcher

from fabsched.estimate.motion import plan_moves
from fabsched.files.resources import package_folder
from fabsched.model.progress import UNWATCHED, Watch, check

FLOORS = ("files", "estimate", "nest", "odds")
"""Where there is something to compile."""
STAGE = "compiling"
"""Code of the stage that is reported."""


def make_ready(watch: Watch = UNWATCHED) -> None:
    """Have everything compiled, unless it is known to have been.

    Args:
        watch: told of the progress; may stop the work between kernels.

    Raises:
        Cancelled: the watch said stop.
    """
    mark = _mark()
    if mark.exists():
        return
    watch.report(0.0, STAGE)
    _compile(watch)
    try:
        mark.touch()
    except OSError:
        return  # then it is looked for again the next time, at the cost of a second


def _compile(watch: Watch) -> None:
    """Use everything once, in the order in which it is needed."""
    # Imported here, since that takes as long as all else once the mark is there.
    from fabsched.estimate.warm import warm_kernels  # noqa: PLC0415 - see above
    from fabsched.nest.warm import warm_nesting  # noqa: PLC0415 - see above
    from fabsched.odds.warm import warm_kernel  # noqa: PLC0415 - see above

    with event.install_listener("numba:compile", _Counter(watch, kernels())):
        warm_kernels(_Deaf(watch))
        check(watch)
        warm_nesting()
        check(watch)
        warm_kernel()


def _mark() -> Path:
    """The file that is there once everything has been compiled."""
    folder = Path(plan_moves.stats.cache_path or package_folder())
    return folder / f"ready-{_digest()}.mark"


@cache
def _digest() -> str:
    """Digest of the code that is compiled, and of the compiler."""
    digest = hashlib.sha256(numba.__version__.encode())
    for source in _sources():
        digest.update(source.read_bytes())
    return digest.hexdigest()[:16]


def _sources() -> list[Path]:
    """The modules with something to compile."""
    found = (path for floor in FLOORS for path in (package_folder() / floor).rglob("*.py"))
    return sorted(path for path in found if b"@njit" in path.read_bytes())


def kernels() -> set[Dispatcher]:
    """The functions that are compiled, to count them by."""
    modules = [module for name, module in sys.modules.items() if name.startswith("fabsched.")]
    values = (value for module in modules for value in vars(module).values())
    return {value for value in values if isinstance(value, Dispatcher)}


@dataclass(frozen=True, slots=True)
class _Deaf:
    """A watch that passes on the wish to stop, but keeps what it is told to itself."""

    watch: Watch

    def report(self, done: float, stage: str) -> None:
        """Say nothing: progress is counted in kernels."""

    def stopped(self) -> bool:
        """Whether the user wants the computation to end."""
        return self.watch.stopped()


class _Counter(event.Listener):
    """Counts what the compiler has done."""

    def __init__(self, watch: Watch, kernels: set[Dispatcher]) -> None:
        self._watch = watch
        self._count = len(kernels)
        self._left = kernels

    def on_start(self, event: event.Event) -> None:
        """Wait for the end."""

    def on_end(self, event: event.Event) -> None:
        """Say how far it is; some kernels are compiled for several kinds of input."""
        self._left.discard(event.data["dispatcher"])
        self._watch.report(1.0 - len(self._left) / self._count, STAGE)
