"""What the words of a motion program do to the machine, line by line, compiled.

Meaning and order of execution are those of NISTIR 6556, "The NIST RS274NGC Interpreter - Version 3"
(Kramer, Proctor & Messina, 2000), sections 3.5 and 3.8. Where that report calls something an error
that leaves no doubt about the path (a motion code without a way, say), it is let pass.
"""

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.files.motion_arcs import arc_of
from fabsched.files.motion_state import (
    CLOCKWISE,
    COUNTER_CLOCKWISE,
    EXACT_GROUP,
    FEED_GROUP,
    GROUP,
    GROUPS,
    INCH_MM,
    M_BASE,
    MOTION_GROUP,
    NO_GROUP,
    ONCE_GROUP,
    PLANE_GROUP,
    RAPID,
    STOPS,
    STRAIGHT,
    UNIT_GROUP,
    WAY_GROUP,
    XY_PLANE,
    Moves,
    State,
)
from fabsched.files.motion_text import (
    AXES,
    MISSING,
    NEGATIVE,
    SOUND,
    TWICE,
    UNKNOWN,
    A,
    B,
    C,
    E,
    F,
    G,
    Line,
    P,
    X,
)

M_GROUP = np.array([4, 4, 4, 7, 7, 7, 6, 8, 8, 8])
"""Modal group of M0 to M9 (section 3.3.5, Table 5)."""


@njit(cache=True, nogil=True)
def _has_axis(line: Line) -> bool:
    for letter in AXES:
        if line.seen[letter]:
            return True
    return bool(line.seen[A] or line.seen[B] or line.seen[C])


@njit(cache=True, nogil=True)
def _sort_codes(line: Line, state: State, left_out: NDArray[np.int64]) -> int:
    """Enter the codes with G under their groups, and leave out those nobody knows."""
    for group in range(GROUPS):
        state.group[group] = -1
    for i in range(line.g_count):
        code = line.g[i]
        group = GROUP[code]
        if group == NO_GROUP and not _has_axis(line):
            left_out[0, code] += 1
            continue
        line.detail[0], line.detail[1], line.detail[2] = G, G, code
        if group < 0:
            return UNKNOWN
        if state.group[group] >= 0:
            line.detail[0], line.detail[1] = -state.group[group] - 1, -code - 1
            return TWICE
        state.group[group] = code
    if line.open_m >= 0:
        left_out[1, line.open_m] += 1
    return _check_m(line)


@njit(cache=True, nogil=True)
def _check_m(line: Line) -> int:
    """Refuse two codes with M of one modal group; mist and flood (M7, M8) go together."""
    for i in range(line.m_count):
        for j in range(i):
            one, two = line.m[i], line.m[j]
            both = _m_group(one) == _m_group(two)
            if both and not (min(one, two) == 7 and max(one, two) == 8):
                line.detail[0], line.detail[1] = M_BASE - two, M_BASE - one
                return TWICE
    return SOUND


@njit(cache=True, nogil=True)
def _m_group(code: int) -> int:
    if code < M_GROUP.size:
        return int(M_GROUP[code])
    return 4 if code in (30, 60) else 9


@njit(cache=True, nogil=True)
def execute(line: Line, state: State, moves: Moves, e_steps: bool) -> int:
    """Carry out one line, in the order of section 3.8.

    Args:
        line: its words.
        state: the machine.
        moves: receives the moves; has room for `MOST_ROWS` more.
        e_steps: take E as increments always, whatever G90 says of the other axes.

    Returns:
        `SOUND`, or what is wrong.
    """
    status = _sort_codes(line, state, moves.left_out)
    if status != SOUND:
        return status
    status = _set_modes(line, state)
    if status != SOUND:
        return status
    if state.group[ONCE_GROUP] == 40:
        status = _dwell(line, state, moves)
        if status != SOUND:
            return status
    status = _move(line, state, moves, e_steps)
    for i in range(line.m_count):
        code = line.m[i]
        moves.left_out[1, code] += code not in (2, 30) and code not in STOPS
        state.pauses += code in STOPS
        state.ended |= code in (2, 30)
    return status


