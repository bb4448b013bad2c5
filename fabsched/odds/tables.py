"""The weekend as plain arrays, for the compiled simulator.

Moments are int64 seconds since the epoch, durations int64 seconds, everything else a row number.
Windows are rows of `Shop.spans`, set after set, each set closed by a window that nothing reaches; a
set is named by its first row.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Reals = NDArray[np.float64]
Rows = NDArray[np.void]
"""A table of records."""

NONE = -1
"""Stands for no machine, no gate and no run."""

FAR = 2**62
"""End of the window that closes each set: later than `windows.NEVER` plus any duration."""

MASK_BITS = 62
"""Machines are told apart by a bit each; from there on two may share one, which costs only time."""

ENTRY = np.dtype(
    [
        ("alone", np.int64),
        ("machines", np.int64),
        ("splittable", np.int64),
        ("crew", np.int64),
        ("first_spot", np.int64),
        ("end_spot", np.int64),
        ("gate", np.int64),
        ("round", np.int64),
        ("completes", np.int64),
        ("counts", np.int64),
        ("keeps_open", np.int64),
        ("going", np.int64),
        ("going_spot", np.int64),
        ("going_by", np.int64),
        ("going_watch", np.int64),
        ("due", np.int64),
        ("first_follower", np.int64),
        ("first_woken", np.int64),
        ("end_woken", np.int64),
    ]
)
"""One entry of the network.

Fields: whether it is a run that goes on alone; bits of the machines it may take; whether it may lie over pauses; how many people it takes at once; its
spots, from first to before end; for gates their row in `Luck.faults`, or `NONE`,
and the round; the entry that is done when it is (a repeated gate completes the gate); whether the
finish waits for it (copies included); whether a scenario cannot end before it is done; its row in
`Luck.left` if it goes on already, or `NONE`, the spot where it does, who still watches it (or `NONE`)
and for how many seconds; its row in `Luck.due` if it
may start later than told, or `NONE`; its arcs: followers from the first to before the first woken,
woken ones to before the end.
"""

SPOT = np.dtype(
    [
        ("place", np.int64),
        ("machine", np.int64),
        ("hands_s", np.int64),
        ("alone_s", np.int64),
        ("start_s", np.int64),
        ("clear_s", np.int64),
        ("watch_s", np.int64),
        ("stays", np.int64),
        ("fails", np.int64),
        ("like", np.int64),
    ]
)
"""One place or machine of an entry, as `model.steps.Spot`.

`machine` is `NONE` for tasks; `fails` is the row in `Luck.failed`, or `NONE`; `like` is the row of the first spot of the entry from which it differs in nothing but the machine.
"""


class Shop(NamedTuple):
    """What no plan changes.

    Attributes:
        entries: (n,) of `ENTRY`: activities as listed, then copies.
        spots: (m,) of `SPOT`.
        arcs: (k,) rows of entries.
        hours: (people, m) sets of windows in which they may be busy at a spot.
        runs: (people, m) sets of windows in which the machine may run alone that they start.
        up: (people,) sets of windows.
        bases: (people,) places.
        starts: (people,) places where they are at the beginning.
        able: (n, people) whether they may do it.
        alike: (people,) the first one who has the same hours, base and abilities.
        ways: (places, places) seconds.
        spans: (windows, 2) start and end.
    """

    entries: Rows
    spots: Rows
    arcs: Ints
    hours: Ints
    runs: Ints
    up: Ints
    bases: Ints
    starts: Ints
    able: NDArray[np.bool_]
    alike: Ints
    ways: Ints
    spans: Ints


class Program(NamedTuple):
    """What a plan decides.

    Attributes:
        order: (k,) entries that are carried out, or may be, the most urgent first.
        rank: (n,) place in the order of urgency; `NONE` for what is dropped and for its copies.
        waits: (n,) how many entries each waits for.
        earliest: (n,) moments before which nothing of an entry starts.
        leaves: (n,) moments before which nobody sets out for it.
        begin: moment at which everybody is free.
        needed, open: how many entries count, and keep a scenario open, from the beginning.
        turns: how often somebody may act.
        until: what is not done when the next person could act at or after this counts as never
            done; `NEVER` to carry on for as long as there are hours.
    """

    order: Ints
    rank: Ints
    waits: Ints
    earliest: Ints
    leaves: Ints
    begin: int
    needed: int
    open: int
    turns: int
    until: int


class Luck(NamedTuple):
    """What differs from scenario to scenario; the last axis is the scenario.

    Attributes:
        seconds: (m, scenarios) int32 seconds by spot, hands' or machine time.
        failed: (runs, scenarios) uint8 number of failed attempts; a run that does not fail alike on
            all of its machines has a row for each.
        shares: (rows, scenarios) float32 share of the machine time after which an attempt failed.
        first_share: (runs,) row of each run's first attempt in `shares`.
        faults: (gates, scenarios) uint8 number of rounds in which a fault is found.
        left: (going, scenarios) int32 seconds left of what goes on already.
        due: (rows, scenarios) int64 moment before which what may be late does not start.
    """

    seconds: NDArray[np.int32]
    failed: NDArray[np.uint8]
    shares: NDArray[np.float32]
    first_share: Ints
    faults: NDArray[np.uint8]
    left: NDArray[np.int32]
    due: Ints
