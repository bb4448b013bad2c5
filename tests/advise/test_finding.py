"""Plates are found where a person would see them, and nowhere else."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.slabs import Near
from fabsched.files.mesh_raw import finished
from fabsched.files.stl import parse_stl, stl_bytes
from fabsched.model.shapes import Mesh
from tests.advise import bodies
from tests.estimate.bodies import joined, moved, of_manifold, tilted

POLYGON = 0.5 * bodies.SIDES * np.sin(2 * np.pi / bodies.SIDES)
"""Area of the test parts' round holes over the square of their radius."""
BASE_MM2 = 150 * 90 - POLYGON * (3 * 6**2 + 4 * 1.25**2) - 20 * 10
WALL_MM2 = 150 * 33 - 30 * 12


def test_areas_of_the_composite_are_exact() -> None:
    """Base and side wall are found, with areas as calculated by hand to a millionth."""
    found = find_plates(bodies.composite(), bodies.SHEETS_MM)
    areas = [slab.area_mm2 for slab in found.slabs]
    assert areas == pytest.approx([BASE_MM2, WALL_MM2 - 0.0], rel=1e-6)
    assert [slab.thick_mm for slab in found.slabs] == pytest.approx([3.0, 3.0], abs=1e-9)
    assert not found.near


@settings(max_examples=12, deadline=None)
@given(st.tuples(*[st.floats(-1, 1)] * 3), st.floats(1, 359))
def test_turning_a_part_changes_nothing(axis: tuple[float, float, float], degrees: float) -> None:
    """Plates have the same areas however the part lies."""
    if np.linalg.norm(axis) < 0.1:
        axis = (0.3, 0.5, 0.8)
    found = find_plates(tilted(bodies.composite(), axis, degrees), bodies.SHEETS_MM)
    assert [s.area_mm2 for s in found.slabs] == pytest.approx([BASE_MM2, WALL_MM2], rel=1e-6)


def test_single_precision_changes_little() -> None:
    """What has been through a file is found as well, with areas to a hundred thousandth."""
    mesh, _ = finished(parse_stl(stl_bytes(bodies.tilted()), "x"), "mm", "x")
    found = find_plates(mesh, bodies.SHEETS_MM)
    assert [s.area_mm2 for s in found.slabs] == pytest.approx([BASE_MM2, WALL_MM2], rel=1e-5)


def test_all_walls_of_an_open_box_are_found() -> None:
    """Bottom and four walls, each in full."""
    areas = [slab.area_mm2 for slab in find_plates(bodies.open_box(), bodies.SHEETS_MM).slabs]
    assert areas == pytest.approx([120 * 80, 120 * 50, 120 * 50, 80 * 50, 80 * 50])


def test_plates_of_separate_bodies_are_found() -> None:
    """Two parts in one file give the plates of both."""
    both = joined(bodies.composite(), moved(bodies.double_sided(), 300, 0, 0))
    found = find_plates(both, bodies.SHEETS_MM)
    assert sorted(s.area_mm2 for s in found.slabs) == pytest.approx(
        sorted([BASE_MM2, WALL_MM2, 120 * 80]), rel=1e-6
    )


@pytest.mark.parametrize("name", bodies.WITHOUT)
def test_parts_without_plates_have_none(name: str) -> None:
    """Nothing is found in round, knotted and thick parts."""
    found = find_plates(bodies.WITHOUT[name](), bodies.SHEETS_MM)
    assert found.slabs == () == found.near


def test_open_surfaces_have_none() -> None:
    """A surface with a hole in it encloses no plate."""
    mesh = bodies.composite()
    found = find_plates(Mesh(mesh.vertices, mesh.faces[1:]), bodies.SHEETS_MM)
    assert found.slabs == ()
    assert not found.closed


def test_no_sheets_no_plates() -> None:
    """Without a sheet nothing can be cut."""
    assert find_plates(bodies.composite(), ()).slabs == ()


def test_countersinks_are_told() -> None:
    """A plate that would lose its countersinks is no plate, and the four holes are counted."""
    found = find_plates(bodies.countersunk(), bodies.SHEETS_MM)
    assert found.slabs == ()
    (miss,) = found.near
    assert (miss.reason, miss.facts["holes"]) == (Near.COUNTERSUNK, 4)


def test_sloping_sides_are_told_with_their_angle() -> None:
    """A drafted plate is no plate: its longer sides lean by 2.8 mm over 3."""
    (miss,) = find_plates(bodies.drafted(), bodies.SHEETS_MM).near
    assert miss.reason is Near.DRAFTED
    assert miss.facts["angle"] == pytest.approx(np.degrees(np.arctan(40 * 0.07 / 3)), abs=1.0)


