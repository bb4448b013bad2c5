"""How long the nozzle takes along its trails."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats
from fabsched.estimate.motion import move_s, plan_moves, slow_in_curves
from fabsched.estimate.ordering import (
    INNER,
    OUTER,
    ROLES,
    SOLID,
    SPARSE,
    SUPPORT,
    TRAVEL,
    Trail,
)
from fabsched.model.shop import Filament, Printer

RETRACT_FROM_MM = 1.5
"""Travel longer than this pulls the filament back first (common practice, no published source)."""


class Rates(NamedTuple):
    """How fast each role moves.

    Attributes:
        speed: (ROLES,) mm/s.
        accel: (ROLES,) mm/s^2.
        corner_mm: deviation allowed at corners.
        curve_mm_s2: most acceleration across the path on curves; 0 sets no bound.
    """

    speed: Floats
    accel: Floats
    corner_mm: float
    curve_mm_s2: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Timed:
    """A trail in time.

    Attributes:
        seconds: (ROLES,) spent on each role.
        length_mm: (ROLES,) way of each role.
        retractions: travels before which the filament is pulled back.
        start, end: first and last point.
    """

    seconds: Floats
    length_mm: Floats
    retractions: int
    start: tuple[float, float]
    end: tuple[float, float]


def rates_for(printer: Printer, filament: Filament, thick_mm: float, *, first: bool) -> Rates:
    """Speeds and accelerations of one layer.

    A bead is taken as a box as wide as the bead and as high as the layer, so the melt flow
    (mm^3/s) bounds its speed to flow / (width * height).

    Args:
        printer: the machine.
        filament: what it prints.
        thick_mm: thickness of the layer.
        first: whether it is the layer on the bed.
    """
    motion, build = printer.motion, printer.build
    flow = motion.flow_mm3_s * filament.flow_share / (build.bead_mm * thick_mm)
    most = min(flow, motion.first_layer_mm_s) if first else flow
    speed = np.empty(ROLES)
    speed[OUTER], speed[INNER] = motion.wall_mm_s, motion.inner_mm_s
    speed[SOLID], speed[SPARSE], speed[SUPPORT] = (
        motion.solid_mm_s,
        motion.sparse_mm_s,
        motion.inner_mm_s,
    )
    speed = np.minimum(speed, most)
    speed[TRAVEL] = motion.travel_mm_s
    accel = np.full(ROLES, motion.print_mm_s2)
    accel[OUTER], accel[TRAVEL] = motion.wall_mm_s2, motion.travel_mm_s2
    return Rates(speed, accel, motion.corner_mm, motion.curve_mm_s2)


@njit(cache=True, nogil=True)
def _time(trail: Trail, rates: Rates) -> tuple[Floats, Floats, int]:
    """Seconds and length of each role, and the number of retractions."""
    moves = trail.x.size - 1
    speed, accel, taken = np.empty(moves), np.empty(moves), np.empty(moves)
    stop = np.zeros(moves + 1, np.uint8)
    seconds, length = np.zeros(ROLES), np.zeros(ROLES)
    retractions = 0
    for i in range(moves):
        role = trail.role[i + 1]
        speed[i], accel[i] = rates.speed[role], rates.accel[role]
        way = np.hypot(trail.x[i + 1] - trail.x[i], trail.y[i + 1] - trail.y[i])
        length[role] += way
        if role == TRAVEL and way > RETRACT_FROM_MM:
            retractions += 1
            stop[i] = stop[i + 1] = 1
    if rates.curve_mm_s2 > 0.0:
        slow_in_curves(trail.x, trail.y, speed, rates.curve_mm_s2)
    plan_moves(trail.x, trail.y, speed, accel, stop[:moves], rates.corner_mm, taken)
    for i in range(moves):
        seconds[trail.role[i + 1]] += taken[i]
    return seconds, length, retractions


def timed(trail: Trail, rates: Rates) -> Timed:
    """Time a trail of at least one point, from standstill to standstill."""
    seconds, length, retractions = _time(trail, rates)
    return Timed(
        seconds=seconds,
        length_mm=length,
        retractions=int(retractions),
        start=(float(trail.x[0]), float(trail.y[0])),
        end=(float(trail.x[-1]), float(trail.y[-1])),
    )


def hop_s(way_mm: float, rates: Rates) -> float:
    """Seconds of a straight travel from standstill to standstill."""
    speed, accel = float(rates.speed[TRAVEL]), float(rates.accel[TRAVEL])
    return float(move_s(way_mm, 0.0, 0.0, speed, accel))
