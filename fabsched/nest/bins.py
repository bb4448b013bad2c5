"""Bins while they fill up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fabsched.nest.poses import Pose
from fabsched.nest.raster import ROUNDING_MM, Board


@dataclass(frozen=True, slots=True)
class Spot:
    """A place found.

    Attributes:
        bin: number of the bin, from 0.
        right: column of the right edge.
        row, column: pixel of the lower left corner.
        pose: how the part is turned.
    """

    bin: int
    right: int
    row: int
    column: int
    pose: Pose


class Bins:
    """Bins of one size, opened as they are needed."""

    def __init__(self, room_mm: tuple[float, float], resolution_mm: float, most: int) -> None:
        """Begin without any.

        Args:
            room_mm: width and height of a bin.
            resolution_mm: side of a pixel.
            most: how many bins there are.
        """
        self.room_mm = room_mm
        self.resolution_mm = resolution_mm
        self.most = most
        self.opened: list[_Bin] = []

    def place(self, item: int, poses: Sequence[Pose]) -> Spot | None:
        """Put one copy of an item into the first bin that has room for it.

        Args:
            item: the same number for all copies, and for no other item.
            poses: the ways it may be turned.
        """
        for number, known in enumerate(self.opened):
            spot = None if item in known.full else known.place(item, poses)
            if spot is not None:
                return replace(spot, bin=number)
        if len(self.opened) >= self.most or not self._ever(poses):
            return None
        self.opened.append(_Bin(self.room_mm, self.resolution_mm))
        return self.place(item, poses)

    def _ever(self, poses: Sequence[Pose]) -> bool:
        """Whether an item fits into an empty bin."""
        return any(min(_last(pose, self.room_mm, self.resolution_mm)) >= 0 for pose in poses)


class _Bin:
    """One bin and what is known about it."""

    def __init__(self, room_mm: tuple[float, float], resolution_mm: float) -> None:
        self.room_mm = room_mm
        self.resolution_mm = resolution_mm
        columns, rows = (math.ceil(side / resolution_mm) + 1 for side in room_mm)
        self.board = Board.empty(columns, rows)
        self.starts: dict[tuple[int, float], int] = {}
        self.full: set[int] = set()

    def place(self, item: int, poses: Sequence[Pose]) -> Spot | None:
        """Put an item where its right edge lies farthest left, then lowest."""
        found: Spot | None = None
        for pose in poses:
            spot = self._look(item, pose, found)
            if found is None or (spot and (spot.right, spot.row) < (found.right, found.row)):
                found = spot
        if found is None:
            self.full.add(item)
        else:
            self.board.occupy(found.pose.runs, found.column, found.row)
        return found

    def _look(self, item: int, pose: Pose, so_far: Spot | None) -> Spot | None:
        """The best place for one pose, if it is no worse than the one found so far.

        A bin only fills up, so that an item never fits farther left than it did the last time.
        """
        last = _last(pose, self.room_mm, self.resolution_mm)
        start = self.starts.get((item, pose.turn_deg), 0)
        stop = last[0] + 1
        if so_far is not None:
            stop = min(stop, so_far.right - pose.columns + 1)
        if min(last) < 0 or start >= stop:
            return None
        column, row = self.board.leftmost(pose.runs, last, start, stop)
        self.starts[item, pose.turn_deg] = stop if column < 0 else column
        return None if column < 0 else Spot(0, column + pose.columns, row, column, pose)


def _last(pose: Pose, room_mm: tuple[float, float], resolution_mm: float) -> tuple[int, int]:
    """Largest column and row the corner of a grown part may have; negative if it has no room."""
    column, row = (
        math.floor((room - side + ROUNDING_MM) / resolution_mm)
        for room, side in zip(room_mm, pose.size_mm, strict=True)
    )
    return column, row
