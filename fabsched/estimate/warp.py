"""How likely a print is to curl off the bed: three levels, with the inputs they rest on.

Long contacts pull harder, with the square of their length (Wang, Xi & Jin, Int J Adv Manuf Technol
33, 2007, 1087-1096, doi 10.1007/s00170-006-0556-9), and materials that shrink more pull harder.
That sharp corners lift first, that narrow contacts hold worse and that what widens above a small
contact pulls harder is common practice. Height is
left out, as the sources disagree: Wang et al. find taller better, Armillotta, Bellotti & Cavallaro
(Robotics CIM 50, 2018, 140-152, doi 10.1016/j.rcim.2017.09.007) find the worst half-way. The
factors and bounds below are our own and have not been validated against prints, which is why
levels are given and no millimetres.
"""

import math
from collections import Counter

import numpy as np

from fabsched.estimate.arrays import Loops, bundled
from fabsched.estimate.regions import Measure, covered_by
from fabsched.estimate.sections import Sections
from fabsched.estimate.simplify import simplified
from fabsched.model.estimates import Warp, WarpLevel
from fabsched.model.materials import Filament
from fabsched.model.shapes import Points2

ABOVE_MM = 10.0
"""Height up to which sections count as just above the bed."""
MOST_PULL = 2.0
"""Ratio of the sections above to the contact from which more changes nothing."""
SPAN_MM = 100.0
"""Span at which a compact contact with four corners scores the material's own warp factor."""
MEDIUM, HIGH = 0.25, 1.0
"""Scores from which the level is medium and high."""
SQUARE = 2.0 * math.sqrt(2.0)
"""Span of a square over its mean thickness, twice its area over its perimeter."""
SHARP_COS = math.cos(math.radians(60.0))
"""A corner of the hull is sharp if it turns by more than 60 degrees."""
ROUNDING_MM = 0.2
"""Corners closer than this to the hull's outline do not count as corners."""
ROUND, CORNER, MOST_CORNERS = 0.6, 0.1, 4
"""Factor of a contact without sharp corners, gain for each, and how many count."""


def warp_of(contact: Loops, filament: Filament, above_mm2: float | None = None) -> Warp:
    """Judge the contact of a print with the bed.

    Args:
        contact: tidy borders of the first layer's section.
        filament: its warp factor counts.
        above_mm2: mean area of the sections up to `ABOVE_MM`; None takes that of the contact.
    """
    if not contact.x.size:
        return Warp(level=WarpLevel.LOW, span_mm=0.0, contact_mm2=0.0, thickness_mm=0.0, corners=0)
    measure = Measure(contact)
    hull = covered_by(contact).hull().to_polygons()[0]
    span_mm, corners = _span_mm(hull), _sharp_corners(hull)
    ratio = 1.0 if above_mm2 is None else above_mm2 / measure.area_mm2
    thickness_mm = 2.0 * measure.area_mm2 / measure.length_mm
    score = _score(span_mm, thickness_mm, corners) * _pull(ratio) * filament.warp
    return Warp(
        level=_level(score),
        span_mm=span_mm,
        contact_mm2=measure.area_mm2,
        thickness_mm=thickness_mm,
        corners=corners,
        section_ratio=ratio,
        material=filament.warp,
    )


def above_of(sections: Sections) -> float:
    """Mean area of a print's sections up to `ABOVE_MM`, the first included, in mm^2."""
    numbers = sections.layer[sections.planes.middle_mm <= ABOVE_MM]
    counted = Counter(numbers.tolist() or sections.layer[:1].tolist())
    total = sum(n * Measure(sections.distinct[i]).area_mm2 for i, n in counted.items())
    return total / counted.total()


def _pull(ratio: float) -> float:
    """What shrinks above a contact pulls on it: more if it widens, less if it narrows."""
    return math.sqrt(min(MOST_PULL, max(1.0 / MOST_PULL, ratio)))


def _score(span_mm: float, thickness_mm: float, corners: int) -> float:
    """Square of the span, times narrowness (1 for compact contacts, at most 2), times corners.

    Bars, frames and plates full of holes are thinner for their span than a square, whose span is
    2 sqrt(2) times its mean thickness (elementary geometry).
    """
    narrow = min(2.0, max(1.0, math.sqrt(span_mm / (SQUARE * thickness_mm))))
    sharp = ROUND + CORNER * min(corners, MOST_CORNERS)
    return (span_mm / SPAN_MM) ** 2 * narrow * sharp


def _level(score: float) -> WarpLevel:
    """Level of a score."""
    if score >= HIGH:
        return WarpLevel.HIGH
    return WarpLevel.MEDIUM if score >= MEDIUM else WarpLevel.LOW


def _span_mm(hull: Points2) -> float:
    """Largest distance between two corners."""
    away = hull[:, None, :] - hull[None, :, :]
    return float(np.sqrt((away**2).sum(axis=2).max()))


def _sharp_corners(hull: Points2) -> int:
    """Corners that turn sharply, after small roundings are left out."""
    plain = simplified(bundled([hull]), ROUNDING_MM)
    if plain.x.size < 3:
        return 0
    points = np.stack([plain.x, plain.y], axis=1)
    edge = np.roll(points, -1, axis=0) - points
    edge /= np.linalg.norm(edge, axis=1)[:, None]
    turn_cos = (edge * np.roll(edge, 1, axis=0)).sum(axis=1)
    return int((turn_cos < SHARP_COS).sum())
