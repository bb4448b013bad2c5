"""The lines support is made of.

Posts of support are as narrow as the columns they were found with, and ragged where a surface is
about as steep as the steepest that holds itself. They are gathered into pillars as wide as one
would print: a pillar stands where most of its posts do. Pillars that touch form a block, which is
filled with lines along whichever of its sides gives fewer pieces, evenly spread over the block and
in the same places all the way up.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import NO_SPANS, Flags, Floats, Indices, Ints, Spans
from fabsched.estimate.columns import Grid
from fabsched.estimate.support import Posts, Support
from fabsched.model.shop import Build

PILLAR = 3
"""Pillars are so many columns wide, 1.2 mm (own assumption: about three beads)."""

FEWEST = 3
"""Blocks of fewer pillars, 4 mm^2 seen from above, hold themselves (own assumption)."""

Lines = tuple[Spans, Spans]
"""Lines along x, and lines along y."""
Labels = Indices
"""(rows, columns) number of the block each pillar belongs to, 0 where there is none."""


class Extent(NamedTuple):
    """Where the blocks lie, across the lines; arrays of shape (blocks + 1,), 0 standing for none.

    Attributes:
        first: first row of each block.
        size: number of its rows.
        lines: number of lines it gets.
    """

    first: Ints
    size: Ints
    lines: Ints


@njit(cache=True, nogil=True)
def _steps(posts: Posts, chosen: Ints) -> tuple[Floats, Ints]:
    """Heights at which some posts begin and end, ascending, and the change of their number."""
    n = chosen.size
    height = np.empty(2 * n)
    change = np.empty(2 * n, np.int64)
    for i in range(n):
        height[i], change[i] = posts.low[chosen[i]], 1
        height[n + i], change[n + i] = posts.high[chosen[i]], -1
    order = np.argsort(height, kind="mergesort")
    return height[order], change[order]


@njit(cache=True, nogil=True)
def _most(posts: Posts, chosen: Ints, need: int, ends: Floats, n: int) -> int:
    """Append the stretches over which `need` of the posts stand; returns the new number."""
    height, change = _steps(posts, chosen)
    standing = 0
    for i in range(height.size):
        before = standing
        standing += change[i]
        if before < need <= standing:
            if n > 0 and ends[n - 1, 1] == height[i]:
                n -= 1  # goes on where the last one ended
            else:
                ends[n, 0] = height[i]
        elif standing < need <= before:
            ends[n, 1] = height[i]
            n += ends[n, 1] > ends[n, 0]
    return n


@njit(cache=True, nogil=True)
def _gathered(posts: Posts, cell: Ints, order: Ints, need: int) -> tuple[Ints, Floats]:
    """Cell and ends of every pillar; `order` sorts the posts by cell."""
    cells = np.empty(order.size, np.int64)
    ends = np.empty((order.size + 1, 2))
    n = low = 0
    while low < order.size:
        high = low
        while high < order.size and cell[order[high]] == cell[order[low]]:
            high += 1
        if high - low >= need:
            own = ends[n:]
            found = _most(posts, order[low:high], need, own, 0)
            cells[n : n + found] = cell[order[low]]
            n += found
        low = high
    return cells[:n].copy(), ends[:n].copy()


def pillars_of(posts: Posts, grid: Grid, width: int) -> tuple[Posts, Grid]:
    """Gather posts into pillars `width` columns wide, and the coarser grid they stand on."""
    coarse = Grid(
        grid.x + 0.5 * (width - 1) * grid.cell,
        grid.y + 0.5 * (width - 1) * grid.cell,
        grid.cell * width,
        -(-grid.columns // width),
        -(-grid.rows // width),
    )
    cell = posts.row.astype(np.int64) // width * coarse.columns + posts.column // width
    need = (width * width + 1) // 2
    cells, ends = _gathered(posts, cell, np.argsort(cell, kind="stable"), need)
    row, column = (part.astype(np.int32) for part in np.divmod(cells, coarse.columns))
    return Posts(row, column, ends[:, 0].copy(), ends[:, 1].copy()), coarse


@njit(cache=True, nogil=True)
def _spread(label: Labels, row: int, column: int, number: int) -> None:
    """Give a pillar and all that touch it, also across corners, the same number."""
    todo = [(row, column)]
    label[row, column] = number
    while len(todo) > 0:
        r, c = todo.pop()
        for nr in range(max(0, r - 1), min(label.shape[0], r + 2)):
            for nc in range(max(0, c - 1), min(label.shape[1], c + 2)):
                if label[nr, nc] < 0:
                    label[nr, nc] = number
                    todo.append((nr, nc))


@njit(cache=True, nogil=True)
def _blocks(pillars: Posts, rows: int, columns: int) -> tuple[Labels, int]:
    """Number the blocks of pillars from 1 on, whatever their heights."""
    label = np.zeros((rows, columns), np.int32)
    for i in range(pillars.row.size):
        label[pillars.row[i], pillars.column[i]] = -1
    count = 0
    for i in range(pillars.row.size):
        if label[pillars.row[i], pillars.column[i]] < 0:
            count += 1
            _spread(label, pillars.row[i], pillars.column[i], count)
    return label, count


@njit(cache=True, nogil=True)
def _extent(label: Labels, count: int, every: float) -> Extent:
    """Rows of every block, and its lines: one every so many rows, at least one."""
    first = np.full(count + 1, label.shape[0], np.int64)
    last = np.full(count + 1, -1, np.int64)
    for row in range(label.shape[0]):
        for number in label[row]:
            first[number] = min(first[number], row)
            last[number] = max(last[number], row)
    size = last - first + 1
    lines = np.maximum(1, np.round(size / every).astype(np.int64))
    return Extent(first, size, lines)


@njit(cache=True, nogil=True)
def _carries(extent: Extent, number: int, row: int) -> bool:
    """Whether a row of a block carries one of its lines, whose places are spread evenly."""
    step = extent.size[number] / extent.lines[number]
    place = row - extent.first[number]
    line = math.ceil(place / step - 0.5)
    carries: bool = place <= (line + 0.5) * step < place + 1
    return carries


@njit(cache=True, nogil=True)
def _pieces(label: Labels, extent: Extent) -> Ints:
    """Pieces of line in every block, seen from above."""
    pieces = np.zeros(extent.first.size, np.int64)
    for row in range(label.shape[0]):
        before = 0
        for number in label[row]:
            if number and number != before and _carries(extent, number, row):
                pieces[number] += 1
            before = number
    return pieces


@njit(cache=True, nogil=True)
def _carrying(pillars: Posts, label: Labels, extent: Extent, wanted: Flags) -> Ints:
    """Which pillars of the wanted blocks stand in a row that carries a line."""
    chosen = np.empty(pillars.row.size, np.int64)
    n = 0
    for i in range(pillars.row.size):
        number = label[pillars.row[i], pillars.column[i]]
        if wanted[number] and _carries(extent, number, pillars.row[i]):
            chosen[n] = i
            n += 1
    return chosen[:n].copy()


@njit(cache=True, nogil=True)
def _runs(pillars: Posts, grid: Grid, every: float, z: float) -> tuple[Floats, Indices]:
    """Pieces of line at a height: from, to and across for each, and the number of its line."""
    ends = np.empty((pillars.row.size, 3))
    number = np.empty(pillars.row.size, np.int32)
    n = 0
    row = column = -2
    for i in range(pillars.row.size):
        if not pillars.low[i] <= z < pillars.high[i]:
            continue
        along = grid.x + pillars.column[i] * grid.cell
        if pillars.row[i] != row or pillars.column[i] > column + 1:
            ends[n, 0] = along - 0.5 * grid.cell
            ends[n, 2] = grid.y + pillars.row[i] * grid.cell
            number[n] = int(pillars.row[i] / every)
            n += 1
        ends[n - 1, 1] = along + 0.5 * grid.cell
        row, column = pillars.row[i], pillars.column[i]
    return ends[:n].copy(), number[:n].copy()


def _across(grid: Grid) -> Grid:
    """The grid with x and y exchanged."""
    return Grid(grid.y, grid.x, grid.cell, grid.rows, grid.columns)


def _chosen(pillars: Posts, order: Ints) -> Posts:
    """Some of the pillars, in some order."""
    row, column, low, high = pillars
    return Posts(row[order], column[order], low[order], high[order])


def _exchanged(pillars: Posts) -> Posts:
    """The pillars with rows and columns exchanged, row by row."""
    row, column, low, high = _chosen(
        pillars, np.lexsort((pillars.low, pillars.row, pillars.column))
    )
    return Posts(column, row, low, high)


def length_mm(lines: Lines) -> float:
    """Length of all lines, which run along x or y."""
    return sum(float(np.abs(s.ends[:, 2:] - s.ends[:, :2]).sum()) for s in lines)


class _Bundle(NamedTuple):
    """Pillars in rows that carry lines."""

    pillars: Posts
    grid: Grid


class Scaffold:
    """Support as lines for every layer.

    Args:
        support: where posts stand.
        build: how densely they are filled and how wide a bead is.

    Attributes:
        gap_mm: distance between lines.
    """

    def __init__(self, support: Support, build: Build) -> None:
        self.gap_mm = build.bead_mm / build.support if build.support else 0.0
        self._bundles: tuple[_Bundle, ...] = ()
        if build.support and support.posts.row.size:
            width = int(min(PILLAR, max(1.0, self.gap_mm / support.grid.cell)))
            self._every = self.gap_mm / (width * support.grid.cell)
            self._bundles = self._bundled(*pillars_of(support.posts, support.grid, width))

    def _bundled(self, pillars: Posts, grid: Grid) -> tuple[_Bundle, ...]:
        """Pillars that carry lines along x, and such along y with both axes exchanged."""
        label, count = _blocks(pillars, grid.rows, grid.columns)
        turned = np.ascontiguousarray(label.T)
        extents = tuple(_extent(labels, count, self._every) for labels in (label, turned))
        upright = _pieces(turned, extents[1]) < _pieces(label, extents[0])
        large = np.bincount(label.ravel(), minlength=count + 1) >= FEWEST
        ways = (
            (pillars, label, extents[0], large & ~upright, grid),
            (_exchanged(pillars), turned, extents[1], large & upright, _across(grid)),
        )
        return tuple(
            _Bundle(_chosen(own, _carrying(own, labels, extent, wanted.view(np.uint8))), frame)
            for own, labels, extent, wanted, frame in ways
        )

    def lines(self, z_mm: float) -> Lines:
        """The lines along x at a height, and those along y."""
        if not self._bundles:
            return NO_SPANS, NO_SPANS
        (along, line), (upright, column) = (
            _runs(bundle.pillars, bundle.grid, self._every, z_mm) for bundle in self._bundles
        )
        return (
            Spans(np.ascontiguousarray(along[:, [0, 2, 1, 2]]), line),
            Spans(np.ascontiguousarray(upright[:, [2, 0, 2, 1]]), column),
        )
