"""From where a solid is looked at. No Qt here.

Parallel projection: what is parallel stays so, and lengths can be compared.
"""

from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STEEPEST_DEG = 89.0
"""One looks at most so steeply down or up, so that up stays up."""
NEAREST, FARTHEST = 12.0, 0.4
"""How much one may zoom in and out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A direction and a magnification.

    Attributes:
        turn_deg: how far the solid is turned about the vertical, counter-clockwise from above.
        tilt_deg: how far one looks from above; below zero from underneath.
        zoom: 1 shows the whole solid whatever its turn.
    """

    turn_deg: float = 35.0
    tilt_deg: float = 28.0
    zoom: float = 1.0

    def turned(self, by_deg: float, tilt_deg: float) -> "Camera":
        """Turned and tilted further."""
        tilt = min(max(self.tilt_deg + tilt_deg, -STEEPEST_DEG), STEEPEST_DEG)
        return replace(self, turn_deg=(self.turn_deg + by_deg) % 360.0, tilt_deg=tilt)

    def zoomed(self, factor: float) -> "Camera":
        """Nearer by a factor above one, farther by one below."""
        return replace(self, zoom=min(max(self.zoom * factor, FARTHEST), NEAREST))

    @property
    def axes(self) -> Floats:
        """(3, 3) rows: to the right of the picture, to its top, and towards the eye."""
        turn, tilt = radians(self.turn_deg), radians(self.tilt_deg)
        right = (cos(turn), -sin(turn), 0.0)
        up = (sin(tilt) * sin(turn), sin(tilt) * cos(turn), cos(tilt))
        eye = (-cos(tilt) * sin(turn), -cos(tilt) * cos(turn), sin(tilt))
        return np.array([right, up, eye])


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A camera before a solid: from mm to pixels.

    Attributes:
        camera: the direction.
        centre_mm: (3,) what lies in the middle of the picture.
        px_mm: pixels in a mm.
        middle_px: the middle of the picture.
    """

    camera: Camera
    centre_mm: Floats
    px_mm: float
    middle_px: tuple[float, float]

    def project(self, points_mm: Floats) -> Floats:
        """(n, 3) pixels to the right and down, and mm towards the eye."""
        seen = (points_mm - self.centre_mm) @ self.camera.axes.T
        x = self.middle_px[0] + seen[:, 0] * self.px_mm
        y = self.middle_px[1] - seen[:, 1] * self.px_mm
        return np.column_stack([x, y, seen[:, 2]])


def stand_for(camera: Camera, low_mm: Floats, high_mm: Floats, size_px: tuple[int, int]) -> Stand:
    """The camera so placed that a box fits the picture however it is turned.

    Args:
        camera: the direction and magnification.
        low_mm: (3,) lowest corner of the box.
        high_mm: (3,) highest corner.
        size_px: width and height of the picture.
    """
    across_mm = max(float(np.linalg.norm(high_mm - low_mm)), 1e-6)
    px_mm = camera.zoom * min(size_px) / across_mm
    middle = (size_px[0] / 2, size_px[1] / 2)
    return Stand(camera=camera, centre_mm=(low_mm + high_mm) / 2, px_mm=px_mm, middle_px=middle)
