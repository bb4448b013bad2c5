"""Windows as rows of a table, compiled: what `model.windows` does for one set, for the simulator."""

from typing import Any

from numba import njit

from fabsched.model.windows import NEVER
from fabsched.odds.tables import Ints

OPTIONS: dict[str, Any] = {"cache": True, "_nrt": False}
"""How the simulator is compiled.

`_nrt` is numba's own switch for counting references. It is off: nothing here makes or keeps an
array, and the counting would take nine tenths of the time.
"""

inlined = njit(forceinline=True, **OPTIONS)
"""Compiles all but the entry point: handing the tables from function to function costs as well."""


@inlined
def window_at(spans: Ints, seen: Ints, hours: int, now: int) -> int:
    """First window of a set that ends after now; remembered, since now only moves on."""
    i: int = seen[hours]
    while spans[i, 1] <= now:
        i += 1
    seen[hours] = i
    return i


@inlined
def next_open(spans: Ints, i: int, moment: int) -> int:
    """As `Windows.next_open`, from a window on."""
    while spans[i, 1] <= moment:
        i += 1
    found: int = min(max(spans[i, 0], moment), NEVER)
    return found


@inlined
def first_fit(spans: Ints, i: int, moment: int, seconds: int) -> int:
    """As `Windows.first_fit`, from a window on."""
    while spans[i, 1] <= moment or max(spans[i, 0], moment) + seconds > spans[i, 1]:
        i += 1
    found: int = min(max(spans[i, 0], moment), NEVER)
    return found


@inlined
def add(spans: Ints, i: int, moment: int, seconds: int) -> int:
    """As `Windows.add`, from a window on."""
    if seconds <= 0:
        return moment
    while True:
        begin: int = max(spans[i, 0], moment)
        if begin >= NEVER:
            return NEVER
        if begin + seconds <= spans[i, 1]:
            return begin + seconds
        seconds -= max(0, spans[i, 1] - begin)
        i += 1
