"""Solids with fewer triangles."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.estimate.coarse import coarsened
from fabsched.model.shapes import Mesh


def ball(subdivisions: int) -> Mesh:
    """An icosphere of radius 20, made by a general library."""
    made = trimesh.creation.icosphere(subdivisions=subdivisions, radius=20.0)
    return Mesh(np.asarray(made.vertices, np.float64), np.asarray(made.faces, np.int32))


def test_a_solid_with_few_triangles_is_kept() -> None:
    """Nothing is changed where there is no need."""
    mesh = ball(2)
    assert coarsened(mesh, 320) is mesh


@settings(max_examples=15)
@given(most=st.integers(12, 20_000))
def test_there_are_no_more_triangles_than_asked_for(most: int) -> None:
    """Whatever the bound, it holds, and the solid does not grow."""
    mesh = ball(5)
    found = coarsened(mesh, most)
    assert len(found.faces) <= most
    low, high = mesh.bounds_mm
    assert (found.vertices >= low - 1e-9).all()
    assert (found.vertices <= high + 1e-9).all()


def test_a_ball_stays_a_ball() -> None:
    """With a tenth of its triangles its volume is within 2 % of 4/3 pi r^3."""
    mesh = ball(5)
    found = coarsened(mesh, len(mesh.faces) // 10)
    assert found.volume_mm3 == pytest.approx(4 / 3 * np.pi * 20.0**3, rel=0.02)
