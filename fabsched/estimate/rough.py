"""A first figure for a print, at once, from volume and surface alone.

It only bridges the moment until `printing.estimate_print` has simulated the layers, and is marked
as rough by its name.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.materials import Filament
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer
from fabsched.model.spread import Spread

MOVING = 1.3
"""Time over length / speed, for accelerating, travel and retracting (own fit, see the tests)."""
LINKED = 1.8
"""Way along support, with the links between its short lines, over the length of the lines (own
fit)."""
ISLAND_S = 0.2
"""What every further island of a layer costs beside retracting: the way there, and walls that are
short (own fit, see the tests)."""
SLOWEST_MM_S = 10.0
"""Speed below which laying is not slowed any further to let a layer cool, as in the simulation."""
DOUBT = 1.5
"""P90 over P50 and P50 over P10 (own assumption; the tests hold the simulation against it)."""
AT_ONCE = 8192
"""Triangles looked at together: their figures stay in the cache of the processor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """What can be read off the triangles of a part.

    Attributes:
        volume_mm3: volume, overlapping shells counted twice.
        sides_mm2: area weighted by the cosine of its slope: the perimeter added up over the height.
        flat_mm2: area seen from above and from below.
        under_mm3: space between steep faces and the bed.
        height_mm: height.
        bodies: separate bodies less holes through them, at least 1.
    """

    volume_mm3: float
    sides_mm2: float
    flat_mm2: float
    under_mm3: float
    height_mm: float
    bodies: float


def rough_print(mesh: Mesh, printer: Printer, filament: Filament) -> Spread:
    """Guess the seconds of a print: P10, P50, P90.

    Walls are laid along the sides, skins along flat faces, sparse lines in what is left, support
    under steep faces down to the bed.

    Args:
        mesh: the part in its pose.
        printer: the machine.
        filament: the material.
    """
    return rough_time(surface_of(mesh, printer.build.overhang_deg), printer, filament)


def rough_time(surface: Surface, printer: Printer, filament: Filament) -> Spread:
    """The same, given what the surface says."""
    build = printer.build
    volumes = _volumes(surface, printer)
    laying_s = sum(_laying_s(mm3, speed, printer, filament) for mm3, speed in volumes)
    layers = surface.height_mm / build.layer_mm
    hopping_s = (_islands(surface) - 1.0) * layers * (2.0 * build.retract_s + ISLAND_S)
    slow_s = sum(mm3 for mm3, _ in volumes) / (build.bead_mm * build.layer_mm) / SLOWEST_MM_S
    least_s = min(max(build.layer_s, filament.layer_s) * layers, slow_s)
    seconds = printer.heat_s + max(MOVING * laying_s + hopping_s, least_s) + printer.cool_s
    return Spread(seconds / DOUBT, seconds, seconds * DOUBT)


def _volumes(surface: Surface, printer: Printer) -> tuple[tuple[float, float], ...]:
    """What is laid, in mm^3, and the speed of each: walls, skins, sparse lines, support."""
    build, motion = printer.build, printer.motion
    volume_mm3 = surface.volume_mm3
    wall_mm3 = min(volume_mm3, build.walls * build.bead_mm * surface.sides_mm2)
    inner_mm3 = volume_mm3 - wall_mm3
    share = inner_mm3 / volume_mm3 if volume_mm3 else 0.0
    skin_mm3 = min(inner_mm3, build.skins * build.layer_mm * surface.flat_mm2 * share)
    outer = 1.0 / build.walls if build.walls else 0.0
    return (
        (wall_mm3 * outer, motion.wall_mm_s),
        (wall_mm3 * (1.0 - outer), motion.inner_mm_s),
        (skin_mm3, motion.solid_mm_s),
        ((inner_mm3 - skin_mm3) * build.infill, motion.sparse_mm_s),
        (surface.under_mm3 * build.support, motion.inner_mm_s / LINKED),
    )


def _laying_s(mm3: float, speed_mm_s: float, printer: Printer, filament: Filament) -> float:
    """Seconds to lay a volume as beads, at a speed the nozzle can melt for."""
    section_mm2 = printer.build.bead_mm * printer.build.layer_mm
    flow_mm3_s = min(speed_mm_s * section_mm2, printer.motion.flow_mm3_s * filament.flow_share)
    return mm3 / flow_mm3_s


def _islands(surface: Surface) -> float:
    """Separate islands in a layer, as if every body were as high as the part.

    N islands of area a and perimeter p have p^2 >= 4 pi a each (isoperimetric inequality), which
    bounds their number by what is known of all layers together.
    """
    enclosed = 4.0 * math.pi * surface.volume_mm3 * surface.height_mm
    most = surface.sides_mm2**2 / enclosed if enclosed else 1.0
    return max(1.0, min(surface.bodies, most))


def surface_of(mesh: Mesh, overhang_deg: float) -> Surface:
    """Measure a surface in one go over its triangles, whichever way they face."""
    x, y, z = (np.ascontiguousarray(mesh.vertices[:, axis]) for axis in range(3))
    steepest2 = math.tan(math.radians(overhang_deg)) ** 2
    sums, low, high = np.zeros(7), math.inf, -math.inf
    for begin in range(0, len(mesh.faces), AT_ONCE):
        corners = mesh.faces[begin : begin + AT_ONCE].T.astype(np.intp)
        some, heights = _sums(x[corners], y[corners], z[corners], steepest2)
        sums += some
        low, high = min(low, float(heights.min())), max(high, float(heights.max()))
    volume6, sides2, flat2 = (float(value) for value in sums[:3])
    hanging2, moment6 = (float(v) for v in (sums[3:5] if volume6 > 0.0 else sums[5:7]))
    return Surface(
        volume_mm3=abs(volume6) / 6.0,
        sides_mm2=sides2 / 2.0,
        flat_mm2=flat2 / 2.0,
        under_mm3=moment6 / 6.0 - low * hanging2 / 2.0,
        height_mm=high - low,
        bodies=max(1.0, (len(mesh.vertices) - len(mesh.faces) / 2.0) / 2.0),
    )


Corners = NDArray[np.float64]
"""(3, n) one coordinate of the corners of n triangles."""


def _sums(x: Corners, y: Corners, z: Corners, steepest2: float) -> tuple[Corners, Corners]:
    """Sums over some triangles, and the heights of their corners.

    Returns:
        6 times the volume; twice the area seen from the side and from above; twice the area of the
        faces that look down steeply, and 6 times the space under it down to z = 0; the same two
        for those that look up, which are the ones looking down where all face inwards.
    """
    ux, uy, uz = x[1] - x[0], y[1] - y[0], z[1] - z[0]
    vx, vy, vz = x[2] - x[0], y[2] - y[0], z[2] - z[0]
    nx, ny, up = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    side2 = nx * nx + ny * ny
    steep = np.where(up * up > steepest2 * side2, up, 0.0)
    down, above = np.minimum(steep, 0.0), np.maximum(steep, 0.0)
    heights = 3.0 * z[0] + uz + vz
    return np.array(
        [
            x[0] @ nx + y[0] @ ny + z[0] @ up,
            np.sqrt(side2).sum(),
            np.abs(up).sum(),
            -down.sum(),
            -(down @ heights),
            above.sum(),
            above @ heights,
        ]
    ), z
