"""Curves into chords: as few as keep every chord within a given distance of its curve."""

import math

import numpy as np
from numpy.typing import NDArray

CHORD_MM = 0.01
"""Largest distance between a curve and its chord: a twentieth of a usual kerf."""
MOST_CHORDS = 100_000
"""More chords than this on one curve mean a size that is no part's."""
LEAST_PER_QUARTER = 3
"""Chords on a quarter turn however small it is, so that tiny holes stay round."""

Vectors = NDArray[np.float64]
"""(n, d) coordinates; d is 2 or 3."""


def turn_points(
    centre: Vectors,
    across: Vectors,
    along: Vectors,
    start_rad: float,
    sweep_rad: float,
    chord: float,
) -> Vectors:
    """Points on `centre + across cos(t) + along sin(t)`, both ends included.

    An ellipse is a unit circle under a linear map, so that the sagitta r (1 - cos(step / 2)) of a
    circle of radius r, the map's largest singular value, bounds the distance of its chords. Chords
    divide a quarter turn evenly, so that full circles reach their extremes along both axes.

    Args:
        centre: (d,) middle.
        across: (d,) vector to the point at t = 0.
        along: (d,) vector to the point at a quarter turn.
        start_rad: t at the first point.
        sweep_rad: how far t runs, with its sign.
        chord: largest distance between curve and chord, in the unit of the vectors, above 0.

    Returns:
        (n, d) points, n - 1 chords of equal steps of t.
    """
    radius = _longest(across, along)
    step = 2 * math.acos(max(0.0, 1 - chord / radius)) if radius > 0 else math.pi
    quarter = max(LEAST_PER_QUARTER, math.ceil(math.pi / 2 / max(step, 1e-9)))
    count = max(1, math.ceil(4 * quarter * abs(sweep_rad) / math.tau - 1e-6))
    t = start_rad + sweep_rad * np.linspace(0, 1, min(count, MOST_CHORDS) + 1)[:, None]
    return np.asarray(centre + across * np.cos(t) + along * np.sin(t))


def _longest(across: Vectors, along: Vectors) -> float:
    """Half the longer axis of the ellipse of two conjugate half diameters."""
    a, b, c = (float(u @ v) for u, v in ((across, across), (along, along), (across, along)))
    return math.sqrt((a + b) / 2 + math.hypot((a - b) / 2, c))


def bezier_points(controls: Vectors, chord: float) -> Vectors:
    """Points on a Bezier curve, both ends included.

    A curve of degree m in n equal steps lies within m (m - 1) / (8 n^2) of the largest second
    difference of its control points from its chords (Wang 1984; from memory).

    Args:
        controls: (m + 1, d) control points.
        chord: largest distance between curve and chord, above 0.

    Returns:
        (n + 1, d) points.
    """
    degree = len(controls) - 1
    bends = np.diff(controls, n=2, axis=0)
    bend = float(np.linalg.norm(bends, axis=1).max()) if len(bends) else 0.0
    steps = math.sqrt(degree * (degree - 1) * bend / (8 * chord))
    t = np.linspace(0, 1, max(1, min(math.ceil(steps), MOST_CHORDS)) + 1)[:, None, None]
    rungs = np.broadcast_to(controls, (len(t), *controls.shape))
    for _ in range(degree):  # de Casteljau, all parameters at once
        rungs = rungs[:, :-1] * (1 - t) + rungs[:, 1:] * t
    return np.asarray(rungs[:, 0])


def bulge_points(start: Vectors, end: Vectors, bulge: float, chord: float) -> Vectors:
    """Points on a bulged edge, both ends included.

    The bulge is the tangent of a quarter of the arc's angle, positive counter-clockwise (DXF
    reference, LWPOLYLINE group code 42).

    Args:
        start: (2,) first point.
        end: (2,) last point.
        bulge: as above; 0 is straight.
        chord: largest distance between arc and chord, above 0.

    Returns:
        (n, 2) points.
    """
    span = end - start
    width = float(np.linalg.norm(span))
    if abs(bulge) * width / 2 <= chord:  # the sagitta of the whole arc
        return np.stack([start, end])
    left = np.array([-span[1], span[0]])
    centre = (start + end) / 2 + left * ((1 - bulge * bulge) / (4 * bulge))
    across = start - centre
    along = np.array([-across[1], across[0]])
    points = turn_points(centre, across, along, 0.0, 4 * math.atan(bulge), chord)
    points[-1] = end
    return points
