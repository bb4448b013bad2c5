"""Find round holes, pegs and flat faces on the surface of a solid.

Triangles in one plane are a facet. Facets that meet along parallel straight creases, all turning the
same way and as much as one circle does, are the side of a cylinder; its vertices lie on the circle,
which is fitted to them by least squares. All is counted from the triangles: the file says nothing of
cylinders.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fabsched.model.features import Feature, Form, Found
from fabsched.model.project import Point
from fabsched.model.shapes import Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FLAT = float(np.cos(np.radians(0.5)))
"""Cosine of the angle up to which neighbours lie in one plane (our own choice)."""
STEEP = float(np.cos(np.radians(46.0)))
"""Cosine of the largest turn from facet to facet around a circle: eight of them are still one."""
PARALLEL = float(np.cos(np.radians(1.0)))
"""Cosine of the angle up to which creases are parallel."""
ALIKE = 1.3
"""How much the radii two neighbouring creases speak of may differ: along the side of a flat face
that runs into a rounding it is twice as much."""
ROUND_RAD = float(np.radians(200.0))
"""How far round a side has to go to be a hole or a peg, not a rounding (our own choice)."""
OFF = (0.02, 0.002)
"""How far vertices may lie off the circle, in mm and as a share of its radius, the larger counts."""
SOFT_RAD = float(np.radians(30.0))
"""Strips of a curved surface meet at less than this ..."""
LIKE_STRIPS = 1 / 3
"""... and have at least this share of their neighbours' areas, on two sides (our own choice)."""
FACE_SHARE = 0.002
"""Faces smaller than this share of the surface are not told of (our own choice)."""
MOST_ROUND, MOST_FACES = 200, 80
"""So many are told of, the largest."""
MOST_CREASES = 40
"""Facets with more creases than this are no strip of a cylinder."""


@dataclass(frozen=True, slots=True, eq=False)
class _Surface:
    """A solid as facets.

    Attributes:
        mesh: its triangles.
        normal: (m, 3) of each, zero without area.
        area: (m,) of each.
        facet: (m,) index of the facet each lies in.
        count: how many facets there are.
        one, other: (e,) triangles that share an edge.
        along: (e, 3) that edge, its length kept.
    """

    mesh: Mesh
    normal: Floats
    area: Floats
    facet: Ints
    count: int
    one: Ints
    other: Ints
    along: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Creases:
    """Straight lines along which two facets meet.

    Attributes:
        sides: (c, 2) the facets.
        way: (c, 3) unit vector along it.
        turn_rad: (c,) by how much the surface turns; above zero inwards, as in a hole.
        radius_mm: (c,) of the circle that would turn so.
    """

    sides: Ints
    way: Floats
    turn_rad: Floats
    radius_mm: Floats


def features_of(mesh: Mesh) -> Found:
    """The features of a solid.

    Args:
        mesh: its vertices welded, so that neighbours share them.
    """
    surface = _surface(mesh)
    creases = _creases(surface)
    owner = np.full(len(mesh.faces), -1, np.int64)
    found: list[Feature] = []
    sides = sorted(_round(surface, creases), key=lambda pair: -pair[0].diameter_mm)
    for feature, inside in sides[:MOST_ROUND]:
        owner[inside[surface.facet]] = len(found)
        found.append(feature)
    for feature, inside in _faces(surface, creases, owner):
        owner[inside] = len(found)
        found.append(feature)
    return Found(features=tuple(found), owner=owner)


# Facets and creases.


def _surface(mesh: Mesh) -> _Surface:
    a, b, c = (mesh.vertices[mesh.faces[:, corner]] for corner in range(3))
    across = np.cross(b - a, c - a)
    length = np.linalg.norm(across, axis=1)
    normal = across / np.where(length > 0, length, 1.0)[:, None]
    one, other, along = _neighbours(mesh)
    turn = np.einsum("ij,ij->i", normal[one], normal[other])
    count, facet = _joined(one[turn > FLAT], other[turn > FLAT], len(mesh.faces))
    return _Surface(mesh, normal, length / 2, facet, count, one, other, along)


def _neighbours(mesh: Mesh) -> tuple[Ints, Ints, Floats]:
    """Triangles that share an edge, where exactly two do, and that edge."""
    faces = mesh.faces.astype(np.int64)
    edges = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    owner = np.tile(np.arange(len(faces)), 3)
    keys = edges[:, 0] * len(mesh.vertices) + edges[:, 1]
    order = np.argsort(keys, kind="stable")
    _, first, counts = np.unique(keys[order], return_index=True, return_counts=True)
    first = first[counts == 2]
    ends = edges[order[first]]
    along = mesh.vertices[ends[:, 1]] - mesh.vertices[ends[:, 0]]
    return owner[order[first]], owner[order[first + 1]], along


def _joined(one: Ints, other: Ints, count: int) -> tuple[int, Ints]:
    """How many groups there are when these are joined, and the group of each."""
    joins = coo_array((np.ones(len(one), np.int8), (one, other)), shape=(count, count))
    groups, label = connected_components(joins, directed=False)
    return int(groups), label.astype(np.int64)


