"""Outlines as areas: which is inside which, paths beside the kerf, thin webs, the part's shadow."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, OpType
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Outline, Points2

MITRE = 2.0
"""Corners of a path reach at most this many times the offset from the drawn corner."""
BAND_MM = 0.1
"""Width given to a line that encloses nothing, so that it has a shadow."""
ROUND = 64
"""Chords of a full turn at rounded corners; the library's own choice is as few as four."""
COARSE_MM = 0.02
"""How far outlines are simplified before webs are looked for."""
EXTREMES = (np.minimum, np.maximum)
WEB_STEPS = 9
"""Halvings of the search for the thinnest web: to a five hundredth of the limit."""


@njit(cache=True, nogil=True)
def _inside(x: NDArray[np.float64], y: NDArray[np.float64], px: float, py: float) -> bool:
    """Whether a point lies in a ring, by the even-odd rule."""
    odd = False
    j = x.size - 1
    for i in range(x.size):
        if (y[i] > py) != (y[j] > py):
            odd ^= px < x[i] + (py - y[i]) * (x[j] - x[i]) / (y[j] - y[i])
        j = i
    return odd


@njit(cache=True, nogil=True)
def _parents(
    points: NDArray[np.float64],
    starts: NDArray[np.int64],
    boxes: NDArray[np.float64],
    areas: NDArray[np.float64],
    parents: NDArray[np.int64],
) -> None:
    """Fill in the smallest closed ring around each path; -1 where there is none."""
    n = areas.size
    for i in range(n):
        px = 0.5 * (points[starts[i], 0] + points[starts[i] + 1, 0])
        py = 0.5 * (points[starts[i], 1] + points[starts[i] + 1, 1])
        parents[i] = -1
        least = np.inf
        for j in range(n):
            around = areas[i] < areas[j] < least
            around = around and boxes[j, 0] <= boxes[i, 0] and boxes[j, 1] <= boxes[i, 1]
            around = around and boxes[j, 2] >= boxes[i, 2] and boxes[j, 3] >= boxes[i, 3]
            if around:
                ring = points[starts[j] : starts[j + 1]]
                if _inside(ring[:, 0], ring[:, 1], px, py):
                    parents[i] = j
                    least = areas[j]


def parents_of(paths: Sequence[Outline]) -> NDArray[np.int64]:
    """The smallest closed outline around each path.

    Args:
        paths: any paths of two points or more; open ones are inside others, never around them.

    Returns:
        (n,) index of the outline around each; -1 where there is none.
    """
    parents = np.full(len(paths), -1, dtype=np.int64)
    if not paths:
        return parents
    points = np.concatenate([path.points_mm for path in paths])
    starts = np.cumsum([0, *(len(path.points_mm) for path in paths)])
    closed = np.array([path.closed for path in paths])
    areas = np.where(closed, np.abs(_areas_mm2(points, starts)), 0.0)
    _parents(points, starts, boxes_of(points, starts), areas, parents)
    return parents


def boxes_of(points: Points2, starts: NDArray[np.int64]) -> NDArray[np.float64]:
    """(n, 4) lowest x and y, highest x and y of runs of points.

    Args:
        points: (m, 2) of all runs, one after another.
        starts: (n + 1,) where each begins, and where the last one ends.
    """
    low, high = (extreme.reduceat(points, starts[:-1], axis=0) for extreme in EXTREMES)
    return np.hstack([low, high])


def _areas_mm2(points: Points2, starts: NDArray[np.int64]) -> NDArray[np.float64]:
    """(n,) signed areas of rings, as `area_mm2`."""
    firsts = np.repeat(points[starts[:-1]], np.diff(starts), axis=0)
    x, y = (points - firsts).T
    cross = np.append(x[:-1] * y[1:] - x[1:] * y[:-1], 0.0)
    cross[starts[1:] - 1] = 0.0  # the closing edge ends at (0, 0), and no ring leads into the next
    return np.asarray(np.add.reduceat(cross, starts[:-1]) / 2)


def area_mm2(points: Points2) -> float:
    """Signed area of a ring (shoelace formula), positive counter-clockwise."""
    x, y = (points - points[0]).T
    run = np.dot(x[:-1], y[1:]) - np.dot(x[1:], y[:-1])  # the closing edge ends at (0, 0)
    return float(run) / 2


def depths_of(parents: NDArray[np.int64]) -> NDArray[np.int64]:
    """(n,) how many outlines lie around each path."""
    depths = np.zeros(len(parents), dtype=np.int64)
    above = parents.copy()
    while (above >= 0).any():
        depths += above >= 0
        above = np.where(above >= 0, parents[above], -1)
    return depths


