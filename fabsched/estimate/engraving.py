"""Engraved areas: lines forth and back, each with room to speed up and to brake beside the area."""

from collections.abc import Sequence

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.estimate.cut_regions import filled
from fabsched.model.shapes import Points2

Floats = NDArray[np.float64]

PITCH_MM = 0.1
"""Distance of the lines: 254 to the inch (course slide U3M2-003, protolab.certifitrax.com, has 300
to 400 for fine work; common practice)."""


@njit(cache=True, nogil=True)
def _extents(x: Floats, y: Floats, low_y: float, low: Floats, high: Floats) -> None:
    """Widen the extent of every line that the edges of one ring cross."""
    j = x.size - 1
    for i in range(x.size):
        bottom, top = min(y[i], y[j]), max(y[i], y[j])
        first = max(0, int(np.ceil((bottom - low_y) / PITCH_MM)))
        last = min(low.size - 1, int(np.floor((top - low_y) / PITCH_MM)))
        if top > bottom:
            for row in range(first, last + 1):
                at = x[i] + (low_y + row * PITCH_MM - y[i]) * (x[j] - x[i]) / (y[j] - y[i])
                low[row] = min(low[row], at)
                high[row] = max(high[row], at)
        j = i


def engraved_rows(rings: Sequence[Points2]) -> list[Floats]:
    """The lines that fill areas.

    Args:
        rings: closed outlines; by the even-odd rule, an outline inside another is left blank.

    Returns:
        For each area apart an (n, 3) array of y, lowest and highest x of its lines, upwards.
    """
    pieces = [piece.to_polygons() for piece in filled(rings).decompose() if not piece.is_empty()]
    return [rows for piece in pieces if len(rows := _rows(piece))]


def _rows(rings: Sequence[Points2]) -> Floats:
    points = np.concatenate(rings)
    low_y = float(points[:, 1].min()) + PITCH_MM / 2
    count = int(np.ceil(np.ptp(points[:, 1]) / PITCH_MM))
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    for ring in rings:
        x, y = np.ascontiguousarray(ring.T)
        _extents(x, y, low_y, low, high)
    y = low_y + PITCH_MM * np.arange(count)
    crossed = low < high
    return np.column_stack([y, low, high])[crossed]


def engraving_path(rows: Floats, speed_mm_s: float, accel_mm_s2: float) -> Points2:
    """The path over one engraved area.

    Every line is lengthened on both sides by v^2 / (2 a), in which the machine reaches its speed.

    Args:
        rows: (n, 3) y, lowest and highest x of each line.
        speed_mm_s: speed v along the lines.
        accel_mm_s2: acceleration a.

    Returns:
        (2 n, 2) points; every even one begins a line.
    """
    run_up_mm = speed_mm_s**2 / (2 * accel_mm_s2)
    ends = rows[:, 1:] + [-run_up_mm, run_up_mm]
    ends[1::2] = ends[1::2, ::-1]
    return np.column_stack([ends.ravel(), np.repeat(rows[:, 0], 2)])
