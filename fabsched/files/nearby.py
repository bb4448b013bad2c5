"""Which segments come near each other, found by a grid.

Every segment is sampled at half the side of a cell. Where two segments meet, samples of both lie
within a quarter of a cell of the place, and so share a cell in at least one of four grids that are
half a cell apart along either axis: no pair that meets is missed.
"""

from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fabsched.model.shapes import Outline, Points2

Indices = NDArray[np.int64]
Floats = NDArray[np.float64]

HALF = 32
MASK = 2**HALF - 1
"""Two indices packed into one integer, which sorts many times faster than a pair."""
CELL_LIMITS_MM = (0.5, 20.0)
"""Smallest and largest cell of the grid, as long as it keeps to:"""
MOST_SAMPLES = 2_000_000
"""Samples beyond one for each segment."""


def near_pairs(starts: Points2, ends: Points2) -> Indices:
    """Pairs of segments that meet somewhere, and some more that only come near.

    Args:
        starts: (n, 2) first ends in mm.
        ends: (n, 2) other ends; a point is a segment without length.

    Returns:
        (k, 2) pairs i < j, sorted.
    """
    lengths = np.linalg.norm(ends - starts, axis=1)
    if not len(lengths):
        return np.empty((0, 2), dtype=np.int64)
    usual = float(np.clip(2 * lengths.mean(), *CELL_LIMITS_MM))
    cell = max(usual, 2 * float(lengths.sum()) / MOST_SAMPLES)
    counts = np.ceil(2 * lengths / cell).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(starts)), counts)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (step / np.maximum(counts - 1, 1)[owner])[:, None]
    points = (starts[owner] * (1 - share) + ends[owner] * share) / cell
    shifts = product((0.0, 0.5), repeat=2)
    found = [_met(np.floor(points + shift).astype(np.int64), owner) for shift in shifts]
    keys = _distinct(np.concatenate(found))
    return np.column_stack([keys >> HALF, keys & MASK])


def segments_of(paths: Sequence[Outline]) -> tuple[Points2, Points2, Indices]:
    """Every segment of every path, closing ones included.

    Args:
        paths: at least one path.

    Returns:
        (n, 2) first and other ends, and (n,) index of the path.
    """
    starts = [path.points_mm if path.closed else path.points_mm[:-1] for path in paths]
    ends = [
        np.concatenate([path.points_mm[1:], path.points_mm[:1]])
        if path.closed
        else path.points_mm[1:]
        for path in paths
    ]
    owner = np.repeat(np.arange(len(paths)), [len(part) for part in starts])
    return np.concatenate(starts), np.concatenate(ends), owner


def _met(cells: Indices, owner: Indices) -> Indices:
    """(k,) packed pairs i < j of owners that share a cell, some of them repeated."""
    low, high = cells.min(axis=0), cells.max(axis=0)
    flat = (cells[:, 0] - low[0]) * (high[1] - low[1] + 1) + cells[:, 1] - low[1]
    numbered = np.unique(flat, return_inverse=True)[1].ravel()
    rows = _distinct((numbered << HALF) | owner)
    cell, who = rows >> HALF, rows & MASK
    found = [np.empty(0, dtype=np.int64)]
    for distance in range(1, len(rows)):
        together = cell[distance:] == cell[:-distance]
        if not together.any():
            break
        found.append(((who[:-distance] << HALF) | who[distance:])[together])
    return np.concatenate(found)


def _distinct(keys: Indices) -> Indices:
    """Sorted without repeats; several times faster than the library's way by hashing."""
    ordered = np.sort(keys)
    return np.asarray(ordered[np.diff(ordered, prepend=-1) > 0])
