"""Outlines as areas: which is inside which, paths beside the kerf, thin webs, the part's shadow."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, OpType

from fabsched.estimate.cut_rings import areas_mm2, depths_of, joined, moved_convex, parents_of
from fabsched.model.shapes import Outline, Points2

MITRE = 2.0
"""Corners of a path reach at most this many times the offset from the drawn corner."""
BAND_MM = 0.1
"""Width given to a line that encloses nothing, so that it has a shadow."""
ROUND = 64
"""Chords of a full turn at rounded corners; the library's own choice is as few as four."""
COARSE_MM = 0.02
"""How far outlines are simplified before webs are looked for."""
WEB_STEPS = 9
"""Halvings of the search for the thinnest web: to a five hundredth of the limit."""


def area_mm2(points: Points2) -> float:
    """Signed area of a ring (shoelace formula), positive counter-clockwise."""
    x, y = (points - points[0]).T
    run = np.dot(x[:-1], y[1:]) - np.dot(x[1:], y[:-1])  # the closing edge ends at (0, 0)
    return float(run) / 2


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
    if not paths:
        return ()
    inner = depths_of(parents_of(paths)) % 2 == 1
    shifts_mm = np.where(inner, -kerf_mm / 2, kerf_mm / 2)
    points, starts = joined(paths)
    plain, right = moved_convex(points, starts, shifts_mm)
    found: list[Outline] = []
    for i, path in enumerate(paths):
        if path.closed and right[i]:
            ring = plain[starts[i] : starts[i + 1]]
            found.append(replace(path, points_mm=ring))
        else:
            found.extend(_beside(path, float(shifts_mm[i])))
    return tuple(found)


def _beside(path: Outline, shift_mm: float) -> list[Outline]:
    """A path of any form moved outwards; as it was where nothing is left of it."""
    rings = _moved(path.points_mm, shift_mm) if path.closed else []
    return [replace(path, points_mm=ring) for ring in rings] or [path]


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
    pieces = int((areas_mm2(np.concatenate(rings), starts) > 0).sum())
    return pieces, len(rings) - pieces


def shadow(paths: Sequence[Outline], *, apart: bool = False) -> Points2:
    """The outer border of everything a drawing holds, for nesting.

    Open paths count as if a straight line closed them. Where the drawing consists of pieces apart,
    the border is the convex hull around all of them, since they are cut in one place.

    Args:
        paths: at least one path.
        apart: whether it is known that no closed path crosses another, which saves time.

    Returns:
        (n, 2) ring, counter-clockwise.
    """
    around = parents_of(paths) if apart else np.full(len(paths), -1)
    outer = [p for p, o in zip(paths, around, strict=True) if o < 0 or not p.closed]
    closed = _union_of(outer)
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
