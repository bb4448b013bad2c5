"""What can be measured on one feature, or between two: diameters, widths, distances."""

from collections.abc import Callable, Sequence
from math import dist, sqrt

from fabsched.model.features import Dimension, Feature
from fabsched.model.project import Axis, FitKind, Point

PARALLEL = 0.9998
"""Cosine of the angle up to which directions are parallel, about one degree (our own choice)."""
ALONG = 0.996
"""The same up to which something runs along a coordinate, about five degrees."""
LEAST_MM = 0.1
"""The smallest extent and distance that is told."""
AXES = tuple(Axis)


def measured(features: Sequence[Feature]) -> Dimension | None:
    """What can be measured.

    Args:
        features: one or two of them.

    Returns:
        The diameter of one round feature; of two parallel faces the width of the gap or of the
        material between them; between round features, or one of them and a face beside it, the
        distance of their middles. None where there is no such thing: one face alone, what is not
        parallel, what lies in one line.
    """
    match features:
        case [Feature(is_round=True) as only]:
            return _diameter(only)
        case [one, other] if _cosine(one, other) >= PARALLEL and one.is_round == other.is_round:
            return _centres(one, other) if one.is_round else _width(one, other)
        case [one, other] if one.is_round != other.is_round:
            return _to_face(one, other) if one.is_round else _to_face(other, one)
        case _:
            return None


def _diameter(feature: Feature) -> Dimension:
    axis, straight = _nearest(feature.axis)
    radius = feature.diameter_mm / 2
    aside = _aside(feature.axis)
    ends = (_moved(feature.at_mm, aside, -radius), _moved(feature.at_mm, aside, radius))
    low, high = feature.low_mm, feature.high_mm
    return Dimension(
        kind=FitKind(feature.form.value) if straight else FitKind.OTHER,
        ends_mm=ends,
        at_mm=_middle(low, high),
        size_mm=_extent(low, high),
        axis=axis,
        is_diameter=True,
    )


def _centres(one: Feature, other: Feature) -> Dimension | None:
    """Distance of two axes, measured at the height of the first."""
    between = _minus(other.at_mm, one.at_mm)
    along = _dot(between, one.axis)
    end = _moved(other.at_mm, one.axis, -along)
    return _between(one, other, (one.at_mm, end), FitKind.OTHER, _nearest(one.axis)[0])


def _to_face(one: Feature, face: Feature) -> Dimension | None:
    """Distance of an axis from a face beside it."""
    if abs(_dot(one.axis, face.axis)) > sqrt(1 - PARALLEL**2):
        return None
    away = _dot(_minus(face.at_mm, one.at_mm), face.axis)
    ends = (one.at_mm, _moved(one.at_mm, face.axis, away))
    return _between(one, face, ends, FitKind.OTHER, _nearest(one.axis)[0])


def _width(one: Feature, other: Feature) -> Dimension | None:
    """Distance of two parallel faces, across where they lie over each other."""
    away = _dot(_minus(other.at_mm, one.at_mm), one.axis)
    start = _onto(_overlap_middle(one, other), one)
    ends = (start, _moved(start, one.axis, away))
    across, straight = _nearest(one.axis)
    facing = _dot(one.axis, other.axis) < 0
    kind = (FitKind.SLOT if away > 0 else FitKind.PEG) if facing and straight else FitKind.OTHER
    low, high = _overlap(one, other)
    sides = {axis: high[i] - low[i] for i, axis in enumerate(AXES) if axis is not across}
    deepest = max(sides, key=lambda axis: sides[axis])
    if kind is FitKind.OTHER:
        return _between(one, other, ends, kind, deepest)
    return _made(ends, kind, deepest, low, high)


def _between(
    one: Feature, other: Feature, ends: tuple[Point, Point], kind: FitKind, axis: Axis
) -> Dimension | None:
    """A dimension across both features, boxes and all."""
    low = _each(min, one.low_mm, other.low_mm)
    high = _each(max, one.high_mm, other.high_mm)
    return _made(ends, kind, axis, low, high)


def _made(
    ends: tuple[Point, Point], kind: FitKind, axis: Axis, low: Point, high: Point
) -> Dimension | None:
    if dist(*ends) < LEAST_MM:
        return None
    at, size = _middle(low, high), _extent(low, high)
    return Dimension(kind=kind, ends_mm=ends, at_mm=at, size_mm=size, axis=axis)


def _overlap(one: Feature, other: Feature) -> tuple[Point, Point]:
    """The box of what two faces share, and of what lies between them; of both if they share nothing."""
    across = AXES.index(_nearest(one.axis)[0])
    low = list(_each(max, one.low_mm, other.low_mm))
    high = list(_each(min, one.high_mm, other.high_mm))
    low[across], high[across] = min(low[across], high[across]), max(low[across], high[across])
    if any(b < a for a, b in zip(low, high, strict=True)):
        low = list(_each(min, one.low_mm, other.low_mm))
        high = list(_each(max, one.high_mm, other.high_mm))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _overlap_middle(one: Feature, other: Feature) -> Point:
    return _middle(*_overlap(one, other))


def _onto(point: Point, face: Feature) -> Point:
    """The nearest point in the plane of a face."""
    return _moved(point, face.axis, -_dot(_minus(point, face.at_mm), face.axis))


# Vectors, few enough to need no arrays.


def _cosine(one: Feature, other: Feature) -> float:
    return abs(_dot(one.axis, other.axis))


def _nearest(way: Point) -> tuple[Axis, bool]:
    """The coordinate a direction runs along most, and whether it does so straight."""
    place = max(range(3), key=lambda i: abs(way[i]))
    return AXES[place], abs(way[place]) >= ALONG


def _aside(way: Point) -> Point:
    """A unit vector at right angles to another: along x, where that can be."""
    least = min(range(3), key=lambda i: abs(way[i]))
    flat = [(1.0 if i == least else 0.0) - way[least] * way[i] for i in range(3)]
    length = sqrt(sum(value * value for value in flat))
    return flat[0] / length, flat[1] / length, flat[2] / length


def _dot(a: Point, b: Point) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def _minus(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _moved(point: Point, way: Point, by: float) -> Point:
    return point[0] + way[0] * by, point[1] + way[1] * by, point[2] + way[2] * by


def _each(which: Callable[[float, float], float], a: Point, b: Point) -> Point:
    return which(a[0], b[0]), which(a[1], b[1]), which(a[2], b[2])


def _middle(low: Point, high: Point) -> Point:
    return (low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2


def _extent(low: Point, high: Point) -> Point:
    x, y, z = (max(side, LEAST_MM) for side in _minus(high, low))
    return x, y, z
