"""Features and dimensions against drawn geometry: what was drawn is what is found."""

from math import dist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from fabsched.advise.plates.frames import mesh_of
from fabsched.estimate.coarse import coarsened
from fabsched.estimate.features import features_of, fitted_circle, owners_on
from fabsched.estimate.measuring import measured
from fabsched.estimate.turning import turned
from fabsched.model.features import Feature, Form
from fabsched.model.project import Axis, FitKind
from fabsched.model.shapes import Mesh

HOLES = ((10.0, 15.0, 2.5), (40.0, 15.0, 4.0))
"""Middle and radius of the holes of the plate below."""


def plate(segments: int = 64) -> Mesh:
    """60 x 30 x 10 mm with two holes through it and a peg of 6 mm on top."""
    body = Manifold.cube((60, 30, 10)) + Manifold.cylinder(8, 3, 3, segments).translate(
        (25, 15, 10)
    )
    for x, y, radius in HOLES:
        body -= Manifold.cylinder(12, radius, radius, segments).translate((x, y, -1))
    return mesh_of(body)


def of(mesh: Mesh, form: Form) -> list[Feature]:
    """The features of a form, the larger ones first."""
    return [feature for feature in features_of(mesh).features if feature.form is form]


def face(mesh: Mesh, axis: tuple[float, float, float]) -> Feature:
    """The largest face that looks that way."""
    faces = of(mesh, Form.FACE)
    return next(one for one in faces if np.allclose(one.axis, axis, atol=1e-6))


@given(st.integers(8, 96), st.tuples(*[st.floats(-180, 180)] * 3))
@settings(max_examples=25, deadline=None)
def test_holes_and_pegs_are_found_however_they_are_turned_and_cut_up(
    segments: int, turn: tuple[float, float, float]
) -> None:
    """Their diameters and lengths are those drawn, and axes run where they were drawn."""
    mesh = turned(plate(segments), turn)
    holes, pegs = of(mesh, Form.HOLE), of(mesh, Form.PEG)
    assert [hole.diameter_mm for hole in holes] == pytest.approx([8.0, 5.0], abs=1e-6)
    assert [hole.length_mm for hole in holes] == pytest.approx([10.0, 10.0], abs=1e-6)
    assert [(peg.diameter_mm, peg.length_mm) for peg in pegs] == [
        pytest.approx((6.0, 8.0), abs=1e-6)
    ]
    assert dist(holes[0].at_mm, holes[1].at_mm) == pytest.approx(30.0, abs=1e-6)


def test_every_triangle_of_a_hole_belongs_to_it() -> None:
    """Owners are those triangles whose corners all lie on the cylinder."""
    mesh = plate()
    found = features_of(mesh)
    number = next(i for i, one in enumerate(found.features) if one.form is Form.HOLE)
    corners = mesh.vertices[mesh.faces][:, :, :2]
    x, y, radius = HOLES[1]
    on = np.abs(np.hypot(corners[..., 0] - x, corners[..., 1] - y) - radius) < 1e-6
    flat = np.ptp(mesh.vertices[mesh.faces][:, :, 2], axis=1) < 1e-9
    assert ((found.owner == number) == (on.all(axis=1) & ~flat)).all()


def test_roundings_cones_and_six_sides_are_no_holes() -> None:
    """A rounded edge turns by a quarter, a cone's creases meet, a hexagon's turn by 60 degrees."""
    edge = Manifold.cylinder(10, 3, 3, 64).translate((3, 3, 0))
    rounded = Manifold.hull(edge + Manifold.cube((20, 20, 10)).translate((3, 3, 0)))
    cone = Manifold.cube((30, 30, 10)) - Manifold.cylinder(12, 3, 6, 64).translate((15, 15, -1))
    nut = Manifold.cube((30, 30, 10)) - Manifold.cylinder(12, 4, 4, 6).translate((15, 15, -1))
    for body in (rounded, cone, nut):
        assert not [one for one in features_of(mesh_of(body)).features if one.is_round]


