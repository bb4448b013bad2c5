"""What is weak or gets lost in a cut part: one tiny drawing for each defect."""

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.cut_faults import cut_findings, holes_near
from fabsched.files.parts import read_part
from fabsched.model.findings import Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from tests.estimate.test_cutting import box, circle

FOLDER = Path(__file__).parent.parent / "data" / "outlines"
KERF_MM, THICK_MM = 0.2, 3.0


def codes(paths: Sequence[Outline]) -> list[Remark]:
    """What is found in paths of a sheet of 3 mm."""
    return [f.code for f in cut_findings(paths, KERF_MM, THICK_MM, "lid.svg")]


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("web_weak", [Remark.WEB_TOO_THIN]),  # a neck of 1 mm
        ("web_gone", [Remark.FALLS_APART]),  # a neck of 0.15 mm
        ("holes_near", [Remark.HOLES_NEAR]),  # 1.5 mm between two holes
        ("hole_at_edge", [Remark.HOLES_NEAR]),  # 0.8 mm to the edge
        ("hole_over_edge", [Remark.FALLS_APART, Remark.HOLES_NEAR]),  # it touches the edge
        ("island", [Remark.FALLS_OUT]),  # the inside of a letter
        ("mark_in_hole", [Remark.FALLS_OUT]),  # engraved on what falls out
        ("parted", [Remark.PARTED]),  # an open line from edge to edge
        ("sound", []),  # everything as far apart as the sheet is thick
    ],
)
def test_every_defect_of_a_drawing_is_told(name: str, wanted: list[Remark]) -> None:
    """One file with one defect each, and nothing else is found in it."""
    drawing, _ = read_part(FOLDER / f"{name}.svg")
    assert isinstance(drawing, Drawing)
    assert codes(drawing.outlines) == wanted


@given(st.floats(0.3, 4.0), st.floats(0.5, 8.0), st.floats(0.5, 8.0), st.floats(0, 2 * math.pi))
def test_the_gap_of_two_round_holes_is_that_of_their_circles(
    gap: float, one: float, other: float, turn: float
) -> None:
    """Centre distance less both radii, in any direction (chords lie within r (1 - cos(pi/360)))."""
    away = one + other + gap
    holes = [circle(0, 0, one), circle(away * math.cos(turn), away * math.sin(turn), other)]
    found = holes_near([box(-60, -60, 120, 120), *holes], 5.0)
    assert found is not None
    assert found.count == 2
    assert found.gap_mm == pytest.approx(gap, abs=1e-3)


def test_rings_of_many_chords_are_looked_at_at_once() -> None:
    """Two of ten thousand chords, a millimetre apart all around."""
    found = holes_near([circle(0, 0, 100, 10_000), circle(0, 0, 99, 10_000)], 3.0)
    assert found is not None
    assert found.gap_mm == pytest.approx(1.0, abs=1e-4)


def test_holes_far_apart_are_no_concern() -> None:
    """As far as the limit is far enough."""
    holes = [box(10, 10, 10, 10), box(23, 10, 10, 10)]
    assert holes_near([box(0, 0, 60, 40), *holes], 3.0) is None


def test_a_piece_of_its_own_in_a_hole_is_not_near_the_hole() -> None:
    """What lies in the hole of another is apart from it anyway; it only falls out."""
    island = (box(0, 0, 60, 60), box(10, 10, 40, 40), box(11, 11, 38, 38))
    assert holes_near(island[:2], 12.0) is not None
    assert codes(island) == [Remark.FALLS_OUT]


def test_marks_on_the_part_stay() -> None:
    """Engraved and scored lines on the material, a frame around the mark included."""
    frame = box(10, 10, 40, 40, Operation.SCORE)
    mark = box(20, 20, 20, 20, Operation.ENGRAVE)
    assert codes([box(0, 0, 60, 60), frame, mark]) == []


def test_a_tangle_of_lines_is_not_counted() -> None:
    """A thousand lines across each other would be tens of thousands of pieces."""
    rng = np.random.default_rng(4)
    lines = [Outline(rng.uniform(1, 59, (2, 2)), closed=False) for _ in range(1000)]
    assert codes([box(0, 0, 60, 60), *lines]) == []
    rows = [Outline(np.array([[-1.0, y], [61.0, y]]), closed=False) for y in range(1, 60)]
    (found,) = cut_findings([box(0, 0, 60, 60), *rows], KERF_MM, THICK_MM, "lid.svg")
    assert (found.code, found.facts["count"]) == (Remark.PARTED, 60)


def test_a_slit_that_ends_inside_parts_nothing() -> None:
    """An open cut from the edge into the part leaves one piece."""
    slit = Outline(np.array([[-5.0, 30.0], [40.0, 30.0]]), closed=False)
    assert codes([box(0, 0, 60, 60), slit]) == []


@pytest.mark.parametrize("over", [0.5, 5.0])
def test_closed_cuts_that_cross_are_told(over: float) -> None:
    """A hole that reaches over the edge crosses it twice; the place is named."""
    found = cut_findings([box(0, 0, 40, 30), box(40 - over, 10, 8, 8)], KERF_MM, THICK_MM, "lid")
    (crossed,) = [f for f in found if f.code is Remark.OUTLINES_CROSS]
    assert crossed.facts == {"count": 2, "x": 40.0, "y": 10.0} or crossed.facts["y"] == 18.0


def test_an_outline_that_crosses_itself_is_told() -> None:
    """A bow tie crosses itself once, in its middle."""
    bow = Outline(np.array([(0.0, 0.0), (40.0, 20.0), (40.0, 0.0), (0.0, 20.0)]), closed=True)
    (crossed,) = [
        f for f in cut_findings([bow], KERF_MM, THICK_MM, "bow") if f.code is Remark.OUTLINES_CROSS
    ]
    assert crossed.facts == {"count": 1, "x": 20.0, "y": 10.0}


def test_outlines_that_only_touch_do_not_cross() -> None:
    """Corner on corner, corner on edge and edge on edge."""
    touching = [box(0, 0, 10, 10), box(10, 10, 5, 5), box(10, 0, 5, 5)]
    assert Remark.OUTLINES_CROSS not in codes(touching)


@pytest.mark.parametrize(("side", "told"), [(0.1, True), (0.19, True), (0.21, False), (1.0, False)])
def test_a_hole_no_wider_than_the_kerf_is_told(side: float, told: bool) -> None:
    """The beam cannot run beside its line, so that it comes out wider than drawn."""
    found = codes([box(0, 0, 40, 30), box(15, 12, side, 8)])
    assert (Remark.HOLES_BELOW_KERF in found) == told