def beside_kerf(paths: Sequence[Outline], kerf_mm: float) -> tuple[Outline, ...]:
    """Paths half a kerf beside the outlines, on the side of the scrap.

    Outer outlines grow and holes shrink, so that the part comes out as drawn. Open cuts and holes
    narrower than the kerf stay on their line, where the laser makes them as narrow as it can.

    Args:
        paths: the cuts.
        kerf_mm: width of the cut.

    Returns:
        The paths of the middle of the beam; one outline may become several.
    """
    inner = depths_of(parents_of(paths)) % 2 == 1
    moved: list[Outline] = []
    for path, hole in zip(paths, inner, strict=True):
        shift_mm = -kerf_mm / 2 if hole else kerf_mm / 2
        rings = _moved(path.points_mm, shift_mm) if path.closed else []
        moved.extend(Outline(ring, closed=True, operation=path.operation) for ring in rings)
        if not rings:
            moved.append(path)
    return tuple(moved)


def _moved(ring: Points2, shift_mm: float) -> list[Points2]:
    area = filled([ring])
    rings: list[Points2] = area.offset(shift_mm, JoinType.Miter, MITRE).to_polygons()
    return rings


def filled(rings: Sequence[Points2]) -> Any:
    """The area of rings by the even-odd rule: holes are holes whichever way they run."""
    return CrossSection(list(rings), FillRule.EvenOdd)


def thinnest_web_mm(paths: Sequence[Outline], limit_mm: float) -> float | None:
    """The thinnest bridge of material, if it is thinner than a limit.

    A web is what disappears when all borders move inwards by half its width: then a hole opens
    into another or to the outside, or the part falls apart. Slender ends that hold nothing
    together are no webs.

    Args:
        paths: the cuts; open ones are left aside.
        limit_mm: webs as wide as this are wide enough.

    Returns:
        Its width to a five hundredth of the limit, or None.
    """
    rings = [path.points_mm for path in paths if path.closed]
    if not rings:
        return None
    part = filled(rings).simplify(COARSE_MM)
    whole = _pieces_and_holes(part)
    if _eroded(part, max(limit_mm - 2 * COARSE_MM, limit_mm / 2)) == whole:
        return None
    low, high = 0.0, limit_mm
    for _ in range(WEB_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if _eroded(part, middle) == whole else (low, middle)
    return high


def _eroded(part: Any, web_mm: float) -> tuple[int, int]:
    return _pieces_and_holes(part.offset(-web_mm / 2, JoinType.Round, MITRE, ROUND))


def _pieces_and_holes(area: Any) -> tuple[int, int]:
    rings = area.to_polygons()
    if not rings:
        return 0, 0
    starts = np.cumsum([0, *(len(ring) for ring in rings)])
    pieces = int((_areas_mm2(np.concatenate(rings), starts) > 0).sum())
    return pieces, len(rings) - pieces


def shadow(paths: Sequence[Outline]) -> Points2:
    """The outer border of everything a drawing holds, for nesting.

    Open paths count as if a straight line closed them. Where the drawing consists of pieces apart,
    the border is the convex hull around all of them, since they are cut in one place.

    Args:
        paths: at least one path.

    Returns:
        (n, 2) ring, counter-clockwise.
    """
    closed = _union_of(paths)
    pieces = closed.decompose()
    whole = pieces[0] if len(pieces) == 1 else closed.hull()
    rings: list[Points2] = whole.to_polygons()
    return max(rings, key=area_mm2)


def _union_of(paths: Sequence[Outline]) -> Any:
    areas = [CrossSection([path.points_mm], FillRule.NonZero) for path in paths]
    lines = [path.points_mm for path in paths if not path.closed]
    areas.extend(CrossSection(bands(line, BAND_MM), FillRule.Positive) for line in lines)
    return CrossSection.batch_boolean(areas, OpType.Add)


def bands(points: Points2, width_mm: float) -> list[Points2]:
    """A quad of some width along every segment of a path, counter-clockwise."""
    starts, ends = points[:-1], points[1:]
    along = ends - starts
    side = np.column_stack([-along[:, 1], along[:, 0]])
    side *= width_mm / 2 / np.maximum(np.linalg.norm(side, axis=1), 1e-12)[:, None]
    return list(np.stack([starts - side, ends - side, ends + side, starts + side], axis=1))
