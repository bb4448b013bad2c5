"""The outline of a part seen from above, for nesting."""

from fabsched.estimate.arrays import Loops, bundled, joined
from fabsched.estimate.regions import (
    Measure,
    covered_by,
    library_inset,
    loops_of,
    polygons_of,
)
from fabsched.estimate.sections import Sections
from fabsched.estimate.simplify import simplified

MOST_POINTS = 100
"""Corners of a silhouette stay below this."""
COARSE_MM = 0.05
"""Sections are simplified by this before they are united..."""
FINE_MM = 0.01
"""...and what comes out of every step by this."""
STEPS_MM = (0.001, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2)
"""Tolerances tried until the outline has few enough corners."""


def silhouette_of(sections: Sections) -> tuple[tuple[float, float], ...]:
    """Union of all sections as one closed polygon, counter-clockwise, without holes.

    Whatever simplifying may have cut off is added again all around, so that the polygon contains
    every section. Parts that lie apart are wrapped in their common hull.
    """
    whole, cut_mm = _united(list(sections.distinct[1:]))
    outers = [p for p in polygons_of(whole) if Measure(bundled([p])).area_mm2 > 0.0]
    outer = bundled(outers) if len(outers) == 1 else loops_of(covered_by(whole).hull())
    outline = few_corners(_grown(outer, cut_mm))
    return tuple((float(x), float(y)) for x, y in zip(outline.x, outline.y, strict=True))


def _united(sections: list[Loops]) -> tuple[Loops, float]:
    """Union of sections, and how much simplifying may have cut off its border.

    Neighbouring sections are united two by two, then the results again: laid over each other all
    at once, hundreds of nearly equal borders would cross quadratically often.
    """
    pieces, cut_mm = _coarser(sections, COARSE_MM)
    while len(pieces) > 1:
        pairs = [joined(pieces[i : i + 2]) for i in range(0, len(pieces), 2)]
        pieces, lost_mm = _coarser([loops_of(covered_by(pair)) for pair in pairs], FINE_MM)
        cut_mm += lost_mm
    return pieces[0], cut_mm


def _coarser(fine: list[Loops], tolerance_mm: float) -> tuple[list[Loops], float]:
    """Polygons simplified, and how much that may have cut off: nothing if all corners stayed."""
    coarse = [_without_points(simplified(loops, tolerance_mm)) for loops in fine]
    fewer = any(a.x.size != b.x.size for a, b in zip(coarse, fine, strict=True))
    return coarse, tolerance_mm if fewer else 0.0


def _without_points(loops: Loops) -> Loops:
    """Leave out what simplifying has left with fewer than three corners."""
    return bundled([polygon for polygon in polygons_of(loops) if len(polygon) > 2])


def _grown(outline: Loops, distance_mm: float) -> Loops:
    """The outline moved outwards, holes that closing bays may leave filled."""
    if not distance_mm:
        return outline
    grown = library_inset(outline, -distance_mm)
    return bundled([max(polygons_of(grown), key=lambda p: Measure(bundled([p])).area_mm2)])


def few_corners(outline: Loops) -> Loops:
    """Simplify an outline outwards until it has fewer than `MOST_POINTS` corners."""
    for step_mm in STEPS_MM:
        plain = simplified(outline, step_mm)
        plain = plain if step_mm == STEPS_MM[0] else _grown(plain, step_mm)
        if plain.x.size < MOST_POINTS:
            return plain
    return loops_of(covered_by(simplified(outline, STEPS_MM[-1])).hull())
