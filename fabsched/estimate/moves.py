"""How the time of a print hangs on the speed and acceleration of its machine."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from fabsched.model.estimates import PACES, Moves

SLOWEST_MM_S = 10.0
"""Speed below which laying is not slowed any further to let a layer cool (own assumption)."""


class LayerTime(NamedTuple):
    """What the time of one layer is made of.

    Attributes:
        laying_s: of all moves that lay something down, gaps left out, for each of `EASES`.
        travel_s: of all other moves, likewise.
        gaps_s: of filling what beads leave open.
        still_s: in which the nozzle does not move along the layer.
        laying_mm: length of all that is laid.
    """

    laying_s: tuple[float, ...]
    travel_s: tuple[float, ...]
    gaps_s: float
    still_s: float
    laying_mm: float


def moves_of(layers: Sequence[LayerTime], least_s: float, fixed_s: float) -> Moves:
    """Time a print at all paces and eases.

    A layer that is over too soon to cool is slowed down, at most to `SLOWEST_MM_S`, so that a fast
    machine gains nothing on it.

    Args:
        layers: at least one.
        least_s: least time for one layer.
        fixed_s: heating and cooling down.
    """
    laying, travel = (np.array([layer[k] for layer in layers]) for k in (0, 1))  # (layers, eases)
    gaps, still, laying_mm = np.array([layer[2:] for layer in layers]).T[:, :, np.newaxis]
    rows = []
    for pace in PACES:
        laid = (laying + gaps) / pace
        taken = laid + travel / pace + still
        spare = np.maximum(0.0, laying_mm / SLOWEST_MM_S - laid)
        cool = np.where(laying_mm > 0.0, np.minimum(least_s, taken + spare), 0.0)
        rows.append(tuple(np.maximum(taken, cool).sum(axis=0).tolist()))
    return Moves(fixed_s=fixed_s, moving_s=tuple(rows))
