"""Triangles into pixels with a depth buffer, in numpy.

Triangles are cut until each lies in a small box of pixels; then all boxes of a size are filled at
once, and the nearest triangle of every pixel wins.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BOXES = (2, 4, 8)
"""Sides of the boxes in pixels; a triangle that fits none is halved along its longest side."""
DEPTH_BITS = 31
"""Bits of the depth in a key of 63; the rest tells the triangle."""
MOST_CUTS = 32
"""A triangle is cut no more often: then it would be larger than any screen."""


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What is nearest in every pixel.

    Attributes:
        face: (height, width) index of the triangle; -1 where there is none.
        depth: (height, width) depth of what is seen, larger is nearer, from 0 to 1.
    """

    face: Ints
    depth: Floats


def rasterised(points: Floats, faces: NDArray[np.int32], size_px: tuple[int, int]) -> Seen:
    """Find which triangle is seen in the middle of every pixel.

    Args:
        points: (n, 3) pixels to the right and down, and depth, larger is nearer.
        faces: (m, 3) indices; both sides of a triangle are seen.
        size_px: width and height of the picture.
    """
    width, height = size_px
    keys = np.full(width * height, -1, np.int64)
    corners = points[faces].astype(np.float64)
    low, high = _depths(points)
    for boxes, owners, side in _in_boxes(corners, np.arange(len(faces), dtype=np.int64), size_px):
        _fill(keys, boxes, owners, side, size_px, (low, high))
    face = np.where(keys >= 0, keys & ((1 << (63 - DEPTH_BITS)) - 1), -1)
    depth = np.where(keys >= 0, keys >> (63 - DEPTH_BITS), 0) / float((1 << DEPTH_BITS) - 1)
    return Seen(face.reshape(height, width), depth.reshape(height, width))


def _depths(points: Floats) -> tuple[float, float]:
    if not len(points):
        return 0.0, 1.0
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    return low, max(high, low + 1e-9)


def _in_boxes(
    corners: Floats, owners: Ints, size_px: tuple[int, int]
) -> Iterator[tuple[Floats, Ints, int]]:
    """Triangles by the least box that holds them, (k, 3, 3) corners each with their owners."""
    for turn in range(MOST_CUTS + 1):
        least, most = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
        inside = (most > 0).all(axis=1) & (least < size_px).all(axis=1)
        corners, owners, least, most = (a[inside] for a in (corners, owners, least, most))
        side = (np.floor(most) - np.floor(least)).max(axis=1, initial=0) + 1
        below = 0
        for box in BOXES:
            fits = (side <= box) & (side > below)
            if fits.any():
                yield corners[fits], owners[fits], box
            below = box
        large = side > BOXES[-1]
        if turn == MOST_CUTS or not large.any():
            return
        corners, owners = _halved(corners[large]), np.tile(owners[large], 2)


def _halved(corners: Floats) -> Floats:
    """Each triangle cut from the middle of its longest side to the corner across: (2 k, 3, 3)."""
    sides = np.roll(corners, -1, axis=1)[:, :, :2] - corners[:, :, :2]
    longest = np.einsum("ijk,ijk->ij", sides, sides).argmax(axis=1)
    turn = (longest[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(corners, turn[:, :, None], axis=1).transpose(1, 0, 2)
    middle = (a + b) / 2
    return np.concatenate([np.stack((a, middle, c), axis=1), np.stack((middle, b, c), axis=1)])


def _fill(
    keys: Ints,
    corners: Floats,
    owners: Ints,
    side: int,
    size_px: tuple[int, int],
    depths: tuple[float, float],
) -> None:
    """Let triangles into the pixels of their boxes whose middles they cover."""
    width, height = size_px
    origin = np.floor(corners[:, :, :2].min(axis=1))
    steps = np.arange(side) + 0.5
    x = origin[:, 0, None, None] + steps[None, None, :]
    y = origin[:, 1, None, None] + steps[None, :, None]
    inside, depth = _covered(corners, x, y)
    inside &= (x > 0) & (x < width) & (y > 0) & (y < height)
    box, row, column = np.nonzero(inside)
    share = (depth[box, row, column] - depths[0]) / (depths[1] - depths[0])
    level = (np.clip(share, 0.0, 1.0) * ((1 << DEPTH_BITS) - 1)).astype(np.int64)
    pixel = (y[box, row, 0] * 1).astype(np.int64) * width + x[box, 0, column].astype(np.int64)
    np.maximum.at(keys, pixel, (level << (63 - DEPTH_BITS)) | owners[box])


def _covered(corners: Floats, x: Floats, y: Floats) -> tuple[NDArray[np.bool_], Floats]:
    """Whether points lie in triangles, and how deep they lie there."""
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (
        tuple(corners[:, corner, axis, None, None] for axis in range(3)) for corner in range(3)
    )
    area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    safe = np.where(np.abs(area) < 1e-12, 1.0, area)
    first = ((bx - x) * (cy - y) - (by - y) * (cx - x)) / safe
    second = ((cx - x) * (ay - y) - (cy - y) * (ax - x)) / safe
    third = 1.0 - first - second
    inside = (first >= -1e-9) & (second >= -1e-9) & (third >= -1e-9) & (np.abs(area) >= 1e-12)
    return inside, first * az + second * bz + third * cz
