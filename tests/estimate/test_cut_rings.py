"""Quick ways for many rings, each held against the slow one that needs no such care."""

import math
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection, FillRule, JoinType

from fabsched.estimate import crossing, cut_faults
from fabsched.estimate.crossing import crossings
from fabsched.estimate.cut_faults import cut_findings
from fabsched.estimate.cut_regions import area_mm2, beside_kerf, shadow
from fabsched.estimate.cut_rings import convex_of, joined, lengths_mm, moved_convex
from fabsched.estimate.openings import openings
from fabsched.model.shapes import Outline, Points2
from tests.estimate.test_cutting import box, circle, estimate, ring

KERF_MM = 0.2


@st.composite
def hulls(draw: st.DrawFn) -> Points2:
    """A convex ring of three corners or more, either way around."""
    angles = draw(st.lists(st.integers(0, 359), min_size=3, max_size=24, unique=True))
    wide, high = draw(st.floats(2, 50)), draw(st.floats(2, 50))
    turn = np.radians(np.sort(np.array(angles)))
    points = np.column_stack([wide * np.cos(turn), high * np.sin(turn)])
    return np.asarray(points[:: draw(st.sampled_from([1, -1]))])


@given(hulls(), st.floats(-0.5, 0.5).filter(lambda shift: abs(shift) > 1e-3))
def test_convex_rings_move_as_the_library_moves_them(points: Points2, shift: float) -> None:
    """Where the quick way says it is right, it covers the same area to a thousandth of a mm^2."""
    starts = np.array([0, len(points)])
    moved, right = moved_convex(points, starts, np.array([shift]))
    if right[0]:
        area = CrossSection([points], FillRule.NonZero).offset(shift, JoinType.Miter, 2.0)
        differs = (area - CrossSection([moved], FillRule.NonZero)).area()
        assert differs < 1e-3
        assert abs(area.area() - abs(area_mm2(moved))) < 1e-3


@given(hulls())
def test_hulls_are_convex_and_stars_are_not(points: Points2) -> None:
    """A hull turns one way and once; pulled in at a corner, or run around twice, it is none."""
    starts = np.array([0, len(points)])
    assert convex_of(points, starts)[0]
    twice = np.concatenate([points, points])
    assert not convex_of(twice, np.array([0, len(twice)]))[0]
    middle = points.mean(axis=0)
    dented = np.concatenate([points[:1], middle[None] * 0.999 + points[:1] * 0.001, points[1:]])
    assert not convex_of(dented, np.array([0, len(dented)]))[0]


def test_a_dumbbell_and_a_pentagram_are_not_convex() -> None:
    """One is narrow in the middle, the other runs around twice."""
    dumbbell = [(0, 0), (30, 0), (30, 9), (50, 9), (50, 0), (80, 0), (80, 20), (0, 20)]
    star = [(math.cos(k * 0.8 * math.pi), math.sin(k * 0.8 * math.pi)) for k in range(5)]
    rings = [ring(*dumbbell), ring(*star), box(0, 0, 2, 3)]
    assert convex_of(*joined(rings)).tolist() == [False, False, True]


@given(st.lists(st.tuples(*[st.floats(0, 60)] * 2), min_size=2, max_size=40), st.booleans())
def test_the_grid_never_misses_a_crossing(points: list[tuple[float, float]], closed: bool) -> None:
    """The same crossings are found with it and without."""
    path = [Outline(np.array(points), closed=closed and len(points) > 2)]
    with patch.object(crossing, "_surely_none", lambda *_: False):
        slow = crossings(path)
    assert crossings(path) == slow


@st.composite
def plates(draw: st.DrawFn) -> list[Outline]:
    """A plate with round and angular holes, some of which hold a piece or a line; none cross."""
    found = [box(0, 0, 200, 120)]
    for i in range(4):
        for j in range(2):
            x, y, side = 10.0 + 48 * i, 10.0 + 55 * j, draw(st.floats(4, 40))
            kind = draw(st.sampled_from(["none", "box", "round", "slot", "island", "line"]))
            if kind in {"box", "island", "line"}:
                found.append(box(x, y, side, side))
            if kind == "round":
                found.append(circle(x + side / 2, y + side / 2, side / 2, 40))
            if kind == "slot":
                found.append(
                    ring((x, y), (x + side, y), (x + side / 2, y + side / 3), (x, y + side))
                )
            if kind == "island":
                found.append(box(x + 1, y + 1, side / 3, side / 3))
            if kind == "line":
                line = np.array([[x + 1, y + 1], [x + 2, y + 1.5]])
                found.append(Outline(line, closed=False))
    return found


@given(plates())
def test_what_lies_apart_is_found_the_same_way(paths: list[Outline]) -> None:
    """Openings, border and findings hang not on whether crossings were looked for before."""
    assert crossings([path for path in paths if path.closed]) is None
    assert openings(paths, apart=True) == openings(paths)
    assert area_mm2(shadow(paths, apart=True)) == pytest.approx(area_mm2(shadow(paths)))
    told = [cut_findings(paths, KERF_MM, 3.0, "lid", apart=apart) for apart in (False, True)]
    assert told[0] == told[1]


@given(plates())
def test_plain_holes_bear_on_no_web(paths: list[Outline]) -> None:
    """The same is weak whether they are looked at for webs or left aside."""
    told = cut_findings(paths, KERF_MM, 3.0, "lid")
    with patch.object(cut_faults, "_without_plain", list):
        slow = cut_findings(paths, KERF_MM, 3.0, "lid")
    assert [finding.code for finding in told] == [finding.code for finding in slow]


@given(plates())
def test_lengths_are_those_of_the_paths(paths: list[Outline]) -> None:
    """One by one, open ones without a closing chord."""
    assert lengths_mm(paths).tolist() == pytest.approx([path.length_mm for path in paths])


def test_a_plate_of_many_holes_is_estimated_as_its_closed_forms_say() -> None:
    """600 round holes: every cut a kerf shorter around, each pierced once, 2 mm between them told."""
    holes = [circle(6 * i + 6, 6 * j + 6, 2, 64) for i in range(30) for j in range(20)]
    found = estimate(box(0, 0, 186, 126), *holes)
    chords = 2 * 64 * math.sin(math.pi / 64)
    inset = 2 - KERF_MM / 2 / math.cos(math.pi / 64)
    outer_mm = 2 * (186 + 126 + 2 * KERF_MM)
    assert found.cut_mm == pytest.approx(outer_mm + 600 * chords * inset, rel=1e-9)
    assert found.pierces == 601
    (near,) = found.findings
    assert (near.facts["count"], near.facts["gap"]) == (600, 2.0)
    assert len(beside_kerf(holes, KERF_MM)) == 600
