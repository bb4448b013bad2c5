"""The paths of a whole sheet."""

import numpy as np
import pytest

from fabsched.estimate.cut_regions import parents_of
from fabsched.estimate.cut_sheet import sheet_paths
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from tests.estimate.test_cutting import LASER, SHEET, box, estimate

KERF_MM = 0.2


def moved(drawing: Drawing, x: float) -> Drawing:
    """A drawing shifted to the right."""
    return Drawing(
        tuple(
            Outline(o.points_mm + np.array([x, 0.0]), closed=o.closed, operation=o.operation)
            for o in drawing.outlines
        )
    )


def extents(drawing: Drawing) -> list[tuple[float, float]]:
    """Width and height of every path."""
    sides = [np.ptp(path.points_mm, axis=0).tolist() for path in drawing.outlines]
    return [(round(x, 6), round(y, 6)) for x, y in sides]


FRAME = Drawing((box(0, 0, 40, 40), box(10, 10, 20, 20)))
"""A plate of 40 mm with a window of 20 mm."""


def test_outer_paths_grow_by_a_kerf_and_holes_shrink_by_one() -> None:
    """A beam of width k on the line makes parts smaller and holes larger by k (identity)."""
    assert extents(sheet_paths([FRAME], KERF_MM)) == [
        (20 - KERF_MM, 20 - KERF_MM),
        (40 + KERF_MM, 40 + KERF_MM),
    ]


def test_the_whole_sheet_is_as_long_as_the_estimates_of_its_parts() -> None:
    """What is exported is what was measured, whatever the order and the places."""
    parts = [moved(FRAME, 50.0 * i) for i in range(3)]
    cut_mm = sum(path.length_mm for path in sheet_paths(parts, KERF_MM).outlines)
    assert SHEET.settings[0].kerf_mm == KERF_MM
    assert cut_mm == pytest.approx(3 * (estimate(*FRAME.outlines, laser=LASER).cut_mm or 0))


def test_inner_cuts_come_before_those_around_them() -> None:
    """On every part of the sheet the window falls out before the plate does."""
    paths = sheet_paths([moved(FRAME, 50.0 * i) for i in range(4)], KERF_MM).outlines
    around = parents_of(paths)
    assert (around >= 0).sum() == 4
    assert all(outer > inner for inner, outer in enumerate(around) if outer >= 0)


def test_marks_come_before_cuts_and_get_no_kerf() -> None:
    """Engraved first, scored next, cut last; only cuts are moved."""
    mixed = Drawing(
        (
            box(0, 0, 40, 40),
            box(5, 5, 10, 10, Operation.SCORE),
            box(20, 20, 10, 10, Operation.ENGRAVE),
        )
    )
    paths = sheet_paths([mixed], KERF_MM)
    operations = [path.operation for path in paths.outlines]
    assert operations == [Operation.ENGRAVE, Operation.SCORE, Operation.CUT]
    assert extents(paths) == [(10, 10), (10, 10), (40 + KERF_MM, 40 + KERF_MM)]


def test_an_empty_sheet_has_no_paths() -> None:
    """Nothing is done where there is nothing."""
    assert sheet_paths([], KERF_MM).outlines == ()
