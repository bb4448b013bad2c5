"""Places inside of a flat part that drop out when it is cut."""

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, FillRule
from numpy.typing import NDArray

from fabsched.estimate.cut_rings import boxes_of, depths_of, joined, parents_of
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline, Points2

NARROWEST_MM = 10.0
"""Openings narrower than this are screw holes and slots (our own choice)."""

Boxes = NDArray[np.float64]
Numbers = NDArray[np.int64]
Ring = tuple[tuple[float, float], ...]


def openings(paths: Sequence[Outline], *, apart: bool = False) -> tuple[Ring, ...]:
    """Borders of the pieces that drop out of a part and hold nothing of it.

    Narrow ones are left out. Another part may be cut from such a piece. Pieces within which something else is drawn are left out:
    they may be wanted.

    Args:
        paths: of one part.
        apart: whether it is known that no closed path crosses another, which saves time.

    Returns:
        Rings in mm.
    """
    cuts = [path for path in paths if path.closed and path.operation is Operation.CUT]
    if not cuts:
        return ()
    boxes = _boxes(cuts)
    wide = np.flatnonzero((boxes[:, 2:] - boxes[:, :2]).min(axis=1) >= NARROWEST_MM)
    empty = _empty_apart(paths, cuts, wide) if apart else _empty(paths, cuts, boxes, wide)
    return tuple(tuple(map(tuple, cuts[number].points_mm.tolist())) for number in empty)


def _empty(
    paths: Sequence[Outline], cuts: Sequence[Outline], boxes: Boxes, wide: Numbers
) -> list[int]:
    """Those within one cut alone that hold nothing."""
    all_boxes, found = _boxes(paths), []
    for number in wide.tolist():
        cut, box = cuts[number], boxes[number]
        outer = np.flatnonzero(_within(box, boxes)).tolist()
        around = [n for n in outer if n != number and _encloses(cuts[n].points_mm, cut.points_mm)]
        inner = (paths[n] for n in np.flatnonzero(_within(all_boxes, box)).tolist())
        others = (path for path in inner if path is not cut)
        if len(around) == 1 and not any(_touches(cut.points_mm, path) for path in others):
            found.append(number)
    return found


def _empty_apart(paths: Sequence[Outline], cuts: Sequence[Outline], wide: Numbers) -> list[int]:
    """The same where no closed path crosses another: then one point tells what lies in what."""
    once = depths_of(parents_of(cuts)) == 1
    closed = [path for path in paths if path.closed]
    full = {id(closed[n]) for n in parents_of(closed) if n >= 0}
    lines = [path for path in paths if not path.closed]
    return [
        number
        for number in wide.tolist()
        if once[number]
        and id(cuts[number]) not in full
        and not any(_holds(cuts[number], line) for line in lines)
    ]


def _holds(cut: Outline, line: Outline) -> bool:
    """Whether a line lies within the box of a cut and touches what is inside of it."""
    box, own = _boxes([cut, line])
    return bool(_within(own, box)) and _touches(cut.points_mm, line)


def _boxes(paths: Sequence[Outline]) -> Boxes:
    """(n, 4) lowest and highest corner of each."""
    return boxes_of(*joined(paths))


def _within(inner: Boxes, outer: Boxes) -> NDArray[np.bool_]:
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
