"""What lies under a point of a solid's picture, against known geometry."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fabsched.desktop.solid.camera import Camera, stand_for
from fabsched.desktop.solid.picking import face_at
from fabsched.desktop.solid.shade import picture
from tests.desktop import shapes

SIZE = (200, 150)


@given(st.floats(0, 360), st.floats(-85, 85), st.integers(0, 11), st.floats(0.1, 0.8))
def test_a_ray_meets_the_triangle_it_is_sent_to_unless_one_lies_before_it(
    turn: float, tilt: float, face: int, share: float
) -> None:
    """Sent at a point of a triangle it meets that one, if it looks to the eye: a box hides no front."""
    mesh = shapes.box()
    stand = stand_for(Camera(turn_deg=turn, tilt_deg=tilt), *mesh.bounds_mm, SIZE)
    a, b, c = mesh.vertices[mesh.faces[face]]
    point = a * 0.1 + b * share + c * (0.9 - share)
    normal = np.cross(b - a, c - a)
    facing = float(normal @ stand.camera.axes[2]) / float(np.linalg.norm(normal))
    if abs(facing) < 1e-3:
        return
    x, y, _ = stand.project(point[None])[0]
    assert (face_at(mesh, stand, x, y) == face) is (facing > 0)


def test_beside_the_solid_nothing_is_met() -> None:
    """The corner of the picture is empty, and so is a mesh without triangles."""
    mesh = shapes.box()
    stand = stand_for(Camera(), *mesh.bounds_mm, SIZE)
    assert face_at(mesh, stand, 1.0, 1.0) == -1


def test_what_is_picked_is_what_is_drawn() -> None:
    """Wherever the picture shows the solid the ray meets it, and nowhere else (edges left out)."""
    mesh = shapes.wedge()
    stand = stand_for(Camera(), *mesh.bounds_mm, SIZE)
    shown = picture(mesh.vertices, mesh.faces, stand, SIZE, (200, 200, 200))[..., 3] > 0
    for y in range(2, SIZE[1], 9):
        for x in range(2, SIZE[0], 9):
            around = shown[y - 1 : y + 2, x - 1 : x + 2]
            if around.all() or not around.any():
                met = face_at(mesh, stand, x + 0.5, y + 0.5) >= 0
                assert met == bool(shown[y, x]), (x, y)
