"""Lines that lie on each other: found and kept once.

A laser runs over a line as often as it is drawn; what lies on an earlier line of the same operation
is therefore taken out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.files.nearby import HALF, Floats, Indices, near_pairs, segments_of
from fabsched.model.shapes import Outline, Points2

LEAST_MM = 0.05
"""Stretches shorter than this are left alone, whether covered or left over."""


@dataclass(frozen=True, slots=True, eq=False)
class _Segments:
    """Every segment of every path: (n, 2) ends and (n,) path."""

    starts: Points2
    ends: Points2
    path: Indices

    @property
    def lengths_mm(self) -> Floats:
        return np.asarray(np.linalg.norm(self.ends - self.starts, axis=1))


@dataclass(frozen=True, slots=True, eq=False)
class _Cover:
    """Stretches of segments that lie on earlier ones: (k,) segment, and from-to as shares of it."""

    segment: Indices
    low: Floats
    high: Floats


def cut_once(paths: Sequence[Outline], tolerance_mm: float) -> tuple[tuple[Outline, ...], int]:
    """Take out whatever lies on an earlier line of the same operation.

    Args:
        paths: any paths.
        tolerance_mm: lines this close lie on each other.

    Returns:
        The paths that are left, a path with a piece taken out as one or more open paths; and how
        many paths lost something.
    """
    segments = _Segments(*segments_of(paths))
    operations = np.unique([path.operation for path in paths], return_inverse=True)[1]
    pairs = _pairs(segments, operations[segments.path])
    cover = _covered(segments, pairs, tolerance_mm)
    lost: dict[int, list[tuple[float, float]]] = {}
    for segment, low, high in zip(cover.segment, cover.low, cover.high, strict=True):
        lost.setdefault(int(segment), []).append((float(low), float(high)))
    return _rebuilt(paths, segments, lost)


def _pairs(segments: _Segments, operation: Indices) -> Indices:
    """(k, 2) pairs i < j of segments of one operation that may lie on each other."""
    same = _same(segments, operation)
    single = np.ones(len(segments.path), dtype=bool)
    single[same[:, 1]] = False
    chosen = np.flatnonzero(single)
    near = chosen[near_pairs(segments.starts[chosen], segments.ends[chosen])]
    near = near[operation[near[:, 0]] == operation[near[:, 1]]]
    return np.concatenate([same, near[_parallel(segments, near)]])


def _same(segments: _Segments, operation: Indices) -> Indices:
    """(k, 2) pairs of a segment and its first twin, found by sorting: however many there are."""
    ends = np.round(np.stack([segments.starts, segments.ends], axis=1), 3) + 0.0
    swap = (ends[:, 0, 0] > ends[:, 1, 0]) | (
        (ends[:, 0, 0] == ends[:, 1, 0]) & (ends[:, 0, 1] > ends[:, 1, 1])
    )
    ends[swap] = ends[swap][:, ::-1]
    keys = np.zeros(len(ends), dtype=np.int64)
    for column in (*ends.reshape(len(ends), 4).T, operation):
        ranks = np.unique(column, return_inverse=True)[1].ravel()
        keys = np.unique((keys << HALF) | ranks, return_inverse=True)[1].ravel()
    _, first, inverse = np.unique(keys, return_index=True, return_inverse=True)
    twin = first[inverse.ravel()]
    later = np.flatnonzero(twin != np.arange(len(twin)))
    return np.column_stack([twin[later], later])


def _parallel(segments: _Segments, pairs: Indices) -> NDArray[np.bool_]:
    """(k,) whether two segments run within 30 degrees of each other; chords of tiny arcs do."""
    first, second = (segments.ends[p] - segments.starts[p] for p in pairs.T)
    lengths = segments.lengths_mm
    cosine = np.abs((first * second).sum(axis=1))
    return np.asarray(cosine > 0.866 * lengths[pairs[:, 0]] * lengths[pairs[:, 1]])


def _covered(segments: _Segments, pairs: Indices, tolerance_mm: float) -> _Cover:
    """Stretches of the later segment of each pair that lie on the earlier one."""
    early, late = pairs.T
    start, span = segments.starts[late], segments.ends[late] - segments.starts[late]
    length = np.maximum(segments.lengths_mm[late], 1e-12)
    along = span / length[:, None]
    marks = np.stack([segments.starts[early], segments.ends[early]], axis=1) - start[:, None]
    reach = np.sort((marks * along[:, None]).sum(axis=2), axis=1)
    low, high = np.maximum(reach[:, 0], 0.0), np.minimum(reach[:, 1], length)
    apart = np.maximum(
        _offset(segments, early, start + along * low[:, None]),
        _offset(segments, early, start + along * high[:, None]),
    )
    enough = np.minimum(LEAST_MM, 0.9 * length)
    on = (high - low >= enough) & (apart <= tolerance_mm)
    return _Cover(late[on], low[on] / length[on], high[on] / length[on])


def _offset(segments: _Segments, index: Indices, points: Points2) -> Floats:
    """(k,) distance of each point from the line through a segment."""
    span = segments.ends[index] - segments.starts[index]
    away = points - segments.starts[index]
    cross = span[:, 0] * away[:, 1] - span[:, 1] * away[:, 0]
    return np.asarray(np.abs(cross) / np.maximum(segments.lengths_mm[index], 1e-12))


def _rebuilt(
    paths: Sequence[Outline], segments: _Segments, lost: dict[int, list[tuple[float, float]]]
) -> tuple[tuple[Outline, ...], int]:
    touched = {int(segments.path[segment]) for segment in lost}
    firsts = np.searchsorted(segments.path, np.arange(len(paths)))
    kept: list[Outline] = []
    for i, path in enumerate(paths):
        if i in touched:
            pieces = _pieces(segments, int(firsts[i]), path, lost)
            kept.extend(
                Outline(np.array(piece), closed=False, operation=path.operation) for piece in pieces
            )
        else:
            kept.append(path)
    return tuple(kept), len(touched)


def _pieces(
    segments: _Segments, first: int, path: Outline, lost: dict[int, list[tuple[float, float]]]
) -> list[list[Points2]]:
    """What is left of a path, as runs of points."""
    count = len(path.points_mm) if path.closed else len(path.points_mm) - 1
    runs: list[list[Points2]] = []
    for k in range(first, first + count):
        start, end = segments.starts[k], segments.ends[k]
        for low, high in _left(lost.get(k, []), float(np.linalg.norm(end - start))):
            a = start + (end - start) * low
            b = end if high == 1 else start + (end - start) * high
            if runs and low == 0 and np.array_equal(runs[-1][-1], a):
                runs[-1].append(b)
            else:
                runs.append([a, b])
    if path.closed and len(runs) > 1 and np.array_equal(runs[-1][-1], runs[0][0]):
        runs[0] = [*runs.pop(), *runs[0][1:]]
    return runs


def _left(gone: list[tuple[float, float]], length_mm: float) -> Iterator[tuple[float, float]]:
    """Stretches of a segment, as shares, that none of the taken-out ones covers."""
    least = LEAST_MM / max(length_mm, LEAST_MM)
    mark = 0.0
    for low, high in sorted(gone):
        if low - mark >= least:
            yield mark, low
        mark = max(mark, high)
    if 1 - mark >= least or not gone:
        yield mark, 1.0
