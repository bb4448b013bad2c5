"""A first figure for a print, at once, from volume and surface alone.

It only bridges the moment until `printing.estimate_print` has simulated the layers, and is marked
as rough by its name.
"""

import math
from dataclasses import dataclass

import numpy as np

from fabsched.model.shapes import Mesh
from fabsched.model.shop import Filament, Printer
from fabsched.model.spread import Spread

MOVING = 1.3
"""Time over length / speed, for accelerating, travel and retracting (own fit, see the tests)."""
DOUBT = 1.5
"""P90 over P50 and P50 over P10 (own assumption; the tests hold the simulation against it)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Surface:
    """What can be read off the triangles of a part.

    Attributes:
        volume_mm3: volume, overlapping shells counted twice.
        sides_mm2: area weighted by the cosine of its slope: the perimeter added up over the height.
        flat_mm2: area seen from above and from below.
        under_mm3: space between steep faces and the bed.
        height_mm: height.
    """

    volume_mm3: float
    sides_mm2: float
    flat_mm2: float
    under_mm3: float
    height_mm: float


def rough_print(mesh: Mesh, printer: Printer, filament: Filament) -> Spread:
    """Guess the seconds of a print: P10, P50, P90.

    Walls are laid along the sides, skins along flat faces, sparse lines in what is left, support
    under steep faces down to the bed.

    Args:
        mesh: the part in its pose.
        printer: the machine.
        filament: the material.
    """
    build, motion = printer.build, printer.motion
    surface = _surface(mesh, build.overhang_deg)
    volume_mm3 = surface.volume_mm3
    wall_mm3 = min(volume_mm3, build.walls * build.bead_mm * surface.sides_mm2)
    inner_mm3 = volume_mm3 - wall_mm3
    share = inner_mm3 / volume_mm3 if volume_mm3 else 0.0
    skin_mm3 = min(inner_mm3, build.skins * build.layer_mm * surface.flat_mm2 * share)
    outer = 1.0 / build.walls if build.walls else 0.0
    laying_s = sum(
        _laying_s(mm3, speed, printer, filament)
        for mm3, speed in (
            (wall_mm3 * outer, motion.wall_mm_s),
            (wall_mm3 * (1.0 - outer), motion.inner_mm_s),
            (skin_mm3, motion.solid_mm_s),
            ((inner_mm3 - skin_mm3) * build.infill, motion.sparse_mm_s),
            (surface.under_mm3 * build.support, motion.inner_mm_s),
        )
    )
    least_s = max(build.layer_s, filament.layer_s) * surface.height_mm / build.layer_mm
    seconds = printer.heat_s + max(MOVING * laying_s, least_s) + printer.cool_s
    return Spread(seconds / DOUBT, seconds, seconds * DOUBT)


def _laying_s(mm3: float, speed_mm_s: float, printer: Printer, filament: Filament) -> float:
    """Seconds to lay a volume as beads, at a speed the nozzle can melt for."""
    section_mm2 = printer.build.bead_mm * printer.build.layer_mm
    flow_mm3_s = min(speed_mm_s * section_mm2, printer.motion.flow_mm3_s * filament.flow_share)
    return mm3 / flow_mm3_s


def _surface(mesh: Mesh, overhang_deg: float) -> _Surface:
    """Measure a surface in one go over its triangles."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    normal = 0.5 * np.cross(b - a, c - a)
    side, up = np.hypot(normal[:, 0], normal[:, 1]), normal[:, 2]
    low = min(float(corner[:, 2].min()) for corner in (a, b, c))
    high = max(float(corner[:, 2].max()) for corner in (a, b, c))
    heights = (a[:, 2] + b[:, 2] + c[:, 2]) / 3.0 - low
    steep = (up < 0.0) & (-up > math.sin(math.radians(overhang_deg)) * np.hypot(side, up))
    return _Surface(
        volume_mm3=abs(float(np.einsum("ij,ij->", a, normal))) / 3.0,
        sides_mm2=float(side.sum()),
        flat_mm2=float(np.abs(up).sum()),
        under_mm3=float((-up * heights)[steep].sum()),
        height_mm=high - low,
    )
