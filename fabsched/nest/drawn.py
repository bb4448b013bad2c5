"""A task drawn in pixels, and back from pixels to millimetres."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabsched.nest.bins import rooms_of, shapes_of
from fabsched.nest.filling import Ints, Rooms, Shapes
from fabsched.nest.poses import Pose, poses_of
from fabsched.nest.records import Item, Layout, Placement, Task


@dataclass(frozen=True, slots=True)
class Drawn:
    """A task in pixels.

    Attributes:
        task: what is laid out.
        pixel_mm: side of a pixel.
        poses: all ways the items may be turned, those of one item after those of another.
        shapes: the items as arrays.
        rooms: the bins as boards.
    """

    task: Task
    pixel_mm: float
    poses: Sequence[Pose]
    shapes: Shapes
    rooms: Rooms

    def laid_out(self, order: Ints, spots: Ints) -> Layout:
        """The layout in mm of copies on pixels.

        Args:
            order: (copies,) item of each.
            spots: (copies, 4) bin (-1 for none), pose, column and row of each.
        """
        placements = tuple(self._placed(order, spots))
        seen = Counter(placement.id for placement in placements)
        left = ((i.id, k) for i in self.task.items for k in range(seen[i.id], i.count))
        return Layout(placements=placements, unplaced=tuple(left))

    def _placed(self, order: Ints, spots: Ints) -> Iterator[Placement]:
        seen: Counter[int] = Counter()
        for item, (number, index, column, row) in zip(order.tolist(), spots.tolist(), strict=True):
            if number < 0:
                continue
            pose, half_gap_mm = self.poses[index], self.task.gap_mm / 2
            x, y = (
                pixel * self.pixel_mm - corner - half_gap_mm
                for pixel, corner in zip((column, row), pose.corner_mm, strict=True)
            )
            name = self.task.items[item].id
            yield Placement(
                id=name, copy=seen[item], bin=number, x_mm=x, y_mm=y, turn_deg=pose.turn_deg
            )
            seen[item] += 1


def drawn_on_pixels(task: Task, pixel_mm: float) -> Drawn:
    """A task in pixels of one size."""
    poses = [_poses(item, task, pixel_mm) for item in task.items]
    return Drawn(
        task=task,
        pixel_mm=pixel_mm,
        poses=[pose for ways in poses for pose in ways],
        shapes=shapes_of(poses),
        rooms=rooms_of(task.bins, poses, task.gap_mm, pixel_mm),
    )


def _poses(item: Item, task: Task, pixel_mm: float) -> list[Pose]:
    """An item in every way it may be turned."""
    outline = np.array(item.outline, dtype=np.float64)
    holes = [np.array(hole, dtype=np.float64) for hole in item.holes]
    return poses_of(outline, task.gap_mm, item.turns_deg or task.turns, pixel_mm, holes)
