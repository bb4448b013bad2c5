"""Insets, against Steiner's formula for parallel bodies and the polygon library."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection, JoinType, OpType

from fabsched.estimate.arrays import Loops, bundled
from fabsched.estimate.offsets import _inset, inset
from fabsched.estimate.regions import Measure, covered_by, library_inset, loops_of, polygons_of
from fabsched.estimate.tidy import is_tidy
from fabsched.model.shapes import Points2
from tests.estimate import bodies


@st.composite
def stars(draw: st.DrawFn) -> Points2:
    """A polygon around the origin with corners at uneven distances: notches, spikes and all."""
    reach = draw(st.lists(st.integers(4, 40), min_size=3, max_size=40))
    angles = np.arange(len(reach)) * (2 * np.pi / len(reach))
    return np.stack([reach * np.cos(angles), reach * np.sin(angles)], axis=1).round(4)


@st.composite
def regions(draw: st.DrawFn) -> Loops:
    """One to four stars thrown together and united, some with holes."""
    spots = st.tuples(st.integers(-40, 40), st.integers(-40, 40))
    placed = draw(st.lists(st.tuples(stars(), spots, st.booleans()), min_size=1, max_size=4))
    loops = [
        polygon
        for star, spot, hollow in placed
        for polygon in (star + np.array(spot), (0.5 * star + np.array(spot))[::-1])[: 1 + hollow]
    ]
    return loops_of(covered_by(bundled(loops)))


def on_the_limit(region: Loops) -> int:
    """Corners that turn by so nearly 120 degrees that rounding decides how they are mitred."""
    count = 0
    for polygon in polygons_of(region):
        edge = np.roll(polygon, -1, axis=0) - polygon
        edge /= np.linalg.norm(edge, axis=1)[:, None]
        turn_cos = (edge * np.roll(edge, 1, axis=0)).sum(axis=1)
        count += int((abs(turn_cos + 0.5) < 1e-3).sum())
    return count


@given(regions(), st.floats(0.1, 12.0))
def test_between_two_offsets_of_the_library(region: Loops, distance: float) -> None:
    """What the quick way trusts holds the mitred, and lies within the rounded, offset of manifold3d.

    Both bound it exactly: the library keeps the mitre of an edge that has vanished, which cuts off
    more, and all points farther than the distance from the border cut off least. A mitre at 120
    degrees is d^2 (tan 60 - 2 tan 30) = 0.58 d^2 larger than the same corner cut square.
    """
    moved, sound = _inset(region, distance)
    if sound:
        ours = covered_by(Loops(*moved))
        mitred = covered_by(library_inset(region, distance))
        rounded = covered_by(region).offset(-distance, JoinType.Round, 2.0)
        slack = 1e-6 * Measure(region).length_mm
        limit = 0.58 * distance**2 * on_the_limit(region)
        assert without(mitred, ours) <= slack + limit
        assert without(ours, rounded) <= slack


def without(region: object, other: object) -> float:
    """Area of what lies in one region only."""
    return float(CrossSection.batch_boolean([region, other], OpType.Subtract).area())


@given(regions(), st.floats(0.1, 3.0), st.floats(0.1, 3.0))
def test_two_steps_make_one(region: Loops, first: float, second: float) -> None:
    """Moving a border twice covers what moving it once by the sum covers, or cuts off less.

    Only mitres cut square at an inner corner make a difference, and only to the smaller side.
    """
    once = Measure(inset(region, first + second)).area_mm2
    twice = Measure(inset(inset(region, first), second)).area_mm2
    assert twice <= Measure(region).area_mm2
    assert twice == pytest.approx(once, abs=0.05 * Measure(region).area_mm2 + 1e-3)


@pytest.mark.parametrize("distance", [0.1, 1.0, 7.5])
@pytest.mark.parametrize("sides", [3, 4, 7, 64, 500])
def test_steiner(sides: int, distance: float) -> None:
    """A convex polygon shrinks to A - P d + T d^2 with perimeter P - 2 T d.

    Steiner's formula for parallel bodies, T being the sum of tan(turn / 2), n tan(pi / n) here.
    """
    polygon = bodies.circle(20, sides)
    area = 0.5 * sides * 400 * math.sin(2 * math.pi / sides)
    length = 2 * sides * 20 * math.sin(math.pi / sides)
    corners = sides * math.tan(math.pi / sides)
    got = Measure(inset(bundled([polygon]), distance))
    assert got.area_mm2 == pytest.approx(area - length * distance + corners * distance**2, rel=1e-9)
    assert got.length_mm == pytest.approx(length - 2 * corners * distance, rel=1e-9)
    back = Measure(bundled([polygon])).grown_mm2(-distance)
    assert back == pytest.approx(got.area_mm2, rel=1e-9)


def test_hole_grows() -> None:
    """A plate with a hole loses at both borders: 20 x 20 less a 4 x 4 hole, moved by 1."""
    plate = bundled([bodies.rectangle(20, 20), bodies.rectangle(4, 4, (8, 8))[::-1]])
    assert Measure(inset(plate, 1.0)).area_mm2 == pytest.approx(18 * 18 - 6 * 6, rel=1e-12)


@pytest.mark.parametrize("width", [1.0, 1.9, 1.999])
def test_thin_things_vanish(width: float) -> None:
    """A strip, a frame and a ring thinner than twice the distance leave nothing."""
    strip = bundled([bodies.rectangle(40, width)])
    frame = bundled(
        [
            bodies.rectangle(40, 30),
            bodies.rectangle(40 - 2 * width, 30 - 2 * width, (width, width))[::-1],
        ]
    )
    ring = bundled([bodies.circle(20), bodies.circle(20 - width)[::-1]])
    for thin in (strip, frame, ring):
        assert inset(thin, 1.0).x.size == 0


def test_neck_breaks() -> None:
    """A dumbbell comes apart where it is thinner than twice the distance."""
    dumbbell = loops_of(
        covered_by(
            bundled(
                [
                    bodies.rectangle(10, 10),
                    bodies.rectangle(10, 10, (20, 0)),
                    bodies.rectangle(14, 1, (8, 4.5)),
                ]
            )
        )
    )
    halves = polygons_of(inset(dumbbell, 1.0))
    assert len(halves) == 2
    assert Measure(bundled(halves)).area_mm2 == pytest.approx(2 * 8 * 8, rel=1e-6)


def test_rounded_corners_become_sharp() -> None:
    """Corners rounded by less than the distance end in one sharp corner."""
    centres = ((2, 2), (18, 2), (18, 8), (2, 8))
    arcs = [bodies.circle(2, 64, at=at) for at in centres]
    picked = [arc[np.arange(32 + 16 * q, 32 + 16 * (q + 1) + 1) % 64] for q, arc in enumerate(arcs)]
    rounded = inset(bundled([np.concatenate(picked)]), 2.5)
    assert rounded.x.size == 4
    assert Measure(rounded).area_mm2 == pytest.approx(15 * 5, rel=1e-4)


@given(st.lists(stars(), min_size=1, max_size=3), st.integers(0, 60))
def test_tidy_means_nothing_to_unite(polygons: list[Points2], shift: int) -> None:
    """If polygons are tidy, uniting them changes neither their number nor their area."""
    loops = bundled([p + np.array([shift * i, 0.0]) for i, p in enumerate(polygons)])
    if is_tidy(loops):
        united = loops_of(covered_by(loops))
        assert united.starts.size == loops.starts.size
        assert Measure(united).area_mm2 == pytest.approx(Measure(loops).area_mm2, rel=1e-9)


@pytest.mark.parametrize(
    ("polygons", "tidy"),
    [
        ([bodies.rectangle(9, 9)], True),
        ([bodies.rectangle(9, 9)[::-1]], False),  # a hole in nothing
        ([bodies.rectangle(9, 9), bodies.rectangle(3, 3, (3, 3))[::-1]], True),
        ([bodies.rectangle(9, 9), bodies.rectangle(3, 3, (3, 3))], False),  # counted twice
        ([bodies.rectangle(9, 9), bodies.rectangle(9, 9, (12, 0))], True),
        ([bodies.rectangle(9, 9), bodies.rectangle(9, 9, (9, 0))], False),  # share an edge
        ([bodies.rectangle(9, 9), bodies.rectangle(9, 9, (5, 5))], False),  # cross
        ([np.array([[0.0, 0], [5, 5], [5, 0], [0, 5]])], False),  # crosses itself
        ([np.array([[0.0, 0], [9, 0], [4, 0], [4, 4]])], False),  # folds back on itself
        ([], True),
    ],
)
def test_tidy(polygons: list[Points2], *, tidy: bool) -> None:
    """Only borders that cross nothing and have the region on their left are tidy."""
    assert is_tidy(bundled(polygons)) is tidy
