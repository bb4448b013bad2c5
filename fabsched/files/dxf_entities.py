"""One DXF entity into points of its path, in the unit of the file."""

import math
from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabsched.files.curves import bulge_points, turn_points

Points3 = NDArray[np.float64]
"""(n, 3) coordinates in the unit of the file."""
Check = Callable[[NDArray[np.float64]], None]
"""Raises an error of ours where numbers are not finite or absurd."""


def entity_points(entity: Any, chord: float, check: Check) -> Points3 | None:
    """Points along an entity.

    Args:
        entity: any entity of ezdxf.
        chord: largest distance between a curve and its chords, in the unit of the file.
        check: asked about the numbers of every entity before they are used.

    Returns:
        (n, 3) points in world coordinates, a closed path ending where it began; None if the
        entity is no path.
    """
    reader = READERS.get(entity.dxftype())
    return reader(entity, chord, check) if reader else None


def _line(entity: Any, _chord: float, check: Check) -> Points3:
    points = np.array([entity.dxf.start, entity.dxf.end], dtype=np.float64)
    check(points)
    return points


def _arc(entity: Any, chord: float, check: Check) -> Points3:
    """ARC, and CIRCLE as an arc of 360 degrees; angles run counter-clockwise."""
    dxf, basis = entity.dxf, _basis(entity)
    full = entity.dxftype() == "CIRCLE"
    start, end = (0.0, 360.0) if full else (dxf.start_angle, dxf.end_angle)
    check(np.array([dxf.radius, start, end, *dxf.center]))
    sweep = (end - start) % 360 or 360.0
    centre = np.array(dxf.center) @ basis
    across, along = abs(dxf.radius) * basis[:2]
    return turn_points(centre, across, along, math.radians(start), math.radians(sweep), chord)


def _ellipse(entity: Any, chord: float, check: Check) -> Points3:
    dxf = entity.dxf
    check(np.array([*dxf.center, *dxf.major_axis, dxf.ratio, dxf.start_param, dxf.end_param]))
    sweep = (dxf.end_param - dxf.start_param) % math.tau
    if sweep < 1e-9 or sweep > math.tau - 1e-9:
        sweep = math.tau
    centre, major = np.array(dxf.center), np.array(dxf.major_axis)
    normal = np.array(dxf.extrusion.normalize())
    minor = np.cross(normal, major) * dxf.ratio
    return turn_points(centre, major, minor, dxf.start_param, sweep, chord)


def _spline(entity: Any, chord: float, check: Check) -> Points3:
    for numbers in (entity.control_points, entity.fit_points, entity.knots, entity.weights):
        check(np.array(list(numbers), dtype=np.float64))
    return np.array([tuple(point) for point in entity.flattening(chord)], dtype=np.float64)


def _light_polyline(entity: Any, chord: float, check: Check) -> Points3:
    corners = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    return _bulged(entity, corners, entity.closed, float(entity.dxf.elevation), chord, check)


def _polyline(entity: Any, chord: float, check: Check) -> Points3 | None:
    """Old-style polylines; frame points of a fitted curve (flag 16) do not lie on it."""
    vertices = [vertex for vertex in entity.vertices if not vertex.dxf.flags & 16]
    places = np.array([tuple(v.dxf.location) for v in vertices], dtype=np.float64).reshape(-1, 3)
    if entity.is_2d_polyline:
        bulges = np.array([v.dxf.get("bulge", 0.0) for v in vertices], dtype=np.float64)
        corners = np.column_stack([places[:, :2], bulges])
        height = float(entity.dxf.get("elevation", (0, 0, 0))[2])
        return _bulged(entity, corners, entity.is_closed, height, chord, check)
    if entity.is_3d_polyline:
        check(places)
        return np.concatenate([places, places[:1]]) if entity.is_closed else places
    return None


def _bulged(
    entity: Any, corners: Points3, closed: bool, height: float, chord: float, check: Check
) -> Points3:
    """Points along corners (x, y, bulge of the edge that begins there)."""
    check(np.append(corners, height))
    ring = np.concatenate([corners, corners[:1]]) if closed else corners
    flat = [ring[:1, :2]]
    for corner, following in pairwise(ring):
        flat.append(bulge_points(corner[:2], following[:2], float(corner[2]), chord)[1:])
    points = np.concatenate(flat)
    return np.column_stack([points, np.full(len(points), height)]) @ _basis(entity)


def _basis(entity: Any) -> Points3:
    """(3, 3) axes of the entity's own coordinate system, one a row, in world coordinates."""
    ocs = entity.ocs()
    return np.array([tuple(axis) for axis in (ocs.ux, ocs.uy, ocs.uz)], dtype=np.float64)


READERS: Mapping[str, Callable[[Any, float, Check], Points3 | None]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _arc,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline,
}
