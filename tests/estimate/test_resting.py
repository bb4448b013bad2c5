"""Sides a part rests on, against closed forms and a general mesh library."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold
from trimesh.poses import compute_stable_poses

from fabsched.estimate.fitting import fitting_turn
from fabsched.estimate.placing import place
from fabsched.estimate.resting import ALIKE_DEG, MOST_POINTS, Hull, hull_of, resting_sides
from fabsched.estimate.rotation import rotation
from fabsched.estimate.turning import turn_onto
from fabsched.model.shapes import Mesh, Points3
from tests.estimate import bodies


def hull(mesh: Mesh) -> Hull:
    """The hull of a part."""
    return hull_of(place(mesh, "part"))


def sides(mesh: Mesh) -> Points3:
    """Directions of all sides a part rests on, (n, 3)."""
    return np.array(list(resting_sides(hull(mesh))))


def tetrahedron(points: list[tuple[float, float, float]]) -> Mesh:
    """Four corners as a mesh."""
    return bodies.of_trimesh(trimesh.Trimesh(points).convex_hull)


def libraries_sides(mesh: Mesh) -> Points3:
    """What trimesh's `compute_stable_poses` finds: the direction each pose brings down."""
    body = trimesh.Trimesh(mesh.vertices, mesh.faces)
    turns, _ = compute_stable_poses(body, n_samples=1, seed=1)
    return np.asarray(-turns[:, 2, :3])


L_BAR = bodies.joined(bodies.box(40, 10, 10), bodies.box(10, 10, 40))
SKEW = tetrahedron([(0, 0, 0), (30, 0, 0), (0, 20, 0), (25, 25, 30)])


@pytest.mark.parametrize("turn", [(0, 0, 0), (20, 35, 0), (-70, 10, 140)])
@pytest.mark.parametrize(
    "mesh", [bodies.box(40, 30, 20), bodies.of_trimesh(trimesh.creation.box((9, 30, 4))), SKEW]
)
def test_agrees_with_a_general_library(mesh: Mesh, turn: tuple[float, float, float]) -> None:
    """Solids with few sides rest on those that trimesh finds, however they are turned."""
    leaning = Mesh(mesh.vertices @ rotation(turn).T, mesh.faces)
    ours, theirs = sides(leaning), libraries_sides(leaning)
    near = ours @ theirs.T > math.cos(math.radians(0.2))
    assert near.any(axis=0).all()
    assert near.any(axis=1).all()


def test_a_block_rests_on_all_six_sides() -> None:
    """The one it lies on comes first."""
    found = sides(bodies.box(40, 30, 20))
    assert found[0].tolist() == [0, 0, -1]
    assert {tuple(side.round(9).tolist()) for side in found} == {
        tuple(side) for side in np.concatenate([np.eye(3), -np.eye(3)]).tolist()
    }


@pytest.mark.parametrize(("height", "rests"), [(19.0, True), (21.0, False)])
def test_a_leaning_block_topples(height: float, *, rests: bool) -> None:
    """A block sheared by its width stands while its centre is above its base: up to that height.

    Sheared by s per mm of height, the centre of a block of width w lies s h / 2 from the middle,
    which is inside the base for s h < w; here s = 1, w = 20.
    """
    block = bodies.box(20, 20, height)
    sheared = Mesh(block.vertices + np.outer(block.vertices[:, 2], [1.0, 0, 0]), block.faces)
    stands = (sides(sheared) @ [0, 0, -1] > 0.9999).any()
    assert stands == rests


def test_hollows_move_the_centre() -> None:
    """The centre of mass is that of the material, not of the hull."""
    assert hull(L_BAR).centre == pytest.approx([14, 5, 14], abs=4)
    half = bodies.joined(bodies.box(10, 10, 10), bodies.box(30, 10, 10, (30, 0, 0)))
    assert hull(half).centre == pytest.approx([(5 * 1000 + 45 * 3000) / 4000, 5, 5])


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.integers(5, 40))
def test_it_stays_on_every_side_found(seed: int, count: int) -> None:
    """Tilted a little in any direction from a side found, the centre of any solid rises.

    It may sink by as much as corners that count as touching are apart.
    """
    points = np.random.default_rng(seed).uniform(0, 50, (count, 3))
    own = hull(bodies.of_manifold(Manifold.hull_points(points)))
    found = list(resting_sides(own))
    assert found  # whatever has a centre of mass rests on something
    for side in found:
        turn = rotation(turn_onto(side))
        corners, centre = own.corners @ turn.T, turn @ own.centre
        height = centre[2] - corners[:, 2].min()
        for way in np.arange(0, 2 * np.pi, 0.2):
            up = np.array([0.02 * math.cos(way), 0.02 * math.sin(way), 1.0]) / math.hypot(1, 0.02)
            assert up @ centre - (corners @ up).min() > height - 0.05


def test_round_bodies_have_few_poses() -> None:
    """Of a cylinder's 256 facets those stay that differ by some degrees; a ball has two dozen."""
    lying = [side for side in sides(bodies.cylinder(10, 20)) if abs(side[2]) < 0.5]
    angles = np.sort(np.degrees(np.arctan2(*np.array(lying)[:, :2].T)))
    assert np.diff(angles).min() >= ALIKE_DEG - 1e-6
    assert len(sides(bodies.sphere(20, 5))) == 24


def test_many_points_keep_their_flat_sides() -> None:
    """A ball of 40 thousand corners, cut flat, rests on exactly the flat side."""
    cut = bodies.of_manifold(Manifold.sphere(20, 400).trim_by_plane((0.36, 0.48, -0.8), -12))
    assert len(cut.vertices) > MOST_POINTS
    first = next(side for side in resting_sides(hull(cut)) if side @ [-0.36, -0.48, 0.8] > 0.9)
    assert first == pytest.approx([-0.36, -0.48, 0.8], abs=1e-5)


def test_a_pose_that_fits_is_found() -> None:
    """A board too tall for the printer fits lying down; one too large fits in no pose."""
    printer = bodies.printer()
    assert fitting_turn(bodies.box(20, 100, 260), printer, "part") == (90.0, 0.0, 0.0)  # diagonally
    assert fitting_turn(bodies.box(40, 100, 290), printer, "part") is None
    turn = fitting_turn(bodies.box(20, 100, 215), replace(printer, bed_mm=(220, 220, 200)), "part")
    assert turn in {(90.0, 0.0, 0.0), (-90.0, 0.0, 0.0), (0.0, 90.0, 0.0), (0.0, -90.0, 0.0)}
    assert fitting_turn(bodies.box(300, 300, 300), printer, "part") is None