def test_an_edge_that_slopes_is_told_apart_from_sides_that_do() -> None:
    """A chamfer of 1.5 over 3 mm of thickness, its end exactly half-way up."""
    (miss,) = find_plates(bodies.chamfered(), (3.0,)).near
    assert miss.reason is Near.BEVELLED
    assert miss.facts["angle"] == pytest.approx(np.degrees(np.arctan(0.5)), abs=1.0)


@pytest.mark.parametrize(
    ("sides", "wanted"),
    [
        ((60.0, 80.0), [36.87, 36.87, 53.13]),  # 3, 4 and 5: atan(3 / 4) and atan(4 / 3)
        ((80.0, 80.0), [45.0, 45.0, 45.0]),
    ],
)
def test_sharp_corners_are_told_with_their_angle(
    sides: tuple[float, float], wanted: list[float]
) -> None:
    """Walls around a triangle: each is told the sharpest corner it stands at, the right one being none."""
    found = find_plates(bodies.triangle(*sides), (3.0,))
    assert {miss.reason for miss in found.near} == {Near.MITRED}
    corners = sorted(float(miss.facts["corner"]) for miss in found.near)
    assert corners == pytest.approx(wanted, abs=0.1)
    assert all(miss.can_be_adopted for miss in found.near)


@pytest.mark.parametrize("degrees", [0.1, 0.15, 0.5, 1.0])
def test_faces_that_are_not_parallel_are_told_with_their_angle(degrees: float) -> None:
    """However small, and never mistaken for sides that slope."""
    thick = 3.0 - 75.0 * float(np.tan(np.radians(degrees)))
    found = find_plates(bodies.wedge(degrees, thick), (3.0,))
    assert found.slabs == ()
    (miss,) = found.near
    assert miss.reason is Near.TAPERED
    assert miss.facts["angle"] == pytest.approx(degrees, abs=0.01)
    assert not miss.can_be_adopted


@settings(max_examples=12, deadline=None)
@given(st.tuples(*[st.floats(-1, 1)] * 3), st.floats(1, 359), st.floats(25, 80))
def test_a_leaning_plate_is_found_at_any_angle(
    axis: tuple[float, float, float], degrees: float, lean: float
) -> None:
    """Of the same thickness all over, its end buried in a block at a slant: a plate, cut square."""
    if np.linalg.norm(axis) < 0.1:
        axis = (0.3, 0.5, 0.8)
    mesh = tilted(bodies.leaning_on_block(lean), axis, degrees)
    found = find_plates(mesh, (3.0,))
    assert not found.near
    (slab,) = found.slabs
    assert slab.thick_mm == pytest.approx(3.0, abs=1e-6)
    # as long as its lower face is free, less what lies a hundredth of the thickness outside it
    free = 60.0 - 5.0 / np.sin(np.radians(lean))
    assert slab.area_mm2 / 60.0 == pytest.approx(free - 0.03 / np.tan(np.radians(lean)), abs=0.15)


def test_walls_at_any_angle_to_each_other_are_plates() -> None:
    """The six walls of a tube and its floor."""
    found = find_plates(bodies.hexagon(), (3.0,))
    assert len(found.slabs) == 7
    assert not found.near


def test_between_two_sheets_both_are_told() -> None:
    """3.5 mm where sheets are 3 and 4: half a millimetre less or more."""
    mesh = of_manifold(bodies.bar(90, 60, 3.5))
    near = find_plates(mesh, (3.0, 4.0)).near
    assert sorted(miss.slab.sheet_mm for miss in near) == [3.0, 4.0]
    assert {miss.reason for miss in near} == {Near.THICKNESS}


def test_another_thickness_is_told_with_what_it_changes() -> None:
    """2.8 mm where the sheet is 3: everything above moves by 0.2 mm."""
    (miss,) = find_plates(bodies.thinner(), (3.0,)).near
    assert miss.reason is Near.THICKNESS
    assert (miss.facts["thick"], miss.facts["sheet"], miss.facts["shift"]) == (2.8, 3.0, 0.2)
    assert miss.facts["volume"] == pytest.approx(0.2 * 90 * 60)


def test_a_grille_is_no_plate() -> None:
    """Webs that would burn away are told."""
    (miss,) = find_plates(bodies.grille(), (3.0,)).near
    assert miss.reason is Near.LATTICE