def _creases(surface: _Surface) -> _Creases:
    """Edges between the same two facets are one crease, if they run in one line."""
    s = surface
    cosine = np.einsum("ij,ij->i", s.normal[s.one], s.normal[s.other])
    bent = (cosine < FLAT) & (cosine > STEEP) & (s.facet[s.one] != s.facet[s.other])
    one, other, along = s.one[bent], s.other[bent], s.along[bent]
    sides = np.sort(np.column_stack([s.facet[one], s.facet[other]]), axis=1)
    _, first, crease = np.unique(
        sides[:, 0] * s.count + sides[:, 1], return_index=True, return_inverse=True
    )
    way = along[first]
    sign = np.sign(np.einsum("ij,ij->i", along, way[crease]))
    total = _summed(along * sign[:, None], crease, len(first))
    length = np.bincount(crease, np.linalg.norm(along, axis=1), len(first))
    straight = np.linalg.norm(total, axis=1) > PARALLEL * length
    way = total / np.maximum(np.linalg.norm(total, axis=1), 1e-12)[:, None]
    turn = _turns(s, one, other)[first]
    kept = np.nonzero(straight)[0]
    sides, way, turn, length = sides[first][kept], way[kept], turn[kept], length[kept]
    wide = _facet_areas(s)[sides].sum(axis=1) / np.maximum(length, 1e-12)
    return _Creases(sides, way, turn, wide / (2 * np.maximum(np.abs(turn), 1e-9)))


def _turns(surface: _Surface, one: Ints, other: Ints) -> Floats:
    """By how much the surface turns from one triangle to its neighbour; inwards above zero."""
    n, m = surface.normal[one], surface.normal[other]
    middle = surface.mesh.vertices[surface.mesh.faces].mean(axis=1)
    inwards = np.einsum("ij,ij->i", middle[other] - middle[one], n) > 0
    angle = np.arctan2(np.linalg.norm(np.cross(n, m), axis=1), np.einsum("ij,ij->i", n, m))
    turns: Floats = np.where(inwards, angle, -angle)
    return turns


def _facet_areas(surface: _Surface) -> Floats:
    areas: Floats = np.bincount(surface.facet, surface.area, surface.count)  # type: ignore[assignment]  # weighted sums are floats
    return areas


def _summed(values: Floats, label: Ints, count: int) -> Floats:
    """(count, 3) sums of rows by label."""
    return np.column_stack([np.bincount(label, values[:, i], count) for i in range(3)])


# What is round.


def _round(surface: _Surface, creases: _Creases) -> Iterator[tuple[Feature, NDArray[np.bool_]]]:
    """Every hole and peg, with which facets are its side."""
    one, other = _linked(creases)
    count, group = _joined(one, other, len(creases.sides))
    far = np.bincount(group, np.abs(creases.turn_rad), count)
    for number in np.nonzero(far > ROUND_RAD)[0]:
        members = np.nonzero(group == number)[0]
        inside = np.zeros(surface.count, np.bool_)
        inside[creases.sides[members]] = True
        feature = _cylinder(surface, creases, members, inside)
        if feature is not None:
            yield feature, inside


def _linked(creases: _Creases) -> tuple[Ints, Ints]:
    """Creases on both sides of one facet that speak of the same cylinder."""
    facet, crease = creases.sides.ravel(), np.repeat(np.arange(len(creases.sides)), 2)
    few = np.bincount(facet, minlength=1)[facet] <= MOST_CREASES
    order = np.argsort(facet[few], kind="stable")
    facet, crease = facet[few][order], crease[few][order]
    ones, others = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    for step in range(1, MOST_CREASES):
        same = facet[step:] == facet[:-step]
        if not same.any():
            break
        a, b = crease[:-step][same], crease[step:][same]
        alike = _alike(creases, a, b)
        ones.append(a[alike])
        others.append(b[alike])
    return np.concatenate(ones), np.concatenate(others)


def _alike(creases: _Creases, a: Ints, b: Ints) -> NDArray[np.bool_]:
    parallel = np.abs(np.einsum("ij,ij->i", creases.way[a], creases.way[b])) > PARALLEL
    turning = creases.turn_rad[a] * creases.turn_rad[b] > 0
    ratio = creases.radius_mm[a] / np.maximum(creases.radius_mm[b], 1e-12)
    return np.asarray(parallel & turning & (ratio < ALIKE) & (ratio > 1 / ALIKE))


def _cylinder(
    surface: _Surface, creases: _Creases, members: Ints, inside: NDArray[np.bool_]
) -> Feature | None:
    """The cylinder whose side some creases run along; None if their vertices lie on no circle."""
    way = creases.way[members]
    axis = _upwards((way * np.sign(way @ way[0])[:, None]).mean(axis=0))
    points = surface.mesh.vertices[np.unique(surface.mesh.faces[inside[surface.facet]])]
    right, up = _across(axis)
    centre, radius, off = fitted_circle(np.column_stack([points @ right, points @ up]))
    if off > max(OFF[0], OFF[1] * radius):
        return None
    along = points @ axis
    low, high = float(along.min()), float(along.max())
    middle = centre[0] * right + centre[1] * up + 0.5 * (low + high) * axis
    return Feature(
        form=Form.HOLE if creases.turn_rad[members].sum() > 0 else Form.PEG,
        at_mm=_point(middle),
        axis=_point(axis),
        low_mm=_point(points.min(axis=0)),
        high_mm=_point(points.max(axis=0)),
        diameter_mm=2 * radius,
        length_mm=high - low,
    )