@njit(cache=True, nogil=True)
def _set_modes(line: Line, state: State) -> int:
    """Everything that lasts beyond the line."""
    group = state.group
    if group[FEED_GROUP] >= 0:
        inverse = int(group[FEED_GROUP] == 930)
        state.feed *= inverse == state.inverse  # the number meant something else
        state.inverse = inverse
    if line.seen[F]:
        if line.value[F] < 0.0:
            line.detail[0] = F
            return NEGATIVE
        state.feed = line.value[F]
    if group[PLANE_GROUP] >= 0:
        state.plane = group[PLANE_GROUP]
    if group[UNIT_GROUP] >= 0:
        state.unit_mm = INCH_MM if group[UNIT_GROUP] == 200 else 1.0
        state.said_unit = 1
    if group[EXACT_GROUP] >= 0:
        state.exact = group[EXACT_GROUP] != 640
    if group[WAY_GROUP] >= 0:
        state.steps = group[WAY_GROUP] == 910
    return SOUND


@njit(cache=True, nogil=True)
def _dwell(line: Line, state: State, moves: Moves) -> int:
    """G4: stand still for P seconds (section 3.5.4)."""
    line.detail[0] = line.detail[1] = P
    if not line.seen[P]:
        return MISSING
    if line.value[P] < 0.0:
        return NEGATIVE
    if line.value[P] > 0.0:
        _add(state, moves, 0.0, 0.0, line.value[P])
    return SOUND


@njit(cache=True, nogil=True)
def _add(state: State, moves: Moves, filament_mm: float, speed_mm_s: float, dwell_s: float) -> None:
    """Write down a move to where the machine now is."""
    row = moves.rows[moves.used[0]]
    row[0], row[1], row[2] = state.place[0], state.place[1], state.place[2]
    row[3], row[4], row[5] = filament_mm, speed_mm_s, dwell_s
    row[6] = state.exact
    moves.used[0] += 1


@njit(cache=True, nogil=True)
def _move(line: Line, state: State, moves: Moves, e_steps: bool) -> int:
    """Whatever the axes do on this line."""
    once, motion = state.group[ONCE_GROUP], state.group[MOTION_GROUP]
    named = _has_axis(line)
    if motion >= 0:
        state.motion = motion
    if once >= 280:
        if named and motion >= 0:
            line.detail[0], line.detail[1] = -once - 1, -motion - 1
            return TWICE
        if once < 920:
            _go_home(line, state, moves, e_steps)
            return SOUND
        return _set_offset(line, state, once)
    if state.motion in (CLOCKWISE, COUNTER_CLOCKWISE) and (named or motion >= 0):
        return _arc(line, state, moves, e_steps)
    return _straight(line, state, moves, e_steps) if named else SOUND


@njit(cache=True, nogil=True)
def _aim(line: Line, state: State, e_steps: bool) -> None:
    """Find where the words of a line lead, as the machine counts, and the way there."""
    unit = state.unit_mm
    for axis in range(4):
        letter = AXES[axis]
        goal = state.place[axis]
        if line.seen[letter]:
            steps = state.steps or (axis == 3 and e_steps)
            goal = unit * line.value[letter] + (goal if steps else state.offset[axis])
        state.target[axis] = goal
        state.step[axis] = goal - state.place[axis]


@njit(cache=True, nogil=True)
def _straight(line: Line, state: State, moves: Moves, e_steps: bool) -> int:
    """G0 and G1 (sections 3.5.1 and 3.5.2)."""
    if state.motion not in (RAPID, STRAIGHT):
        line.detail[0], line.detail[1] = G, G
        return MISSING
    _aim(line, state, e_steps)
    step = state.step
    way_mm = math.sqrt(step[0] * step[0] + step[1] * step[1] + step[2] * step[2])
    filament_mm, speed = step[3], 0.0
    if state.motion == STRAIGHT:
        status = _check_feed(line, state)
        if status != SOUND:
            return status
        speed = _speed_mm_s(state, way_mm if way_mm > 0.0 else abs(filament_mm))
    _arrive(line, state)
    if way_mm > 0.0 or filament_mm != 0.0:
        _add(state, moves, filament_mm, speed, 0.0)
    return _check_turning(line)


