"""The smallest feature against closed forms: what was drawn is what is measured."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.estimate.placing import place
from fabsched.estimate.thickness import smallest_mm
from fabsched.model.shapes import Mesh
from tests.estimate import bodies


def smallest(mesh: Mesh) -> float:
    """The smallest feature of a part."""
    return smallest_mm(place(mesh, "part"))


def frame(wall: float) -> Mesh:
    """A frame without floor."""
    inner = bodies.rectangle(60 - 2 * wall, 40 - 2 * wall, (wall, wall))[::-1]
    return bodies.prism([bodies.rectangle(60, 40), inner], 12)


@given(
    st.floats(0.05, 9.0),
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: max(map(abs, v)) > 0.1),
    st.floats(0, 180),
)
@settings(max_examples=60)
def test_a_slab_however_it_is_turned(
    thick: float, axis: tuple[float, float, float], degrees: float
) -> None:
    """A slab is as thick as it was made, whichever way it leans."""
    slab = bodies.tilted(bodies.box(23, 17, thick), axis, degrees)
    assert smallest(slab) == pytest.approx(thick, rel=1e-4)


@pytest.mark.parametrize("wall", [0.2, 0.45, 1.2, 5.0])
def test_walls_of_a_frame(wall: float) -> None:
    """Its walls, not its outer measures."""
    assert smallest(frame(wall)) == pytest.approx(wall, rel=1e-4)


@pytest.mark.parametrize(
    ("mesh", "wanted"),
    [
        (bodies.box(40, 40, 40), 40.0),
        (bodies.sphere(25), 50.0),
        (bodies.torus(30, 8, 256), 16.0),
        (bodies.cylinder(1.5, 10), 3.0),
        (bodies.cylinder(0.5, 8), 1.0),
        (bodies.prism([bodies.circle(30), bodies.circle(28.8)[::-1]], 40), 1.2),
    ],
    ids=["cube", "sphere", "torus", "pin", "thin pin", "tube"],
)
def test_round_ones(mesh: Mesh, wanted: float) -> None:
    """Diameters and walls of round bodies, up to their facets."""
    assert smallest(mesh) == pytest.approx(wanted, rel=0.015)


def test_the_thinnest_of_several_counts() -> None:
    """A thick plate with a thin fin on it is as thick as the fin; a thin lid counts as well."""
    plate = bodies.box(40, 30, 8)
    fin = bodies.joined(plate, bodies.box(0.6, 20, 10, (20, 5, 7)))
    lid = bodies.joined(fin, bodies.box(10, 30, 0.4, (39, 0, 2)))
    assert smallest(fin) == pytest.approx(0.6, rel=1e-4)
    assert smallest(lid) == pytest.approx(0.4, rel=1e-4)


def test_bodies_in_each_other_are_one() -> None:
    """Two slabs that overlap or touch are as thick as both together."""
    for shift in (1.0, 2.0):
        pair = bodies.joined(bodies.box(30, 2, 10), bodies.box(30, 2, 10, (0, shift, 0)))
        assert smallest(pair) == pytest.approx(2 + shift, rel=1e-4)


def test_hollow_is_measured_through_the_shell() -> None:
    """A hollow ball is as thick as its shell."""
    hollow = bodies.joined(bodies.sphere(20, 4), bodies.flipped(bodies.sphere(18, 4)))
    assert smallest(hollow) == pytest.approx(2.0, rel=0.03)


def test_edges_and_tips_are_no_features() -> None:
    """A cone, thin as it is at tip and rim, has no feature smaller than itself."""
    assert smallest(bodies.cone(20, 35)) == pytest.approx(35.0, rel=1e-3)


def test_a_blemish_does_not_count() -> None:
    """A sliver with less than half a square millimetre of surface is left out."""
    sliver = bodies.joined(bodies.box(20, 20, 20), bodies.box(0.1, 0.3, 0.3, (10, 10, 19.9)))
    assert smallest(sliver) == pytest.approx(20.0)


@given(st.floats(0.1, 10.0))
@settings(max_examples=10)
def test_scales_with_the_part(times: float) -> None:
    """A part twice as large has features twice as thick."""
    mesh = frame(2.0)
    large = Mesh(np.asarray(mesh.vertices * times), mesh.faces)
    assert smallest(large) == pytest.approx(2.0 * times, rel=1e-4)
