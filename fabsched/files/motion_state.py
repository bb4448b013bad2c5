"""The machine as a motion program sees it, between two lines."""

from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from fabsched.files.motion_text import Floats, Ints
from fabsched.model.units import MM_PER_UNIT

INCH_MM = MM_PER_UNIT["inch"]
ONCE_GROUP, MOTION_GROUP, PLANE_GROUP, WAY_GROUP = 0, 1, 2, 3
FEED_GROUP, UNIT_GROUP, EXACT_GROUP = 5, 6, 13
NO_GROUP, REFUSED = -1, -2
"""Codes the standard does not know; codes that move the path in ways that are not read."""


def _groups() -> NDArray[np.int8]:
    """Modal group of every code with G, in tenths (section 3.3.5, Table 4)."""
    table = np.full(10_000, NO_GROUP, np.int8)
    groups = {
        ONCE_GROUP: (40, 280, 300, 920, 921, 922, 923),
        MOTION_GROUP: (0, 10, 20, 30, 800),
        PLANE_GROUP: (170, 180, 190),
        WAY_GROUP: (900, 910),
        FEED_GROUP: (930, 940),
        UNIT_GROUP: (200, 210),
        7: (400,),
        8: (490,),
        10: (980, 990),
        12: (540,),
        EXACT_GROUP: (610, 611, 640),
        REFUSED: (382, 410, 420, 430, 530, *range(550, 600), *range(810, 900, 10)),
    }
    for group, codes in groups.items():
        table[list(codes)] = group
    return table


GROUP = _groups()
GROUPS = 14
RAPID, STRAIGHT, CLOCKWISE, COUNTER_CLOCKWISE, NO_MOTION = 0, 10, 20, 30, -1
"""Motions by their code with G, in tenths."""
XY_PLANE = 170
M_BASE = -100_000
"""A code with M stands in `Line.detail` as this minus the code, one with G as -1 minus its tenths."""
STOPS = (0, 1, 6, 60)
"""Codes with M after which somebody has to lend a hand."""

ROW = 7
"""Columns of a move: x, y, z where it ends, filament, speed, seconds of standing, exact stop."""
MOST_ROWS = 3
"""Moves one line may make."""


class State(Protocol):
    """The machine between two lines.

    Attributes:
        place: (4,) x, y, z and filament in mm, as the machine counts.
        offset: (4,) place of the machine minus what the program calls it (G92).
        kept: (4,) offset that G92.3 brings back.
        unit_mm: millimetres in one of the program's lengths.
        feed: the number after F.
        motion: code of the motion in force, in tenths; -1 if there is none.
        plane: code of the plane of arcs, in tenths.
        steps: whether words of axes are increments.
        inverse: whether F is inverse time.
        exact: whether the machine stops after every move.
        ended: whether the program is over.
        said_unit: whether a unit was named.
        guessed: whether something moved before.
        homes: how often it went home.
        pauses: how often it waits for somebody.
        positions: how often E was a position on the way.
        backwards: how often that was no further on than the one before.
        group: (14,) code of every modal group on the line at hand, in tenths, or -1.
        target: (4,) where the line at hand leads.
        step: (4,) the way there.
        arc: (4,) the arc at hand: centre from its start, sweep, mean radius.
    """

    place: Floats
    offset: Floats
    kept: Floats
    unit_mm: float
    feed: float
    motion: int
    plane: int
    steps: int
    inverse: int
    exact: int
    ended: int
    said_unit: int
    guessed: int
    homes: int
    pauses: int
    positions: int
    backwards: int
    group: Ints
    target: Floats
    step: Floats
    arc: Floats


WHOLE = (
    "motion",
    "plane",
    "steps",
    "inverse",
    "exact",
    "ended",
    "said_unit",
    "guessed",
    "homes",
    "pauses",
    "positions",
    "backwards",
)
VECTORS = ("place", "offset", "kept", "target", "step", "arc")
STATE = np.dtype(
    (
        np.record,
        [
            *((name, "f8", 4) for name in VECTORS),
            ("unit_mm", "f8"),
            ("feed", "f8"),
            *((name, "i8") for name in WHOLE),
            ("group", "i8", GROUPS),
        ],
    )
)
"""`State` in memory: compiled code passes one pointer instead of counting references to arrays."""


def new_state(unit_mm: float) -> State:
    """A machine at rest at its origin, as a program finds it (section 3.6.1)."""
    state: State = np.zeros(1, STATE)[0]
    state.unit_mm, state.motion, state.plane = unit_mm, NO_MOTION, XY_PLANE
    return state


class Moves(NamedTuple):
    """Moves so far.

    Attributes:
        rows: (room, ROW).
        arcs: (room, 4) index of the move, centre x and y, sweep.
        used: (2,) how many rows of each are in use.
        left_out: (2, 10000) how often codes with G (in tenths) and with M were left out.
    """

    rows: NDArray[np.float64]
    arcs: NDArray[np.float64]
    used: Ints
    left_out: NDArray[np.int64]
