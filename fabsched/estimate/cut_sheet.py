"""The paths of a whole sheet, in the order in which a laser runs over them."""

from collections.abc import Sequence

import numpy as np

from fabsched.estimate.cut_order import Stroke, in_order
from fabsched.estimate.cut_regions import beside_kerf
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline, Points2

ORDER = (Operation.ENGRAVE, Operation.SCORE, Operation.CUT)
"""Marks come before cuts, since what is cut off may move."""


def sheet_paths(parts: Sequence[Drawing], kerf_mm: float) -> Drawing:
    """Everything a laser does on a sheet.

    Cuts run half a kerf beside the outlines, inner ones before those around them, the nearest
    next; so that parts come out as drawn, and the machine itself must add no kerf. The paths are
    those that `estimate_cut` measures.

    Args:
        parts: the parts where they lie, in mm from the lower left corner of the sheet.
        kerf_mm: width of the cut.

    Returns:
        The paths in order: engraved, scored, cut. There are none where there are no parts.
    """
    here: Points2 = np.zeros(2)
    paths: list[Outline] = []
    for operation in ORDER:
        wanted = [path for part in parts for path in _of(part, operation, kerf_mm)]
        strokes = in_order(wanted, here)
        paths.extend(_path(stroke, wanted[stroke.path]) for stroke in strokes)
        here = strokes[-1].points_mm[-1] if strokes else here
    return Drawing(tuple(paths))


def _of(part: Drawing, operation: Operation, kerf_mm: float) -> tuple[Outline, ...]:
    """What one part has of an operation; the kerf is a matter of each part by itself."""
    paths = tuple(path for path in part.outlines if path.operation is operation)
    return beside_kerf(paths, kerf_mm) if operation is Operation.CUT else paths


def _path(stroke: Stroke, path: Outline) -> Outline:
    points = stroke.points_mm[:-1] if path.closed else stroke.points_mm
    return Outline(points, closed=path.closed, operation=path.operation)
