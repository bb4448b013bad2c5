"""At which heights a print is cut into layers."""

from dataclasses import dataclass

import numpy as np

from fabsched.estimate.arrays import Floats
from fabsched.model.shop import Build

EDGE = 1e-6
"""Share of a layer by which a plane must clear the top to count."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Planes:
    """The layers of a print; each is represented by its section half-way up.

    Attributes:
        middle_mm: (k,) height of the section of each layer.
        thick_mm: (k,) thickness of each layer.
    """

    middle_mm: Floats
    thick_mm: Floats

    def __len__(self) -> int:
        """Number of layers."""
        return int(self.middle_mm.size)


def planes_for(height_mm: float, build: Build) -> Planes:
    """Layers of a part: those whose middle lies below its top, and at least one.

    Args:
        height_mm: height of the part.
        build: layer heights.

    Returns:
        The planes. A part lower than half the first layer is cut at half its own height.
    """
    above = (height_mm - build.first_layer_mm) / build.layer_mm + 0.5
    more = max(0, int(np.ceil(above - EDGE)) - 1) if above > 0 else 0
    thick = np.full(1 + more, build.layer_mm)
    thick[0] = build.first_layer_mm
    middle = np.cumsum(thick) - 0.5 * thick
    middle[0] = min(middle[0], 0.5 * height_mm)
    return Planes(middle_mm=middle, thick_mm=thick)
