"""Round holes of solids whose analytic faces are known."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabsched.files.glb import Solid

GAP_RAD = 1.0
"""Corners of a round hole follow each other closer than this around its axis: triangles turn by a
fifth of it, while what a rounded corner leaves open is larger."""
SAME_MM = 1e-3
"""Axes closer than this are one, as are radii; directions are told apart to 1e-3 too."""
MM = 1000.0
SHOWN = 6
"""Sizes that are listed, the most frequent first."""

Points = NDArray[np.float64]
Face = dict[str, Any]


def hole_sizes(solids: Iterable[Solid]) -> Counter[float]:
    """How many round holes there are of each diameter in mm, on all solids as they are placed.

    A hole in several pieces (halves of its wall, two flanges it goes through) counts once as long
    as they have one axis and one diameter.
    """
    sizes: Counter[float] = Counter()
    for solid in solids:
        pieces: defaultdict[tuple[float, ...], list[Points]] = defaultdict(list)
        for face, corners in _cylinders(solid):
            if _looks_inwards(face, corners[0]):
                pieces[_cylinder(face)].append(_angles(face, corners.reshape(-1, 3)))
        sizes.update(2.0 * key[0] for key, angles in pieces.items() if _all_round(angles))
    return sizes


def listed(sizes: Counter[float]) -> str:
    """Holes as text, the most frequent first.

    >>> listed(Counter({3.2: 4, 10.0: 1}))
    '4 x 3.2 mm, 1 x 10 mm'
    """
    ordered = sorted(sizes.items(), key=lambda entry: (-entry[1], entry[0]))
    texts = [f"{count} x {size:g} mm" for size, count in ordered]
    return ", ".join(texts[:SHOWN]) + (", ..." if len(texts) > SHOWN else "")


def _cylinders(solid: Solid) -> Iterator[tuple[Face, Points]]:
    """Cylindrical faces with the corners of their triangles, (m, 3, 3), in their own coordinates."""
    back = np.linalg.inv(solid.matrix[:3, :3]).T
    order = np.argsort(solid.face, kind="stable")
    numbers = solid.face[order]
    for face in solid.faces:
        if face.get("type") == "cylinder":
            low, high = np.searchsorted(numbers, (face["face_index"], face["face_index"] + 1))
            corners = solid.points[solid.triangles[order[low:high]]]
            if len(corners):
                yield face, (corners - solid.matrix[:3, 3]) @ back


def _looks_inwards(face: Face, corners: Points) -> bool:
    """Whether a triangle of a cylinder faces its axis."""
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    return bool(normal @ _outwards(face, corners.mean(axis=0)) < 0.0)


def _outwards(face: Face, points: Points) -> Points:
    """The way from the axis of a cylinder to points, square to it."""
    axis, out = np.array(face["axis"]), points - np.array(face["origin"])
    return np.asarray(out - np.multiply.outer(out @ axis, axis))


def _angles(face: Face, points: Points) -> Points:
    """Angles of points around the axis of a cylinder, from a way that depends on the axis alone."""
    axis = _one_way(face)
    across = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    out = _outwards(face, points)
    return np.asarray(np.arctan2(out @ np.cross(axis, across), out @ across))


def _one_way(face: Face) -> Points:
    """The axis of a cylinder, the same for both ways along it."""
    axis = np.array(face["axis"])
    return np.asarray(axis * np.sign(axis[np.argmax(np.abs(axis) > 0.5)]))


def _all_round(pieces: list[Points]) -> bool:
    """Whether angles leave no gap anywhere around."""
    angles = np.sort(np.concatenate(pieces))
    return bool(np.diff(angles, append=angles[0] + 2.0 * np.pi).max() < GAP_RAD)


def _cylinder(face: Face) -> tuple[float, ...]:
    """What faces of one cylinder have in common, rounded: radius, way and place of the axis."""
    axis, origin = _one_way(face), np.array(face["origin"]) * MM
    foot = origin - axis * (origin @ axis)
    lengths = np.round(np.array([face["radius"] * MM, *foot]) / SAME_MM) * SAME_MM
    radius, *place = (round(float(length), 3) + 0.0 for length in lengths)
    return (radius, *(np.round(axis, 3) + 0.0).tolist(), *place)