def fitted_circle(points: Floats) -> tuple[Floats, float, float]:
    """The circle nearest to points in a plane.

    Least squares of x^2 + y^2 + a x + b y + c = 0 (Kasa, IEEE Trans. Instrum. Meas. 25, 1976, from
    memory): exact where all points lie on one circle, as vertices of a drawn cylinder do.

    Args:
        points: (n, 2), at least three that are not in line.

    Returns:
        Centre (2,), radius, and how far the farthest point lies off it.
    """
    shift = points.mean(axis=0)
    x, y = (points - shift).T
    matrix = np.column_stack([x, y, np.ones_like(x)])
    (a, b, c), *_ = np.linalg.lstsq(matrix, -(x * x + y * y), rcond=None)
    centre = np.array([-a / 2, -b / 2])
    radius = float(np.sqrt(max(a * a / 4 + b * b / 4 - c, 0.0)))
    off = np.abs(np.hypot(x - centre[0], y - centre[1]) - radius)
    return centre + shift, radius, float(off.max())


def _upwards(way: Floats) -> Floats:
    """A unit vector, its largest share above zero, so that parallel axes are the same."""
    unit: Floats = way / max(float(np.linalg.norm(way)), 1e-12)
    upwards: Floats = unit * np.sign(unit[int(np.abs(unit).argmax())])
    return upwards


def _across(axis: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors at right angles to an axis and to each other."""
    other = np.eye(3)[int(np.abs(axis).argmin())]
    right = np.cross(axis, other)
    right /= np.linalg.norm(right)
    return right, np.cross(axis, right)


# What is flat.


def _faces(
    surface: _Surface, creases: _Creases, owner: Ints
) -> Iterator[tuple[Feature, NDArray[np.bool_]]]:
    """The largest facets that are no share of something curved, with their triangles."""
    areas = np.bincount(surface.facet, surface.area * (owner < 0), surface.count)
    areas[_strips(surface, creases)] = 0.0
    large = np.argsort(-areas, kind="stable")[:MOST_FACES]
    least = FACE_SHARE * float(surface.area.sum())
    for facet in large[areas[large] >= max(least, 1e-9)]:
        inside = surface.facet == facet
        yield _face(surface, inside), inside


def _strips(surface: _Surface, creases: _Creases) -> NDArray[np.bool_]:
    """Which facets have neighbours like themselves on two sides, at a small angle."""
    areas = _facet_areas(surface)
    one, other = creases.sides[np.abs(creases.turn_rad) < SOFT_RAD].T
    facet, beside = np.concatenate([one, other]), np.concatenate([other, one])
    alike = areas[beside] > LIKE_STRIPS * areas[facet]
    return np.asarray(np.bincount(facet[alike], minlength=surface.count) >= 2)


def _face(surface: _Surface, inside: NDArray[np.bool_]) -> Feature:
    area, corners = surface.area[inside], surface.mesh.vertices[surface.mesh.faces[inside]]
    normal = (surface.normal[inside] * area[:, None]).sum(axis=0)
    middle = (corners.mean(axis=1) * area[:, None]).sum(axis=0) / area.sum()
    return Feature(
        form=Form.FACE,
        at_mm=_point(middle),
        axis=_point(normal / np.linalg.norm(normal)),
        low_mm=_point(corners.min(axis=(0, 1))),
        high_mm=_point(corners.max(axis=(0, 1))),
    )


def _point(values: Floats) -> Point:
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z


# Another mesh of the same solid.


def owners_on(mesh: Mesh, features: tuple[Feature, ...], slack_mm: float) -> Ints:
    """Which feature each triangle of a coarser mesh lies on; -1 for none.

    Args:
        mesh: of the same solid, in the same coordinates.
        features: as found.
        slack_mm: how far its vertices may lie off.
    """
    corners = mesh.vertices[mesh.faces]
    owner = np.full(len(corners), -1, np.int64)
    for number in reversed(range(len(features))):
        feature = features[number]
        off = _off(corners, feature).max(axis=1) <= slack_mm
        low, high = np.array(feature.low_mm) - slack_mm, np.array(feature.high_mm) + slack_mm
        owner[off & ((corners >= low) & (corners <= high)).all(axis=(1, 2))] = number
    return owner


def _off(corners: Floats, feature: Feature) -> Floats:
    """(m, 3) how far the corners of triangles lie off the surface of a feature."""
    away = corners - np.array(feature.at_mm)
    along = away @ np.array(feature.axis)
    if not feature.is_round:
        return np.asarray(np.abs(along))
    aside = np.linalg.norm(away - along[..., None] * np.array(feature.axis), axis=2)
    return np.asarray(np.abs(aside - feature.diameter_mm / 2))
