"""How long a machine takes along a path: bounded acceleration, speed limits and rounded corners.

Every move speeds up, cruises and brakes (a trapezoid of speed over time, or a triangle where it is
too short to cruise). At a corner the machine need not stop: it may cut it by a small deviation,
which allows the speed of the arc that fits (Kunz & Stilman, "Time-Optimal Trajectory Generation
for Path Following with Bounded Acceleration and Velocity", Robotics: Science and Systems VIII,
2012). A backward and a forward pass then make sure that every speed can be reached and braked
from. The path itself is not shortened by the rounding: at deviations of some hundredths of a
millimetre that is below 0.1 mm a corner.
"""

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
"""One-dimensional float64 array."""
Flags = NDArray[np.uint8]
"""One-dimensional array of zeros and ones."""

STRAIGHT = 1e-12
"""Squared sine of half a turn below which two moves count as one line (2e-6 rad)."""
POINT_MM = 1e-9
"""Moves shorter than this have no direction of their own."""


@njit(cache=True, nogil=True, error_model="numpy")
def move_s(
    length_mm: float, entry_mm_s: float, exit_mm_s: float, speed_mm_s: float, accel_mm_s2: float
) -> float:
    """Seconds for one straight move with given speeds at both ends.

    The peak is min(v, sqrt((2 a d + v0^2 + v1^2) / 2)), from v^2 = v0^2 + 2 a d on both flanks.

    Args:
        length_mm: length d of the move.
        entry_mm_s: speed v0 at its start, reachable and not above the limit.
        exit_mm_s: speed v1 at its end, likewise.
        speed_mm_s: speed limit v.
        accel_mm_s2: acceleration a, the same for speeding up and braking.

    Returns:
        Seconds.
    """
    ends = entry_mm_s * entry_mm_s + exit_mm_s * exit_mm_s
    peak2 = accel_mm_s2 * length_mm + 0.5 * ends
    top2 = speed_mm_s * speed_mm_s
    if peak2 <= top2:
        return (2.0 * math.sqrt(peak2) - entry_mm_s - exit_mm_s) / accel_mm_s2
    ramps_mm = (2.0 * top2 - ends) / (2.0 * accel_mm_s2)
    ramps_s = (2.0 * speed_mm_s - entry_mm_s - exit_mm_s) / accel_mm_s2
    return ramps_s + (length_mm - ramps_mm) / speed_mm_s


@njit(cache=True, nogil=True, error_model="numpy")
def corner_mm2_s2(
    turn_cos: float, before_mm: float, after_mm: float, accel_mm_s2: float, corner_mm: float
) -> float:
    """Squared speed at which a corner may be taken.

    With alpha the turn, l = min(before/2, after/2, corner sin(alpha/2) / (1 - cos(alpha/2))) is the
    distance from the corner at which its arc begins, r = l / tan(alpha/2) the radius of that arc
    and v^2 = a r (Kunz & Stilman 2012).

    Args:
        turn_cos: cosine of the turn alpha; 1 straight on, -1 back.
        before_mm: length of the move before the corner.
        after_mm: length of the move after it.
        accel_mm_s2: acceleration across the path.
        corner_mm: deviation allowed at the corner.

    Returns:
        Square of the speed in (mm/s)^2; infinite straight on, 0 for turning back.
    """
    sine2 = 0.5 * (1.0 - turn_cos)
    if sine2 < STRAIGHT:
        return math.inf
    sine = math.sqrt(sine2)
    cosine = math.sqrt(max(0.0, 0.5 * (1.0 + turn_cos)))
    # corner sin / (1 - cos) written as corner (1 + cos) / sin, which keeps its digits near zero
    reach_mm = min(0.5 * min(before_mm, after_mm), corner_mm * (1.0 + cosine) / sine)
    return accel_mm_s2 * reach_mm * cosine / sine


@njit(cache=True, nogil=True, error_model="numpy")
def measure_joints(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    x: Floats,
    y: Floats,
    accel_mm_s2: Floats,
    stop: Flags,
    corner_mm: float,
    length_mm: Floats,
    corner2: Floats,
) -> None:
    """Fill lengths, and squared speed limits at every joint from corners and stops alone.

    Args:
        x: (n+1,) as for `plan_moves`.
        y: (n+1,) likewise.
        accel_mm_s2: (n,) likewise.
        stop: (n,) likewise.
        corner_mm: likewise.
        length_mm: (n,) receives the lengths.
        corner2: (n+1,) receives the limits in (mm/s)^2; infinite where there is none.
    """
    n = accel_mm_s2.size
    corner2[0] = 0.0
    corner2[n] = 0.0
    px = py = before = 0.0
    for i in range(n):
        dx = x[i + 1] - x[i]
        dy = y[i + 1] - y[i]
        here = math.sqrt(dx * dx + dy * dy)
        length_mm[i] = here
        if i > 0:
            corner2[i] = 0.0 if stop[i] else math.inf
        if here < POINT_MM:
            continue
        ux = dx / here
        uy = dy / here
        if before > 0.0:
            least = min(accel_mm_s2[i], accel_mm_s2[i - 1])
            turn = ux * px + uy * py
            corner2[i] = min(corner2[i], corner_mm2_s2(turn, before, here, least, corner_mm))
        px, py, before = ux, uy, here


