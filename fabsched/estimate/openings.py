"""Places inside of a flat part that drop out when it is cut."""

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, FillRule
from numpy.typing import NDArray

from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline, Points2

NARROWEST_MM = 10.0
"""Openings narrower than this are screw holes and slots (our own choice)."""

Ring = tuple[tuple[float, float], ...]


def openings(paths: Sequence[Outline]) -> tuple[Ring, ...]:
    """Borders of the pieces that drop out of a part and hold nothing of it.

    Narrow ones are left out. Another part may be cut from such a piece. Pieces within which something else is drawn are left out:
    they may be wanted.

    Args:
        paths: of one part.

    Returns:
        Rings in mm.
    """
    cuts = [path for path in paths if path.closed and path.operation is Operation.CUT]
    if not cuts:
        return ()
    boxes, all_boxes = _boxes(cuts), _boxes(paths)
    wide = np.flatnonzero((boxes[:, 2:] - boxes[:, :2]).min(axis=1) >= NARROWEST_MM)
    found = []
    for number in wide.tolist():
        cut, box = cuts[number], boxes[number]
        outer = np.flatnonzero(_within(box, boxes)).tolist()
        around = [n for n in outer if n != number and _encloses(cuts[n].points_mm, cut.points_mm)]
        inner = (paths[n] for n in np.flatnonzero(_within(all_boxes, box)).tolist())
        others = (path for path in inner if path is not cut)
        if len(around) == 1 and not any(_touches(cut.points_mm, path) for path in others):
            found.append(tuple((float(x), float(y)) for x, y in cut.points_mm))
    return tuple(found)


def _boxes(paths: Sequence[Outline]) -> NDArray[np.float64]:
    """(n, 4) lowest and highest corner of each."""
    points = [path.points_mm for path in paths]
    return np.array([np.concatenate([p.min(axis=0), p.max(axis=0)]) for p in points])


def _within(inner: NDArray[np.float64], outer: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether boxes lie in others; one of the two is a single box."""
    low, high = inner[..., :2] >= outer[..., :2], inner[..., 2:] <= outer[..., 2:]
    return np.asarray((low & high).all(axis=-1))


def _encloses(outer: Points2, inner: Points2) -> bool:
    """Whether nothing of one area lies outside of another."""
    rest = CrossSection([inner], FillRule.NonZero) - CrossSection([outer], FillRule.NonZero)
    return bool(rest.is_empty())


def _touches(ring: Points2, path: Outline) -> bool:
    """Whether a path that lies within the box of a ring has a point inside of it."""
    area = CrossSection([ring], FillRule.NonZero)
    lines = [np.vstack([path.points_mm, path.points_mm[::-1] + 1e-6])]
    return not (area ^ CrossSection(lines, FillRule.NonZero)).is_empty()
