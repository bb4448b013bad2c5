"""Readers that misbehave, each in its own way; they run in a child process."""

import ctypes
import os
import sys
import time
from pathlib import Path
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from fabsched.files.guard import Read
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark


def sound(path: Path, unit: str | None) -> Read[tuple[NDArray[np.float64], str | None, int]]:
    """Return an array, the unit and the own process id, with a finding."""
    finding = Finding(code=Remark.UNIT_ASSUMED, where=str(path), facts={"unit": "mm"})
    return (np.arange(100_000.0), unit, os.getpid()), (finding,)


def talkative(_path: Path, _unit: str | None) -> Read[int]:
    """Write much to both outputs, by Python and beneath it."""
    print("x" * 1_000_000, flush=True)  # noqa: T201 - that is its defect
    os.write(1, b"y" * 1_000_000)
    os.write(2, b"z" * 1_000_000)
    return 7, ()


def refusing(path: Path, _unit: str | None) -> NoReturn:
    """Find the input at fault."""
    raise InputError(Fault.NO_OUTLINES, str(path), count=3)


def failing(_path: Path, _unit: str | None) -> NoReturn:
    """Raise what a library might."""
    raise KeyError("first line\nsecond line")


def recursing(path: Path, unit: str | None) -> Read[int]:
    """Call itself without end."""
    return recursing(path, unit)


def hoarding(_path: Path, _unit: str | None) -> Read[int]:
    """Ask for more memory than is allowed, piece by piece."""
    held = [np.empty(10_000_000) for _ in range(100_000)]
    return len(held), ()


def crashing(_path: Path, _unit: str | None) -> NoReturn:
    """Read from address zero."""
    ctypes.string_at(0)
    raise AssertionError


def leaving(_path: Path, _unit: str | None) -> NoReturn:
    """End the process without a word."""
    sys.exit(3)


def sleeping(_path: Path, _unit: str | None) -> NoReturn:
    """Wait for ever."""
    while True:
        time.sleep(60)


def spinning(path: Path, _unit: str | None) -> NoReturn:
    """Compute for ever, once it has left its process id in the file."""
    path.write_text(str(os.getpid()))
    while True:
        pass


def unpicklable(_path: Path, _unit: str | None) -> Read[object]:
    """Return what cannot be sent."""
    return (lambda: None), ()
