"""Arcs of a motion program: centre and sweep from the words of a line (NISTIR 6556, section 3.5.3)."""

import math

import numpy as np
from numba import njit

from fabsched.files.motion_text import (
    MISSING,
    SOUND,
    TWICE,
    UNEQUAL,
    UNKNOWN,
    UNREACHED,
    Floats,
    I,
    J,
    K,
    Line,
    R,
    X,
    Y,
)

OFF_MM = 0.002
"""How far both ends of an arc may lie at unlike distances from its centre (section 3.5.3.2)."""
OFF_INCH = 0.0002
"""The same where lengths are in inches, in inches."""
TURN = 2.0 * math.pi


@njit(cache=True, nogil=True, error_model="numpy")
def arc_of(line: Line, way: Floats, unit_mm: float, ccw: bool, arc: Floats) -> int:
    """Find centre and sweep of an arc.

    Args:
        line: its words.
        way: (2 or more,) from its start to its end, in mm.
        unit_mm: millimetres in one of the program's lengths.
        ccw: whether it runs counter-clockwise.
        arc: (4,) receives the centre, from the start, then the sweep and the mean radius.

    Returns:
        `SOUND`, or what is wrong.
    """
    status = _check_words(line)
    if status != SOUND:
        return status
    off_mm = OFF_MM if unit_mm == 1.0 else OFF_INCH * unit_mm
    if line.seen[R]:
        return _by_radius(line, way, unit_mm * line.value[R], off_mm, ccw, arc)
    arc[0] = unit_mm * line.value[I] if line.seen[I] else 0.0
    arc[1] = unit_mm * line.value[J] if line.seen[J] else 0.0
    start_mm = math.hypot(arc[0], arc[1])
    end_mm = math.hypot(way[0] - arc[0], way[1] - arc[1])
    if abs(start_mm - end_mm) > off_mm or start_mm == 0.0:
        line.detail[0], line.detail[1] = start_mm, end_mm
        return UNEQUAL
    arc[2] = _sweep(way, arc, ccw)
    arc[3] = 0.5 * (start_mm + end_mm)
    return SOUND


@njit(cache=True, nogil=True)
def _check_words(line: Line) -> int:
    """Whether the words of an arc are all there, and no others."""
    if line.seen[K]:
        line.detail[0] = K
        return UNKNOWN
    if not line.seen[X] and not line.seen[Y]:
        line.detail[0], line.detail[1] = X, Y
        return MISSING
    if line.seen[R] and (line.seen[I] or line.seen[J]):
        line.detail[0], line.detail[1] = R, I if line.seen[I] else J
        return TWICE
    if not line.seen[R] and not line.seen[I] and not line.seen[J]:
        line.detail[0], line.detail[1] = I, J
        return MISSING
    return SOUND


@njit(cache=True, nogil=True, error_model="numpy")
def _by_radius(
    line: Line, way: Floats, radius_mm: float, off_mm: float, ccw: bool, arc: Floats
) -> int:
    """An arc given by its radius: of the two that fit, a negative one asks for the longer."""
    chord_mm = math.hypot(way[0], way[1])
    half_mm = 0.5 * chord_mm
    if chord_mm == 0.0 or half_mm - abs(radius_mm) > off_mm:
        line.detail[0], line.detail[1] = radius_mm, chord_mm
        return UNREACHED
    aside_mm = math.sqrt(max(0.0, radius_mm * radius_mm - half_mm * half_mm))
    left = aside_mm / chord_mm if ccw == (radius_mm > 0.0) else -aside_mm / chord_mm
    arc[0] = 0.5 * way[0] - left * way[1]
    arc[1] = 0.5 * way[1] + left * way[0]
    sweep = 2.0 * math.atan2(half_mm, aside_mm)
    arc[2] = sweep if radius_mm > 0.0 else TURN - sweep
    arc[2] = arc[2] if ccw else -arc[2]
    arc[3] = math.hypot(half_mm, aside_mm)
    return SOUND


@njit(cache=True, nogil=True)
def _sweep(way: Floats, arc: Floats, ccw: bool) -> float:
    """Angle from start to end around the centre; a full turn where they are one point."""
    if way[0] == 0.0 and way[1] == 0.0:
        return TURN if ccw else -TURN
    start = math.atan2(-arc[1], -arc[0])
    end = math.atan2(way[1] - arc[1], way[0] - arc[0])
    turn = float(np.mod(end - start, TURN))
    if ccw:
        return turn if turn > 0.0 else TURN
    return turn - TURN
