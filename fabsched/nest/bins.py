"""Bins as pixels, and everything else the search takes as arrays."""

import math
from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType
from numpy.typing import NDArray

from fabsched.model.shapes import Points2
from fabsched.nest.filling import Rooms, Shapes
from fabsched.nest.poses import MITRE, ROUND, Pose
from fabsched.nest.raster import ROUNDING_MM, board, drawn
from fabsched.nest.records import Bin, Ring

BEYOND_MM = 1e3
"""How far the frame reaches that stands for everything outside of a bin."""
CHORDS = 4e-4
"""Share of a radius by which chords round a grown corner off, at `poses.ROUND` to a turn."""


def shapes_of(poses: Sequence[Sequence[Pose]]) -> Shapes:
    """Items in their poses as arrays."""
    flat = [pose for ways in poses for pose in ways]
    sizes = [len(pose.runs) for pose in flat]
    wide = np.array([pose.columns for pose in flat], dtype=np.int64)
    middle = np.array([_middle(pose) for pose in flat])
    return Shapes(
        runs=np.concatenate([pose.runs for pose in flat]),
        begin=np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64),
        wide=wide,
        anchors=np.array([wide, middle, (wide + middle) / 2, np.zeros(len(flat))]),
        poses=np.concatenate([[0], np.cumsum([len(ways) for ways in poses])]).astype(np.int64),
    )


def _middle(pose: Pose) -> float:
    """Column of the middle of a pose's pixels."""
    first, after = pose.runs[:, 1], pose.runs[:, 2]
    return float(((first + after) / 2 * (after - first)).sum() / (after - first).sum())


def rooms_of(
    bins: Sequence[Bin], poses: Sequence[Sequence[Pose]], gap_mm: float, resolution_mm: float
) -> Rooms:
    """Bins as boards. Half a gap of the grown parts may stick out of a bin on every side."""
    kinds = list(dict.fromkeys(bins))
    pictures = [_picture(kind, gap_mm, resolution_mm) for kind in kinds]
    rows, columns = np.max([picture.shape for picture in pictures], axis=0)
    padding = [((0, rows - p.shape[0]), (0, columns - p.shape[1])) for p in pictures]
    boards = [board(np.pad(picture, pad)) for picture, pad in zip(pictures, padding, strict=True)]
    flat = [pose for ways in poses for pose in ways]
    last = [[_last(pose, kind, gap_mm, resolution_mm) for pose in flat] for kind in kinds]
    return Rooms(
        taken=np.stack([taken for taken, _ in boards]),
        free=np.stack([free for _, free in boards]),
        last=np.array(last, dtype=np.int64),
        kind=np.array([kinds.index(one) for one in bins], dtype=np.int64),
    )


def _picture(room: Bin, gap_mm: float, resolution_mm: float) -> NDArray[np.uint8]:
    """Pixels of a bin that are blocked from the start."""
    columns, rows = (math.ceil((side + gap_mm) / resolution_mm) + 1 for side in room.size_mm)
    pixels = np.zeros((rows, columns), dtype=np.uint8)
    for rings in blocked(room, gap_mm):
        drawn([ring + gap_mm / 2 for ring in rings], resolution_mm, pixels)
    return pixels


def _last(pose: Pose, room: Bin, gap_mm: float, resolution_mm: float) -> tuple[int, int]:
    """Largest column and row the corner of a grown part may have; negative if it has no room."""
    column, row = (
        math.floor((side + gap_mm - extent + ROUNDING_MM) / resolution_mm)
        for side, extent in zip(room.size_mm, pose.size_mm, strict=True)
    )
    return column, row


def blocked(room: Bin, gap_mm: float, slack_mm: float = 0.0) -> list[list[Points2]]:
    """Areas grown parts must not touch: what lies outside a bin's own outline, and what is kept out.

    Half a gap of a grown part may stick out of the outline, so that parts themselves may touch it. Areas
    kept out are grown by half a gap as parts are: they stay apart by a whole one, as from a part.

    Args:
        room: the bin.
        gap_mm: least distance of two parts.
        slack_mm: by how much less they may stick out.
    """
    found = [_grown(ring, gap_mm / 2 - slack_mm) for ring in room.keep_out]
    if room.outline:
        outline = CrossSection([np.array(room.outline, dtype=np.float64)], FillRule.NonZero)
        wider = outline.offset(gap_mm / 2 - slack_mm, JoinType.Miter, MITRE, ROUND)
        wide, high = np.add(room.size_mm, BEYOND_MM)
        frame = np.array(
            [[-BEYOND_MM, -BEYOND_MM], [wide, -BEYOND_MM], [wide, high], [-BEYOND_MM, high]]
        )
        found.append([frame, *wider.to_polygons()])
    return found


def _grown(border: Ring, by_mm: float) -> list[Points2]:
    """An area with a margin around it."""
    area = CrossSection([np.array(border, dtype=np.float64)], FillRule.NonZero)
    rings: list[Points2] = area.offset(by_mm, JoinType.Miter, MITRE, ROUND).to_polygons()
    return rings