@njit(cache=True, nogil=True)
def _check_turning(line: Line) -> int:
    """Refuse axes that turn, which no printer of this kind has."""
    for letter in (A, B, C):
        if line.seen[letter]:
            line.detail[0] = letter
            return UNKNOWN
    return SOUND


@njit(cache=True, nogil=True)
def _arrive(line: Line, state: State) -> None:
    """Be at the target, and keep count of what E seems to mean."""
    step = state.step
    if line.seen[E] and not state.steps and (step[0] != 0.0 or step[1] != 0.0):
        state.positions += 1
        state.backwards += step[3] <= 0.0
    state.guessed |= not state.said_unit
    for axis in range(4):
        state.place[axis] = state.target[axis]


@njit(cache=True, nogil=True)
def _check_feed(line: Line, state: State) -> int:
    """A feed has to be known, and said on the line itself where it is inverse time (3.5.19)."""
    line.detail[0] = line.detail[1] = F
    known = state.feed > 0.0 and (line.seen[F] or not state.inverse)
    return SOUND if known else MISSING


@njit(cache=True, nogil=True)
def _speed_mm_s(state: State, way_mm: float) -> float:
    """Speed along the path: lengths per minute, or the way per 1/F minutes."""
    return state.feed / 60.0 * (way_mm if state.inverse else state.unit_mm)


@njit(cache=True, nogil=True)
def _arc(line: Line, state: State, moves: Moves, e_steps: bool) -> int:
    """G2 and G3 in the XY plane, with Z a helix (section 3.5.3)."""
    if state.plane != XY_PLANE:
        line.detail[0], line.detail[2] = G, state.plane
        return UNKNOWN
    status = _check_turning(line)
    if status == SOUND:
        status = _check_feed(line, state)
    if status != SOUND:
        return status
    _aim(line, state, e_steps)
    arc, step = state.arc, state.step
    ccw = state.motion == COUNTER_CLOCKWISE
    status = arc_of(line, step, state.unit_mm, ccw, arc)
    if status != SOUND:
        return status
    around = arc[2] * arc[3]
    way_mm = math.sqrt(around * around + step[2] * step[2])
    row = moves.arcs[moves.used[1]]
    row[0], row[3] = moves.used[0], arc[2]
    row[1], row[2] = state.place[0] + arc[0], state.place[1] + arc[1]
    moves.used[1] += 1
    _arrive(line, state)
    _add(state, moves, step[3], _speed_mm_s(state, way_mm), 0.0)
    return SOUND


@njit(cache=True, nogil=True)
def _go_home(line: Line, state: State, moves: Moves, e_steps: bool) -> None:
    """G28 and G30: by way of the point named, if any, to the machine's origin (section 3.5.8).

    Where home really lies is set on each machine; a report comes with the program.
    """
    if _has_axis(line):
        _aim(line, state, e_steps)
        for axis in range(3):
            state.place[axis] = state.target[axis]
        _add(state, moves, 0.0, 0.0, 0.0)
    for axis in range(3):
        state.place[axis] = 0.0
    state.homes += 1
    _add(state, moves, 0.0, 0.0, 0.0)


@njit(cache=True, nogil=True)
def _set_offset(line: Line, state: State, code: int) -> int:
    """G92 and its kin: what the machine's place is called from here on (section 3.5.18)."""
    if code == 920 and not _has_axis(line):
        line.detail[0], line.detail[1] = X, E
        return MISSING
    for axis in range(4):
        if code == 923:
            state.offset[axis] = state.kept[axis]
        elif code != 920:
            state.offset[axis] = 0.0
        elif line.seen[AXES[axis]]:
            named_mm = state.unit_mm * line.value[AXES[axis]]
            state.offset[axis] = state.place[axis] - named_mm
        if code in (920, 921):
            state.kept[axis] = state.offset[axis]
    return SOUND