@njit(cache=True, nogil=True, error_model="numpy")
def _limit_joints(speed: Floats, corner2: Floats, joint2: Floats) -> None:
    """Squared speed limits at every joint from corners, stops and the moves that meet there."""
    joint2[0] = 0.0
    joint2[speed.size] = 0.0
    for i in range(1, speed.size):
        top = min(speed[i], speed[i - 1])
        joint2[i] = min(top * top, corner2[i])


@njit(cache=True, nogil=True, error_model="numpy")
def brake(accel: Floats, length: Floats, joint2: Floats) -> None:
    """Backward pass: no joint faster than the rest of the path allows to brake from."""
    for i in range(accel.size - 1, -1, -1):
        most = joint2[i + 1] + 2.0 * accel[i] * length[i]
        joint2[i] = min(joint2[i], most)


@njit(cache=True, nogil=True, error_model="numpy")
def ride(speed: Floats, accel: Floats, length: Floats, joint2: Floats, out_s: Floats) -> float:
    """Forward pass: no joint faster than can be reached; fills seconds and returns their sum."""
    total = entry = 0.0
    for i in range(accel.size):
        most = entry * entry + 2.0 * accel[i] * length[i]
        leave = math.sqrt(min(joint2[i + 1], most))
        taken = move_s(length[i], entry, leave, speed[i], accel[i])
        out_s[i] = taken
        total += taken
        entry = leave
    return total


@njit(cache=True, nogil=True, error_model="numpy")
def _around_mm(ax: float, ay: float, bx: float, by: float, cx: float, cy: float) -> float:
    """Radius of the circle through three points, |ab| |bc| |ca| / (4 area); infinite on a line."""
    ux, uy, vx, vy, wx, wy = bx - ax, by - ay, cx - bx, cy - by, cx - ax, cy - ay
    across = ux * vy - uy * vx
    legs2 = (ux * ux + uy * uy) * (vx * vx + vy * vy)
    if across * across <= STRAIGHT * legs2:
        return math.inf
    return 0.5 * math.sqrt(legs2 * (wx * wx + wy * wy)) / abs(across)


@njit(cache=True, nogil=True, error_model="numpy")
def slow_in_curves(x: Floats, y: Floats, speed_mm_s: Floats, curve_mm_s2: float) -> None:
    """Bound the speed of every move by the curves at its ends: v^2 <= a R.

    The rule of corners holds at corners only: between them a curve made of chords is run faster,
    as every chord speeds up and brakes again. This bound (centripetal acceleration, elementary
    mechanics) holds all along. R is the radius of the circle through a corner and the two next to
    it, so that a long straight move that leads into a curve is left alone.

    Args:
        x: (n+1,) coordinates in mm of the corners of the path.
        y: (n+1,) likewise.
        speed_mm_s: (n,) speed limit of each move; lowered in place.
        curve_mm_s2: most acceleration across the path, above zero.
    """
    last = -1
    for i in range(speed_mm_s.size):
        if abs(x[i + 1] - x[i]) + abs(y[i + 1] - y[i]) < POINT_MM:
            continue
        if last >= 0:
            radius = _around_mm(x[last], y[last], x[i], y[i], x[i + 1], y[i + 1])
            most = math.sqrt(curve_mm_s2 * radius)
            speed_mm_s[last] = min(speed_mm_s[last], most)
            speed_mm_s[i] = min(speed_mm_s[i], most)
        last = i


@njit(cache=True, nogil=True, error_model="numpy")
def plan_moves(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    x: Floats,
    y: Floats,
    speed_mm_s: Floats,
    accel_mm_s2: Floats,
    stop: Flags,
    corner_mm: float,
    out_s: Floats,
) -> float:
    """Seconds a path takes from standstill to standstill.

    Moves without length take no time and leave the corner between their neighbours as it is.

    Args:
        x: (n+1,) coordinates in mm of the corners of the path.
        y: (n+1,) likewise.
        speed_mm_s: (n,) speed limit of each move, above zero.
        accel_mm_s2: (n,) acceleration of each move, above zero.
        stop: (n,) 1 where the machine stands still at the start of the move.
        corner_mm: deviation allowed at corners; 0 stops at each.
        out_s: (n,) receives the seconds of each move.

    Returns:
        Their sum.
    """
    length = np.empty(speed_mm_s.size)
    corner2 = np.empty(speed_mm_s.size + 1)
    measure_joints(x, y, accel_mm_s2, stop, corner_mm, length, corner2)
    return ride_over(speed_mm_s, accel_mm_s2, length, corner2, out_s)


@njit(cache=True, nogil=True, error_model="numpy")
def ride_over(
    speed_mm_s: Floats, accel_mm_s2: Floats, length_mm: Floats, corner2: Floats, out_s: Floats
) -> float:
    """The same for a path whose joints have been measured.

    Args:
        speed_mm_s: (n,) as for `plan_moves`.
        accel_mm_s2: (n,) likewise.
        length_mm: (n,) from `measure_joints`.
        corner2: (n+1,) likewise.
        out_s: (n,) receives the seconds of each move.

    Returns:
        Seconds of the whole path.
    """
    joint2 = np.empty(corner2.size)
    _limit_joints(speed_mm_s, corner2, joint2)
    brake(accel_mm_s2, length_mm, joint2)
    return ride(speed_mm_s, accel_mm_s2, length_mm, joint2, out_s)
