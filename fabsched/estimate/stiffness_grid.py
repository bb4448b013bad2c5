"""An outline laid over a grid: which cells it covers, and by how much."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from fabsched.estimate.stiffness_element import CORNERS, Element
from fabsched.model.shapes import Points2

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ROWS = 6
"""Lines looked along in each row of cells."""
STRAIGHT = 3.0
"""Cells from which on a stretch of a line counts as straight."""
MOSTLY = 0.5
"""A cell is mostly covered from this share on."""
LEAST = 0.02
"""Cells covered by a smaller share are left out."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Grid:
    """The cells an outline covers.

    Attributes:
        low_mm: (2,) lower left corner of the grid.
        sides_mm: of a cell.
        cells: (m, 2) column and row of the cells that are covered.
        shares: (m,) share of each that is covered.
        numbers: (m, 12) the unknowns of each: deflection and both slopes at its corners.
        nodes: (k, 2) places of the nodes in mm.
        inside: (k,) whether all cells around a node are mostly covered.
        covered: (columns, rows) share of each cell of the box that is covered.
    """

    low_mm: Floats
    sides_mm: tuple[float, float]
    cells: Ints
    shares: Floats
    numbers: Ints
    nodes: Points2
    inside: NDArray[np.bool_]
    covered: Floats

    @property
    def unknowns(self) -> int:
        """How many there are."""
        return 3 * len(self.nodes)

    def at(self, cell: Element, points: Points2) -> csr_array:
        """How the unknowns deflect points, (n, unknowns)."""
        found, local = self._cells_of(points)
        return self._rows(cell.deflection(local), found)

    def slopes(self, cell: Element, points: Points2, directions: Floats) -> csr_array:
        """The same for slopes in a direction each, (n, 2)."""
        found, local = self._cells_of(points)
        return self._rows(cell.slope(local, directions), found)

    def holds(self, points: Points2) -> NDArray[np.bool_]:
        """Whether points lie in cells that are mostly covered, (n,)."""
        place = np.floor((points - self.low_mm) / self.sides_mm + 1e-9).astype(np.int64)
        on = np.all((place >= 0) & (place < self.covered.shape), axis=1)
        x, y = np.where(on[:, None], place, 0).T
        return np.asarray(on & (self.covered[x, y] >= MOSTLY))

    def _rows(self, values: Floats, found: Ints) -> csr_array:
        count = len(values)
        starts = np.arange(count + 1) * 12
        shape = (count, self.unknowns)
        return csr_array((values.ravel(), self.numbers[found].ravel(), starts), shape=shape)

    def _cells_of(self, points: Points2) -> tuple[Ints, Floats]:
        """The nearest cell of each point, and where in it, in mm from its corner."""
        number = np.full(self.covered.shape, -1, np.int64)
        number[tuple(self.cells.T)] = np.arange(len(self.cells))
        place = np.floor((points - self.low_mm) / self.sides_mm).astype(np.int64)
        x, y = np.clip(place, 0, np.array(self.covered.shape) - 1).T
        found = number[x, y]
        for lost in np.flatnonzero(found < 0):
            middle = self.low_mm + (self.cells + 0.5) * self.sides_mm
            away = np.abs(points[lost] - middle) / self.sides_mm
            found[lost] = away.max(axis=1).argmin()
        return found, points - (self.low_mm + self.cells[found] * self.sides_mm)


def grid_of(rings: Sequence[Points2], cells: int) -> Grid:
    """Lay an outline over a grid that just holds it.

    Args:
        rings: outer borders and holes, in any sense.
        cells: about how many cells the box around it has.
    """
    points = np.concatenate(list(rings))
    low, size = points.min(axis=0), np.ptp(points, axis=0)
    side = math.sqrt(float(size[0] * size[1]) / cells)
    # an even number puts a node in the middle
    nx, ny = (max(2, 2 * round(0.5 * float(length) / side)) for length in size)
    sides = (float(size[0]) / nx, float(size[1]) / ny)
    covered = _covered([ring - low for ring in rings], sides, (nx, ny))
    columns, rows = np.nonzero(covered >= LEAST)
    corners = np.stack([columns, rows], axis=1)[:, None, :] + CORNERS.astype(np.int64)
    used, number = np.unique(corners[..., 0] * (ny + 1) + corners[..., 1], return_inverse=True)
    number = number.reshape(-1, 4)
    nodes = np.stack([used // (ny + 1), used % (ny + 1)], axis=1)
    return Grid(
        low_mm=low,
        sides_mm=sides,
        cells=np.stack([columns, rows], axis=1),
        shares=covered[columns, rows],
        numbers=(3 * number[:, :, None] + np.arange(3)).reshape(-1, 12),
        nodes=low + nodes * sides,
        inside=_inside(covered, nodes),
        covered=covered,
    )


def _covered(
    rings: Sequence[Points2], sides: tuple[float, float], shape: tuple[int, int]
) -> Floats:
    """Share of each cell inside the rings, by the even-odd rule along a few lines per row."""
    starts = np.concatenate(list(rings))
    ends = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    covered = np.zeros(shape)
    borders = np.arange(shape[0] + 1) * sides[0]
    for line in range(shape[1] * ROWS):
        y = (line + 0.5) * sides[1] / ROWS
        crossing = (starts[:, 1] > y) != (ends[:, 1] > y)
        a, b = starts[crossing], ends[crossing]
        x = np.sort(a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
        reached = np.clip(borders[:, None], x[None, 0::2], x[None, 1::2]) - x[None, 0::2]
        covered[:, line // ROWS] += np.diff(reached.sum(axis=1)) / (sides[0] * ROWS)
    return covered


def _inside(covered: Floats, nodes: Ints) -> NDArray[np.bool_]:
    """Whether the cells around each node are at least half covered; those off the grid count."""
    padded = np.pad(covered, 1, constant_values=1.0)
    x, y = nodes.T
    around = [padded[x + i, y + k] for i in (0, 1) for k in (0, 1)]
    return np.asarray(np.minimum.reduce(around) >= MOSTLY)


def dotted(line: Points2, step_mm: float) -> tuple[Points2, Floats]:
    """Points along a line, and the direction across it at each.

    Long straight stretches get two points for each step and their ends, curves one, since more would
    hold the cells they pass stiffer than the line does.

    Args:
        line: (k, 2) corners.
        step_mm: about the side of a cell.
    """
    lengths = np.linalg.norm(np.diff(line, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(lengths)])
    spots: list[float] = []
    for start, length in zip(at[:-1].tolist(), lengths.tolist(), strict=True):
        count = math.ceil(2.0 * length / step_mm)
        if length > STRAIGHT * step_mm:
            spots += [start + length * i / count for i in range(count + 1)]
        elif not spots or start + length - spots[-1] >= step_mm:
            spots.append(start + 0.5 * length)
    places = np.stack([np.interp(spots, at, line[:, axis]) for axis in (0, 1)], axis=1)
    number = np.clip(np.searchsorted(at, spots, side="right") - 1, 0, len(lengths) - 1)
    along = np.diff(line, axis=0)[number] / lengths[number, None]
    return places, np.stack([-along[:, 1], along[:, 0]], axis=1)
