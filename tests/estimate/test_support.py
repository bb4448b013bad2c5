"""Support against closed forms (elementary geometry, worked out beside each case)."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.estimate.placing import place
from fabsched.estimate.support import Support, support_of
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build
from tests.estimate import bodies

BUILD = Build()


def support(mesh: Mesh, build: Build = BUILD) -> Support:
    """Support of a part as it stands."""
    return support_of(place(mesh, "part"), build)


def upside_down(mesh: Mesh) -> Mesh:
    """A mesh turned over about the x axis."""
    return Mesh(mesh.vertices * np.array([1.0, -1.0, -1.0]), mesh.faces)


def under_sphere_mm3(radius: float, angle_deg: float) -> float:
    """Space under the cap of a sphere on the bed that is steeper than an angle.

    With s = r sin(90 - angle) it is pi s^2 r - 2/3 pi (r^3 - (r^2 - s^2)^(3/2)).
    """
    s = radius * math.cos(math.radians(angle_deg))
    cap = radius**3 - (radius**2 - s**2) ** 1.5
    return float(math.pi * s**2 * radius - 2 / 3 * math.pi * cap)


@pytest.mark.parametrize(("angle", "radius"), [(45.0, 25.0), (60.0, 25.0), (30.0, 12.0)])
def test_sphere(angle: float, radius: float) -> None:
    """Under a sphere the space below the steep cap is supported, 3389 mm^3 for 25 mm and 45."""
    got = support(bodies.sphere(radius), Build(overhang_deg=angle))
    assert got.volume_mm3 == pytest.approx(under_sphere_mm3(radius, angle), rel=0.015)
    assert got.on_part_mm2 == 0.0
    assert got.union_mm3 == pytest.approx(4 / 3 * math.pi * radius**3, rel=2e-3)


def test_sphere_of_the_notes() -> None:
    """The closed form itself gives 3389 mm^3 for a radius of 25 mm at 45 degrees."""
    assert under_sphere_mm3(25.0, 45.0) == pytest.approx(3389, abs=0.5)


def test_tee() -> None:
    """Both wings of a T are held from the bed: 2 x 20 x 40 x 30 mm^3."""
    tee = bodies.joined(bodies.box(20, 40, 30, (20, 0, 0)), bodies.box(60, 40, 5, (0, 0, 30)))
    got = support(tee)
    assert got.volume_mm3 == pytest.approx(2 * 20 * 40 * 30, rel=2e-3)
    assert got.union_mm3 == pytest.approx(20 * 40 * 30 + 60 * 40 * 5, rel=2e-3)
    assert got.on_part_mm2 == 0.0


def test_bridge() -> None:
    """The space under a bridge deck of 40 x 20 mm, 15 mm high, is 12 000 mm^3."""
    bridge = bodies.joined(
        bodies.box(10, 20, 20),
        bodies.box(10, 20, 20, (50, 0, 0)),
        bodies.box(60, 20, 5, (0, 0, 15)),
    )
    assert support(bridge).volume_mm3 == pytest.approx(12_000, rel=2e-3)


def test_table_over_a_plate() -> None:
    """Support that stands on the part is as high as the gap, and its area is known."""
    table = bodies.joined(
        bodies.box(60, 40, 4),
        bodies.box(10, 10, 30, (25, 15, 2)),
        bodies.box(60, 40, 4, (0, 0, 24)),
    )
    got = support(table)
    assert got.volume_mm3 == pytest.approx((60 * 40 - 100) * 20, rel=2e-3)
    assert got.on_part_mm2 == pytest.approx(60 * 40 - 100, rel=2e-3)


@pytest.mark.parametrize(("angle", "needs"), [(44.0, False), (45.0, False), (46.0, True)])
def test_cone_on_its_tip(angle: float, *, needs: bool) -> None:
    """A cone on its tip holds itself up to the angle allowed; beyond, 2/3 of its cylinder does not.

    Space under the surface of a cone of radius r and height h: pi r^2 h - pi r^2 h / 3.
    """
    height = 20 / math.tan(math.radians(angle))
    got = support(upside_down(bodies.cone(20, height)))
    wanted = 2 / 3 * math.pi * 20**2 * height if needs else 0.0
    assert got.volume_mm3 == pytest.approx(wanted, rel=5e-3, abs=1e-9)


@settings(max_examples=30)
@given(st.integers(2, 30), st.integers(2, 30), st.integers(1, 40), st.integers(1, 3))
def test_any_table_top(x: int, y: int, height: int, overlap: int) -> None:
    """A slab on one leg needs its free underside times its height, overlapping shells or not."""
    slab = bodies.box(x + 5, y + 5, 3, (0, 0, height))
    leg = bodies.box(5, 5, height + min(overlap, 2))
    exact = ((x + 5) * (y + 5) - 25) * height
    got = support(bodies.joined(slab, leg))
    border = 2 * (x + y + 20) * 0.4 * height  # half a cell all around, either way
    assert got.volume_mm3 == pytest.approx(exact, abs=border)


def test_slits_need_none() -> None:
    """A gap lower than half a layer is bridged by the layers."""
    pair = bodies.joined(bodies.box(10, 10, 5), bodies.box(10, 10, 5, (0, 0, 5.05)))
    assert support(pair).volume_mm3 == 0.0
