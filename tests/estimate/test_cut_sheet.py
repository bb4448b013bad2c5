"""A whole sheet: its order, its paths, and its time against that of everything on it in one go."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.cut_rings import parents_of
from fabsched.estimate.cut_settings import cut_speeds
from fabsched.estimate.cut_sheet import Lying, added_s, sheet_paths, visits
from fabsched.estimate.cut_track import Move, Track
from fabsched.estimate.engraving import engraved_rows, engraving_path
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from tests.estimate.test_cutting import LASER, SHEET, box, circle, estimate

KERF_MM = 0.2
FRAME = Drawing((box(0, 0, 40, 40), box(10, 10, 20, 20)))
"""A plate of 40 mm with a window of 20 mm."""
MIXED = Drawing(
    (
        box(0, 0, 40, 30),
        circle(8, 8, 3, 24),
        circle(32, 22, 3, 24),
        box(5, 15, 12, 3, Operation.SCORE),
        box(20, 4, 14, 6, Operation.ENGRAVE),
        Outline(np.array([[3.0, 26], [20, 27]]), closed=False, operation=Operation.ENGRAVE),
    )
)
"""Everything a laser does on one small plate."""
DISC = Drawing((circle(0, 0, 6, 60),))


def lying(
    drawing: Drawing, x_mm: float, y_mm: float = 0.0, turn_deg: float = 0.0
) -> tuple[Lying, Drawing]:
    """A drawing where it lies, as the planner and the export know it."""
    known = estimate(*drawing.outlines, turns_deg=(turn_deg,))
    return Lying(estimate=known, x_mm=x_mm, y_mm=y_mm, turn_deg=turn_deg), drawing


def planned_s(parts: list[tuple[Lying, Drawing]]) -> float:
    """As the planner counts: what the parts take, and what lies between them."""
    alone = sum(part.estimate.seconds.likely for part, _ in parts)
    return alone + added_s([part for part, _ in parts], LASER)


def whole_s(parts: list[tuple[Lying, Drawing]]) -> float:
    """One run of the motion planner over the sheet's paths, from the corner and back to it.

    Nothing of the parts' own estimates is in it but the order of the paths. Areas are engraved by
    the lines the laser makes of them where they lie.
    """
    speeds = cut_speeds(LASER, SHEET, 3.0, where="sheet")
    track, waiting = Track(np.zeros(2)), list[Outline]()
    for path in sheet_paths(parts, KERF_MM).outlines:
        if path.operation is Operation.ENGRAVE and path.closed:
            waiting.append(path)
            continue
        kind = Move.CUT if path.operation is Operation.CUT else Move.SCORE
        waiting = _engrave(track, waiting)
        ring = [path.points_mm, *([path.points_mm[:1]] if path.closed else [])]
        track.follow(np.concatenate(ring), kind)
        track.pierces += kind is Move.CUT
    _engrave(track, waiting)
    track.follow(np.zeros((2, 2)), Move.SCORE)
    return float(track.seconds(LASER, speeds)[0].sum()) + track.pierces * speeds.pierce_s


def _engrave(track: Track, areas: list[Outline]) -> list[Outline]:
    speed = cut_speeds(LASER, SHEET, 3.0, where="sheet").engrave_mm_s
    for rows in engraved_rows([area.points_mm for area in areas]):
        track.follow(engraving_path(rows, speed, LASER.accel_mm_s2), Move.ENGRAVE, halting=True)
    return []


def extents(drawing: Drawing) -> list[tuple[float, float]]:
    """Width and height of every path."""
    sides = [np.ptp(path.points_mm, axis=0).tolist() for path in drawing.outlines]
    return [(round(x, 6), round(y, 6)) for x, y in sides]


@given(
    st.lists(
        st.tuples(st.sampled_from([FRAME, DISC]), st.floats(0, 359), st.floats(0, 8)),
        min_size=1,
        max_size=6,
    )
)
def test_the_planned_time_is_that_of_the_whole_sheet_in_one_go(
    copies: list[tuple[Drawing, float, float]],
) -> None:
    """To a millionth, however the parts are turned: everything begins and ends at a standstill."""
    parts = [
        lying(drawing, 60.0 * i + off, 60.0 + off, turn)
        for i, (drawing, turn, off) in enumerate(copies)
    ]
    assert planned_s(parts) == pytest.approx(whole_s(parts), rel=1e-6)


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 180.0, 225.0, 270.0])
def test_engraving_is_counted_by_how_the_part_lies(turn: float) -> None:
    """To two thousandths, or a quarter of a second a part: only ways to its areas are left.

    Lines run along x of the machine; at half a turn they are counted from the other end.
    """
    parts = [lying(MIXED, 60.0 + 70.0 * i, 60.0, turn) for i in range(3)]
    assert planned_s(parts) == pytest.approx(whole_s(parts), rel=0.002, abs=0.25 * len(parts))


def test_a_part_on_its_side_is_engraved_in_other_lines() -> None:
    """Sixty by twenty millimetres: three times as many lines across as along, a third as long."""
    wide = Drawing((box(0, 0, 60, 20, Operation.ENGRAVE),))
    along, across = (planned_s([lying(wide, 100, 100, turn)]) for turn in (0.0, 90.0))
    assert across > 1.2 * along


def test_ways_between_parts_count() -> None:
    """Two plates far apart take longer than side by side, by the way there and back."""
    near, far = (planned_s([lying(FRAME, 0), lying(FRAME, x)]) for x in (45.0, 545.0))
    v = LASER.travel_mm_s
    assert far - near == pytest.approx(2 * 500 / v, rel=0.02)


def test_outer_paths_grow_by_a_kerf_and_holes_shrink_by_one() -> None:
    """A beam of width k on the line makes parts smaller and holes larger by k (identity)."""
    assert extents(sheet_paths([lying(FRAME, 0)], KERF_MM)) == [
        (20 - KERF_MM, 20 - KERF_MM),
        (40 + KERF_MM, 40 + KERF_MM),
    ]


def test_the_whole_sheet_is_as_long_as_the_estimates_of_its_parts() -> None:
    """What is exported is what was measured, whatever the order and the places."""
    parts = [lying(FRAME, 50.0 * i) for i in range(3)]
    cut_mm = sum(path.length_mm for path in sheet_paths(parts, KERF_MM).outlines)
    assert SHEET.settings[0].kerf_mm == KERF_MM
    assert cut_mm == pytest.approx(3 * (parts[0][0].estimate.cut_mm or 0))


def test_inner_cuts_come_before_those_around_them() -> None:
    """On every part of the sheet the window falls out before the plate does."""
    parts = [lying(FRAME, 50.0 * i) for i in range(4)]
    paths = sheet_paths(parts, KERF_MM).outlines
    around = parents_of(paths)
    assert (around >= 0).sum() == 4
    assert all(outer > inner for inner, outer in enumerate(around) if outer >= 0)


def test_a_part_in_an_opening_is_cut_before_the_opening_drops_out() -> None:
    """A disc in the window of a frame, and one more disc in a frame within a frame."""
    large = Drawing((box(0, 0, 100, 100), box(10, 10, 80, 80)))
    parts = [lying(large, 0), lying(FRAME, 30, 30), lying(DISC, 50, 50), lying(DISC, 120, 120)]
    order = [visit.part for visit in visits([part for part, _ in parts])]
    assert order.index(2) < order.index(1) < order.index(0)
    paths = sheet_paths(parts, KERF_MM).outlines
    around = parents_of(paths)
    assert all(outer > inner for inner, outer in enumerate(around) if outer >= 0)


def test_one_part_is_finished_after_the_other_the_nearest_next() -> None:
    """A row from left to right, however it is given; each part whole before the next one."""
    xs = (150.0, 0.0, 100.0, 50.0)
    parts = [lying(FRAME, x) for x in xs]
    assert [visit.part for visit in visits([part for part, _ in parts])] == [1, 3, 2, 0]
    lows = [path.points_mm[:, 0].min() for path in sheet_paths(parts, KERF_MM).outlines]
    assert sorted(lows[::2]) == lows[::2]


def test_marks_come_before_cuts_on_all_parts_and_get_no_kerf() -> None:
    """Engraved first, scored next, cut last; only cuts are moved."""
    paths = sheet_paths([lying(MIXED, 60.0 * i) for i in range(2)], KERF_MM)
    operations = [path.operation for path in paths.outlines]
    engraved, scored = [Operation.ENGRAVE] * 4, [Operation.SCORE] * 2
    assert operations == [*engraved, *scored, *[Operation.CUT] * 6]
    assert extents(paths)[4] == (12, 3)
    assert extents(paths)[-1] == (40 + KERF_MM, 30 + KERF_MM)


def test_an_empty_sheet_has_no_paths_and_takes_no_time() -> None:
    """Nothing is done where there is nothing."""
    assert sheet_paths([], KERF_MM).outlines == ()
    assert added_s([], LASER) == 0.0