def test_a_slot_with_round_ends_is_two_faces() -> None:
    """Its ends go half round only; the width between its sides is measured."""
    ends = [Manifold.cylinder(12, 2, 2, 64).translate((x, 15, -1)) for x in (20.0, 40.0)]
    mesh = mesh_of(Manifold.cube((60, 30, 10)) - Manifold.hull(ends[0] + ends[1]))
    assert not [one for one in features_of(mesh).features if one.is_round]
    sides = [one for one in of(mesh, Form.FACE) if one.low_mm[0] > 19 and one.high_mm[0] < 41]
    found = measured(sides[:2])
    assert found is not None
    assert found.kind is FitKind.SLOT
    assert dist(*found.ends_mm) == pytest.approx(4.0)
    assert found.at_mm == pytest.approx((30.0, 15.0, 5.0))
    assert found.size_mm == pytest.approx((20.0, 4.0, 10.0))


def test_what_one_or_two_features_measure() -> None:
    """Diameter, distance of holes, thickness, distance to an edge; nothing across or alone."""
    mesh = plate()
    large, small = of(mesh, Form.HOLE)
    top, left = face(mesh, (0, 0, 1)), face(mesh, (-1, 0, 0))
    bottom, front = face(mesh, (0, 0, -1)), face(mesh, (0, -1, 0))

    def value(*features: Feature) -> float:
        found = measured(features)
        assert found is not None
        return dist(*found.ends_mm)

    assert value(large) == pytest.approx(8.0)
    assert value(large, small) == pytest.approx(30.0)
    assert value(top, bottom) == value(bottom, top) == pytest.approx(10.0)
    assert value(small, left) == value(left, small) == pytest.approx(10.0)
    assert value(small, front) == pytest.approx(15.0)
    for features in ((top,), (top, left), (small, top), (), (large, small, top)):
        assert measured(features) is None


def test_a_dimension_says_what_a_coupon_needs() -> None:
    """Kind, axis and box of a hole; of material between faces the kind is a peg."""
    mesh = plate()
    hole = measured(of(mesh, Form.HOLE)[:1])
    assert hole is not None
    assert (hole.kind, hole.axis, hole.is_diameter) == (FitKind.HOLE, Axis.Z, True)
    assert hole.at_mm == pytest.approx((40, 15, 5))
    assert hole.size_mm == pytest.approx((8, 8, 10))
    thick = measured([face(mesh, (0, 0, 1)), face(mesh, (0, 0, -1))])
    assert thick is not None
    assert (thick.kind, thick.is_diameter) == (FitKind.PEG, False)


def test_what_runs_askew_gets_no_ladder() -> None:
    """Play is only put to what runs along a coordinate: else the kind is another."""
    hole = measured(of(turned(plate(), (0, 20, 0)), Form.HOLE)[:1])
    assert hole is not None
    assert hole.kind is FitKind.OTHER
    assert dist(*hole.ends_mm) == pytest.approx(8.0)


@given(
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    st.floats(0.5, 80),
    st.lists(st.floats(0, 6.28), min_size=5, max_size=40, unique_by=lambda a: round(a, 1)),
)
def test_a_circle_is_fitted_to_its_own_points(
    centre: tuple[float, float], radius: float, angles: list[float]
) -> None:
    """Centre and radius come back, and no point lies off."""
    turns = np.array(angles)
    points = np.column_stack([np.cos(turns), np.sin(turns)]) * radius + centre
    found, size, off = fitted_circle(points)
    assert found == pytest.approx(centre, abs=1e-3)
    assert size == pytest.approx(radius, rel=1e-4)
    assert off < 1e-3


def test_a_coarser_mesh_is_told_by_where_its_corners_lie() -> None:
    """Triangles of the coarse hole belong to it, and most of what is owned is owned rightly."""
    mesh = plate(400)
    found = features_of(mesh)
    coarse = coarsened(mesh, 1500)
    assert len(coarse.faces) < len(mesh.faces)
    owner = owners_on(coarse, found.features, 0.3)
    corners = coarse.vertices[coarse.faces].mean(axis=1)
    for x, y, radius in HOLES:
        number = next(
            i
            for i, one in enumerate(found.features)
            if one.diameter_mm == pytest.approx(2 * radius)
        )
        mine = corners[owner == number]
        assert len(mine) > 20
        assert np.abs(np.hypot(mine[:, 0] - x, mine[:, 1] - y) - radius).max() < 0.5


def test_the_surface_without_anything_is_searched_as_well() -> None:
    """One triangle has one face; a ball has nothing round in this sense."""
    alone = Mesh(
        np.array([(0, 0, 0), (9, 0, 0), (0, 9, 0)], float), np.array([(0, 1, 2)], np.int32)
    )
    assert [one.form for one in features_of(alone).features] == [Form.FACE]
    assert not features_of(mesh_of(Manifold.sphere(10, 64))).features
