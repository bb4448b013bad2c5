"""How long a machine takes for the moves of a program: in space, arcs kept whole.

The same rules as in `estimate.motion`, for moves that may rise and run along arcs. An arc needs no
chords: its length is exact, its ends have directions, and its speed is bounded by v^2 <= a R, which
is what the rule of corners gives for chords that are fine enough.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.estimate.arrays import Flags, Floats, Ints
from fabsched.estimate.motion import POINT_MM, brake, corner_mm2_s2, move_s, ride
from fabsched.model.shapes import Program

LAYING, TRAVEL, PULLING, DWELLING = range(4)
KINDS = 4
"""What a move does: lays plastic down, goes somewhere, moves filament on the spot, stands still."""
LIFT_MM_S = 5.0
"""Speed of rapid moves up and down (own assumption, as for the lift between layers)."""


class Course(NamedTuple):
    """The moves of a program as plain arrays; see `Program` for those not named here.

    Attributes:
        stop: (n,) 1 where the machine stops after the move.
        arc_move, centre, sweep: (k,), (k, 2), (k,) the arcs.
    """

    points: NDArray[np.float64]
    filament: Floats
    speed: Floats
    dwell: Floats
    stop: Flags
    arc_move: Ints
    centre: NDArray[np.float64]
    sweep: Floats


class Rules(NamedTuple):
    """What a machine allows.

    Attributes:
        travel_mm_s: speed of rapid moves.
        laying_mm_s2: acceleration while laying down, and of the filament itself.
        travel_mm_s2: acceleration of all other moves.
        corner_mm: deviation allowed at corners.
        curve_mm_s2: most acceleration across the path; 0 takes that of the move.
    """

    travel_mm_s: float
    laying_mm_s2: float
    travel_mm_s2: float
    corner_mm: float
    curve_mm_s2: float


class Ways(NamedTuple):
    """What each move is bound by.

    Attributes:
        length: (n,) mm along the path.
        kind: (n,) see `KINDS`.
        speed: (n,) mm/s.
        accel: (n,) mm/s^2.
    """

    length: Floats
    kind: Flags
    speed: Floats
    accel: Floats


def course_of(program: Program) -> Course:
    """The arrays of a program, always of one layout, so that kernels are compiled once."""
    arcs = program.arcs
    return Course(
        points=_floats(program.points_mm),
        filament=_floats(program.filament_mm),
        speed=_floats(program.speed_mm_s),
        dwell=_floats(program.dwell_s),
        stop=program.exact.astype(np.uint8),
        arc_move=arcs.move.astype(np.int64),
        centre=_floats(arcs.centre_mm),
        sweep=_floats(arcs.sweep_rad),
    )


def _floats(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.require(values, np.float64, ["C", "W"])


@njit(cache=True, nogil=True, error_model="numpy")
def _radius(course: Course, arc: int, corner: int) -> float:
    """Distance of a point from the centre of an arc."""
    return math.hypot(
        course.points[corner, 0] - course.centre[arc, 0],
        course.points[corner, 1] - course.centre[arc, 1],
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _around_mm(course: Course, arc: int, move: int) -> float:
    """Length of an arc seen from above; its radius is the mean of those at its ends."""
    radius = 0.5 * (_radius(course, arc, move) + _radius(course, arc, move + 1))
    return float(abs(course.sweep[arc])) * radius


@njit(cache=True, nogil=True, error_model="numpy")
def _kind(filament_mm: float, length_mm: float, dwell_s: float) -> int:
    if dwell_s > 0.0:
        return DWELLING
    if length_mm < POINT_MM:
        return PULLING if filament_mm != 0.0 else TRAVEL
    return LAYING if filament_mm > 0.0 else TRAVEL


@njit(cache=True, nogil=True, error_model="numpy")
def _limit(speed: float, length: float, rise: float, rules: Rules) -> float:
    """Speed of a move: as programmed, or what the machine travels at."""
    if speed > 0.0:
        return speed
    if rise == 0.0:
        return rules.travel_mm_s
    return float(min(rules.travel_mm_s, LIFT_MM_S * length / abs(rise)))


@njit(cache=True, nogil=True, error_model="numpy")
def ways_of(course: Course, rules: Rules) -> Ways:
    """Lengths and limits of all moves."""
    n = course.speed.size
    ways = Ways(np.empty(n), np.empty(n, np.uint8), np.empty(n), np.empty(n))
    arc = 0
    for i in range(n):
        dx = course.points[i + 1, 0] - course.points[i, 0]
        dy = course.points[i + 1, 1] - course.points[i, 1]
        dz = course.points[i + 1, 2] - course.points[i, 2]
        curved = arc < course.sweep.size and course.arc_move[arc] == i
        flat = _around_mm(course, arc, i) if curved else math.hypot(dx, dy)
        length = math.hypot(flat, dz)
        kind = _kind(course.filament[i], length, course.dwell[i])
        ways.length[i], ways.kind[i] = length, kind
        laying = kind in (LAYING, PULLING)
        ways.accel[i] = rules.laying_mm_s2 if laying else rules.travel_mm_s2
        ways.speed[i] = _limit(course.speed[i], length, dz, rules)
        if curved:
            across = min(ways.accel[i], rules.curve_mm_s2 or math.inf)
            radius = flat / abs(course.sweep[arc])
            steep = length / max(flat, POINT_MM)
            ways.speed[i] = min(ways.speed[i], max(math.sqrt(across * radius), POINT_MM) * steep)
            arc += 1
    return ways


@njit(cache=True, nogil=True, error_model="numpy")
def _heading(
    course: Course, move: int, arc: int, at_end: int, length_mm: float, out: Floats
) -> None:
    """Unit vector along the path at the start or the end of a move; `arc` is -1 if it is straight."""
    rise = course.points[move + 1, 2] - course.points[move, 2]
    out[2] = rise / length_mm
    if arc < 0:
        out[0] = (course.points[move + 1, 0] - course.points[move, 0]) / length_mm
        out[1] = (course.points[move + 1, 1] - course.points[move, 1]) / length_mm
        return
    corner = move + at_end
    radius = max(_radius(course, arc, corner), POINT_MM)
    flat = math.sqrt(max(0.0, 1.0 - out[2] * out[2])) / radius
    turn = flat if course.sweep[arc] > 0.0 else -flat
    out[0] = -turn * (course.points[corner, 1] - course.centre[arc, 1])
    out[1] = turn * (course.points[corner, 0] - course.centre[arc, 0])


@njit(cache=True, nogil=True, error_model="numpy")
def _limit_joints(course: Course, ways: Ways, corner_mm: float, joint2: Floats) -> None:
    """Fill squared speed limits at every joint from corners, limits and stops."""
    n = ways.speed.size
    joint2[0] = joint2[n] = before_mm = 0.0
    before, after = np.zeros(3), np.zeros(3)
    arc = 0
    for i in range(n):
        if i > 0:
            joint2[i] = min(ways.speed[i], ways.speed[i - 1]) ** 2
            if course.stop[i - 1] or _stands(ways.kind[i]) or _stands(ways.kind[i - 1]):
                joint2[i] = 0.0
        here = ways.length[i]
        while arc < course.sweep.size and course.arc_move[arc] < i:
            arc += 1
        curved = arc < course.sweep.size and course.arc_move[arc] == i
        if _stands(ways.kind[i]):
            before_mm = 0.0
        if here < POINT_MM or _stands(ways.kind[i]):
            continue
        _heading(course, i, arc if curved else -1, 0, here, after)
        if before_mm > 0.0:
            turn = before[0] * after[0] + before[1] * after[1] + before[2] * after[2]
            least = min(ways.accel[i], ways.accel[i - 1])
            corner2 = corner_mm2_s2(turn, before_mm, here, least, corner_mm)
            joint2[i] = min(joint2[i], corner2)
        _heading(course, i, arc if curved else -1, 1, here, before)
        before_mm = here


@njit(cache=True, nogil=True, error_model="numpy")
def _stands(kind: int) -> bool:
    """Whether the machine stands still in a move of a kind."""
    return kind in (PULLING, DWELLING)


@njit(cache=True, nogil=True, error_model="numpy")
def time_course(course: Course, ways: Ways, corner_mm: float, out_s: Floats) -> Floats:
    """Seconds of a program from standstill to standstill.

    Args:
        course: its moves.
        ways: what they are bound by.
        corner_mm: deviation allowed at corners; 0 stops at each.
        out_s: (n,) receives the seconds of each move.

    Returns:
        (KINDS,) seconds of each kind.
    """
    n = ways.speed.size
    joint2, seconds = np.empty(n + 1), np.zeros(KINDS)
    _limit_joints(course, ways, corner_mm, joint2)
    brake(ways.accel, ways.length, joint2)
    ride(ways.speed, ways.accel, ways.length, joint2, out_s)
    for i in range(n):
        if ways.kind[i] == DWELLING:
            out_s[i] = course.dwell[i]
        elif ways.kind[i] == PULLING:
            pulled_mm = abs(course.filament[i])
            out_s[i] = move_s(pulled_mm, 0.0, 0.0, ways.speed[i], ways.accel[i])
        seconds[ways.kind[i]] += out_s[i]
    return seconds


@njit(cache=True, nogil=True, error_model="numpy")
def chords(course: Course, wanted: NDArray[np.bool_], chord_mm: float) -> NDArray[np.float64]:
    """Points along arcs, so close that chords between them stay within a distance of them.

    Args:
        course: the moves.
        wanted: (n,) the moves whose arcs are wanted.
        chord_mm: the distance, sagitta R (1 - cos(step / 2)).

    Returns:
        (m, 2) points in mm, ends included.
    """
    steps = np.zeros(course.sweep.size, np.int64)
    for arc in range(steps.size):
        if wanted[course.arc_move[arc]]:
            radius = max(_radius(course, arc, course.arc_move[arc]), POINT_MM)
            most = 2.0 * math.acos(max(0.0, 1.0 - chord_mm / radius))
            steps[arc] = 2 + int(abs(course.sweep[arc]) / most)
    points = np.empty((steps.sum(), 2))
    filled = 0
    for arc in range(steps.size):
        if steps[arc]:
            _fill_chords(course, arc, points[filled : filled + steps[arc]])
            filled += steps[arc]
    return points


@njit(cache=True, nogil=True, error_model="numpy")
def _fill_chords(course: Course, arc: int, points: NDArray[np.float64]) -> None:
    """Spread points evenly along an arc."""
    move = course.arc_move[arc]
    x, y = course.centre[arc]
    start = math.atan2(course.points[move, 1] - y, course.points[move, 0] - x)
    radius = _radius(course, arc, move)
    for i in range(points.shape[0]):
        angle = start + course.sweep[arc] * i / (points.shape[0] - 1)
        points[i, 0] = x + radius * math.cos(angle)
        points[i, 1] = y + radius * math.sin(angle)
