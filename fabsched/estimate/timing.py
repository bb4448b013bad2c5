"""How long the nozzle takes along its trails."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Flags, Floats
from fabsched.estimate.motion import measure_joints, move_s, ride_over, slow_in_curves
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
from fabsched.model.estimates import EASES
from fabsched.model.materials import Filament
from fabsched.model.shop import Printer

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
        eased_s: (eases, 2) seconds of laying and of travel for each of `EASES`.
        start, end: first and last point.
    """

    seconds: Floats
    length_mm: Floats
    retractions: int
    eased_s: Floats
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


_EASES = np.array(EASES)
"""As an array, which compiled code takes."""


@njit(cache=True, nogil=True)
def _pace(
    trail: Trail, rates: Rates, speed: Floats, accel: Floats, stop: Flags, length: Floats
) -> int:
    """Fill the limits of every move, stops, and the length of each role; count retractions."""
    retractions = 0
    for i in range(speed.size):
        role = trail.role[i + 1]
        speed[i], accel[i] = rates.speed[role], rates.accel[role]
        way = np.hypot(trail.x[i + 1] - trail.x[i], trail.y[i + 1] - trail.y[i])
        length[role] += way
        if role == TRAVEL and way > RETRACT_FROM_MM:
            retractions += 1
            stop[i] = stop[i + 1] = 1
    return retractions


@njit(cache=True, nogil=True)
def _time(trail: Trail, rates: Rates, eases: Floats, eased: Floats) -> tuple[Floats, Floats, int]:
    """Seconds and length of each role, and the number of retractions; fills `eased`.

    The path is measured once: corners are taken at squares of speeds that grow with acceleration.
    """
    moves = trail.x.size - 1
    speed, accel, taken = np.empty(moves), np.empty(moves), np.empty(moves)
    stop = np.zeros(moves + 1, np.uint8)
    seconds, length = np.zeros(ROLES), np.zeros(ROLES)
    retractions = _pace(trail, rates, speed, accel, stop, length)
    way, corner2 = np.empty(moves), np.empty(moves + 1)
    measure_joints(trail.x, trail.y, accel, stop[:moves], rates.corner_mm, way, corner2)
    for k in range(eases.size):
        limit = speed
        if rates.curve_mm_s2 > 0.0:
            limit = speed.copy()
            slow_in_curves(trail.x, trail.y, limit, rates.curve_mm_s2 * eases[k])
        ride_over(limit, accel * eases[k], way, corner2 * eases[k], taken)
        for i in range(moves):
            role = trail.role[i + 1]
            eased[k, int(role == TRAVEL)] += taken[i]
            if eases[k] == 1.0:
                seconds[role] += taken[i]
    return seconds, length, retractions


def timed(trail: Trail, rates: Rates) -> Timed:
    """Time a trail of at least one point, from standstill to standstill."""
    eased = np.zeros((len(EASES), 2))
    seconds, length, retractions = _time(trail, rates, _EASES, eased)
    return Timed(
        seconds=seconds,
        length_mm=length,
        retractions=int(retractions),
        eased_s=eased,
        start=(float(trail.x[0]), float(trail.y[0])),
        end=(float(trail.x[-1]), float(trail.y[-1])),
    )


def hop_s(way_mm: float, rates: Rates, ease: float = 1.0) -> float:
    """Seconds of a straight travel from standstill to standstill.

    Args:
        way_mm: its length.
        rates: speeds and accelerations.
        ease: acceleration over that of `rates`.
    """
    speed, accel = float(rates.speed[TRAVEL]), ease * float(rates.accel[TRAVEL])
    return float(move_s(way_mm, 0.0, 0.0, speed, accel))
