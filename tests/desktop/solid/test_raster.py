"""Triangles into pixels, against a plain test of every pixel."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.desktop.solid.camera import Camera, stand_for
from fabsched.desktop.solid.shade import picture
from fabsched.files.raster import rasterised
from tests.desktop import shapes

SIZE = (40, 30)
COORDINATE = st.floats(-30, 70, width=32)


def slowly(points: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Which triangle is nearest in the middle of every pixel, pixel by pixel."""
    found = np.full((SIZE[1], SIZE[0]), -1)
    nearest = np.full((SIZE[1], SIZE[0]), -np.inf)
    for number, face in enumerate(faces):
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = points[face]
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if abs(area) < 1e-9:
            continue
        for row in range(SIZE[1]):
            for column in range(SIZE[0]):
                x, y = column + 0.5, row + 0.5
                u = ((bx - x) * (cy - y) - (by - y) * (cx - x)) / area
                v = ((cx - x) * (ay - y) - (cy - y) * (ax - x)) / area
                depth = u * az + v * bz + (1 - u - v) * cz
                if min(u, v, 1 - u - v) >= 0 and depth > nearest[row, column]:
                    found[row, column], nearest[row, column] = number, depth
    return found


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(COORDINATE, COORDINATE, st.floats(0, 9)), min_size=3, max_size=9))
def test_every_pixel_shows_the_nearest_triangle(corners: list[tuple[float, float, float]]) -> None:
    """Of any triangles, large or small, in view or not; pixels on a border may go either way."""
    points = np.array(corners)
    faces = np.array([(i, i + 1, i + 2) for i in range(len(points) - 2)], np.int32)
    differ = rasterised(points, faces, SIZE).face != slowly(points, faces)
    assert differ.sum() <= 2 * len(faces)


def test_nothing_is_seen_of_nothing() -> None:
    """Without triangles the picture is empty."""
    seen = rasterised(np.zeros((0, 3)), np.zeros((0, 3), np.int32), SIZE)
    assert (seen.face == -1).all()


@pytest.mark.parametrize("turn", [0, 35, 140, 270])
@pytest.mark.parametrize("tilt", [-80, 0, 28, 89])
def test_a_box_covers_the_area_of_its_projection(turn: float, tilt: float) -> None:
    """The sides that face the eye, each by the cosine of its angle (geometry)."""
    mesh, size = shapes.box(), (300, 300)
    camera = Camera(turn_deg=turn, tilt_deg=tilt)
    stand = stand_for(camera, *mesh.bounds_mm, size)
    drawn = picture(mesh.vertices, mesh.faces, stand, size, (200, 100, 50))
    across = np.abs(camera.axes[2]) @ np.array([20 * 10, 40 * 10, 40 * 20])
    covered = (drawn[..., 3] > 0).sum() / stand.px_mm**2
    assert covered == pytest.approx(across, rel=0.02)


def test_a_camera_keeps_lengths_and_angles() -> None:
    """Its axes are at right angles and of length one, whatever the direction."""
    for turn in range(0, 360, 40):
        axes = Camera(turn_deg=turn, tilt_deg=turn / 5).axes
        assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(axes) == pytest.approx(1.0)
