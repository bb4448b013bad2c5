"""The outline of a part seen from above, for nesting."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

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
from fabsched.model.shapes import Points2

MOST_POINTS = 100
"""Corners of a silhouette stay below this."""
COARSE_MM = 0.05
"""Sections are simplified by this before they are united..."""
FINE_MM = 0.01
"""...and what comes out of every step by this."""
STEPS_MM = (0.001, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2)
"""Tolerances tried until the outline has few enough corners."""


NARROWEST_MM = 20.0
"""Openings narrower than this are no room for another part with the gap beds need around it (our own
choice)."""

Ring = tuple[tuple[float, float], ...]
"""A closed polygon in mm that does not repeat its first point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Silhouette:
    """A part seen from above.

    Attributes:
        outline: its outer border, counter-clockwise; every section lies inside.
        openings: borders of what one can look through, wide ones alone; no section reaches in.
    """

    outline: Ring
    openings: tuple[Ring, ...] = ()


def silhouette_of(sections: Sections) -> Silhouette:
    """Union of all sections, seen from above.

    Whatever simplifying may have cut off is added again all around, so that the area contains every
    section. Parts that lie apart are wrapped in their common hull, which has no openings. Since the
    union holds everything above as well, whatever stands in an opening is free up to any height.
    """
    whole, cut_mm = _united(list(sections.distinct[1:]))
    signed = [(Measure(bundled([p])).area_mm2, p) for p in polygons_of(whole)]
    outers = [polygon for area_mm2, polygon in signed if area_mm2 > 0.0]
    if len(outers) > 1:
        return Silhouette(outline=_ring(few_corners(_grown(_hull(whole), cut_mm))))
    holes = [polygon for area_mm2, polygon in signed if area_mm2 < 0.0]
    openings = (ring for hole in holes for ring in _openings(hole, cut_mm))
    outline = few_corners(_grown(bundled(outers), cut_mm))
    return Silhouette(outline=_ring(outline), openings=tuple(openings))


def _hull(loops: Loops) -> Loops:
    return loops_of(covered_by(loops).hull())


def _ring(loops: Loops) -> Ring:
    return tuple((float(x), float(y)) for x, y in zip(loops.x, loops.y, strict=True))


def _openings(hole: Points2, cut_mm: float) -> Iterator[Ring]:
    """What is left of a hole of the union once all that may reach into it is taken off."""
    if np.ptp(hole, axis=0).min() < NARROWEST_MM:
        return
    free = bundled([hole[::-1]])
    for polygon in polygons_of(library_inset(free, cut_mm) if cut_mm else free):
        for step_mm in STEPS_MM:
            plain = simplified(bundled([polygon]), step_mm)
            plain = plain if step_mm == STEPS_MM[0] else library_inset(plain, step_mm)
            if plain.x.size < MOST_POINTS:
                yield from (_ring(bundled([p])) for p in polygons_of(plain) if _wide(p))
                break


def _wide(polygon: Points2) -> bool:
    return len(polygon) > 2 and bool(np.ptp(polygon, axis=0).min() >= NARROWEST_MM)


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
