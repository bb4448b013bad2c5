"""Parallel lines through a region: where they run inside it, and what is laid along them.

Lines have fixed places in space, so the same line crosses all layers, and what lies above or
below a place is found by comparing stretches of one line instead of uniting polygons.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats, Indices, Ints, Loops, Spans


class Scan(NamedTuple):
    """Stretches of parallel lines that lie inside a region.

    Attributes:
        low: number of the first line; line n runs n line distances left of the origin.
        begin: (lines + 1,) index of the first crossing of each line, then their number; even.
        place: (n,) positions along each line, ascending; inside from even to odd ones.
    """

    low: int
    begin: Ints
    place: Floats


class Fill(NamedTuple):
    """What fills the inside of a layer.

    Attributes:
        solid: pieces of solid lines.
        sparse: pieces of sparse lines.
        sparse_mm2: area filled sparsely.
    """

    solid: Spans
    sparse: Spans
    sparse_mm2: float


NO_SCAN = Scan(0, np.zeros(1, np.int64), np.empty(0))


@njit(cache=True, nogil=True, error_model="numpy")
def _count(across: Floats, starts: Ints, low: int, lines: int) -> Ints:
    """Where the crossings of each line begin, shape (lines + 1,); `across` in line distances."""
    count = np.zeros(lines + 1, np.int64)
    for loop in range(starts.size - 1):
        before = starts[loop + 1] - 1
        for i in range(starts[loop], starts[loop + 1]):
            a, b = across[before], across[i]
            for line in range(math.ceil(min(a, b)), math.ceil(max(a, b))):
                count[line - low + 1] += 1
            before = i
    return np.cumsum(count)


@njit(cache=True, nogil=True, error_model="numpy")
def _cross(along: Floats, across: Floats, starts: Ints, low: int, begin: Ints) -> Floats:
    """Positions along every line at which it crosses a border, ascending for each line."""
    place = np.empty(begin[-1])
    free = begin[:-1].copy()
    for loop in range(starts.size - 1):
        before = starts[loop + 1] - 1
        for i in range(starts[loop], starts[loop + 1]):
            p, q = (before, i) if across[before] < across[i] else (i, before)
            for line in range(math.ceil(across[p]), math.ceil(across[q])):
                u = (line - across[p]) / (across[q] - across[p])
                place[free[line - low]] = along[p] + u * (along[q] - along[p])
                free[line - low] += 1
            before = i
    for line in range(begin.size - 1):
        if begin[line + 1] - begin[line] == 2:
            i = begin[line]
            if place[i] > place[i + 1]:
                place[i], place[i + 1] = place[i + 1], place[i]
        else:
            place[begin[line] : begin[line + 1]].sort()
    return place


@njit(cache=True, nogil=True, error_model="numpy")
def _scan(loops: Loops, cosine: float, sine: float, gap_mm: float) -> Scan:
    """Lines in direction (cosine, sine) through tidy polygons."""
    along = cosine * loops.x + sine * loops.y
    across = (cosine * loops.y - sine * loops.x) / gap_mm
    low = math.ceil(across.min())
    lines = max(0, math.ceil(across.max()) - low)
    begin = _count(across, loops.starts, low, lines)
    return Scan(low, begin, _cross(along, across, loops.starts, low, begin))


def scanned(loops: Loops, angle: float, gap_mm: float) -> Scan:
    """Lay lines through a region.

    Args:
        loops: tidy borders of the region.
        angle: direction of the lines in radians.
        gap_mm: distance between neighbouring lines; line 0 passes through the origin.
    """
    if not loops.x.size:
        return NO_SCAN
    return Scan(*_scan(loops, math.cos(angle), math.sin(angle), gap_mm))


@njit(cache=True, nogil=True)
def common(a: Scan, b: Scan) -> Scan:
    """Stretches inside both of two regions, scanned with the same lines."""
    low = max(a.low, b.low)
    lines = max(0, min(a.low + a.begin.size, b.low + b.begin.size) - 1 - low)
    begin = np.zeros(lines + 1, np.int64)
    place = np.empty(a.place.size + b.place.size)
    n = 0
    for line in range(lines):
        i, end_a = a.begin[low + line - a.low], a.begin[low + line - a.low + 1]
        j, end_b = b.begin[low + line - b.low], b.begin[low + line - b.low + 1]
        while i < end_a and j < end_b:
            start = max(a.place[i], b.place[j])
            stop = min(a.place[i + 1], b.place[j + 1])
            if start < stop:
                place[n], place[n + 1] = start, stop
                n += 2
            if a.place[i + 1] < b.place[j + 1]:
                i += 2
            else:
                j += 2
        begin[line + 1] = n
    return Scan(low, begin, place[:n].copy())


class _Laid(NamedTuple):
    """Buffers for pieces of lines; `size[0]` says how many there are."""

    ends: Floats
    line: Indices
    size: Ints


@njit(cache=True, nogil=True)
def _room(pieces: int) -> _Laid:
    """Buffers for so many pieces."""
    return _Laid(np.empty((pieces, 4)), np.empty(pieces, np.int32), np.zeros(1, np.int64))


@njit(cache=True, nogil=True)
def _put(laid: _Laid, line: int, height: float, start: float, stop: float, turn: Floats) -> None:
    """Add a piece if it has a length."""
    if start >= stop:
        return
    n = laid.size[0]
    cosine, sine = turn[0], turn[1]
    laid.ends[n, 0], laid.ends[n, 1] = (
        cosine * start - sine * height,
        sine * start + cosine * height,
    )
    laid.ends[n, 2], laid.ends[n, 3] = cosine * stop - sine * height, sine * stop + cosine * height
    laid.line[n] = line
    laid.size[0] = n + 1


@njit(cache=True, nogil=True)
def _stretch(scan: Scan, line: int) -> tuple[int, int]:
    """Crossings of a line; none if it misses the region."""
    if scan.low <= line < scan.low + scan.begin.size - 1:
        return scan.begin[line - scan.low], scan.begin[line - scan.low + 1]
    return 0, 0


@njit(cache=True, nogil=True, error_model="numpy")
def _split(
    inside: Scan, closed: Scan, gap_mm: float, share: float, turn: Floats
) -> tuple[_Laid, _Laid, float]:
    """Lay solid lines where the inside is not closed, and a share of the lines where it is."""
    solid = _room((inside.place.size + closed.place.size) // 2)
    sparse = _room(closed.place.size // 2)
    trim = 0.5 * gap_mm
    covered = 0.0
    for line in range(inside.low, inside.low + inside.begin.size - 1):
        height = line * gap_mm
        number = math.floor(line * share)  # every line at which this grows is laid
        chosen = math.floor((line + 1) * share) > number
        j, end = _stretch(closed, line)
        for i in range(inside.begin[line - inside.low], inside.begin[line - inside.low + 1], 2):
            a, b = inside.place[i] + trim, inside.place[i + 1] - trim
            at = a
            while j < end and closed.place[j + 1] <= inside.place[i + 1]:
                start, stop = closed.place[j], closed.place[j + 1]
                covered += stop - start
                _put(solid, line, height, at, min(start, b), turn)
                if chosen:
                    _put(sparse, number, height, max(start, a), min(stop, b), turn)
                at = max(stop, a)
                j += 2
            _put(solid, line, height, at, b, turn)
    return solid, sparse, covered * gap_mm


def filled(inside: Scan, closed: Scan, angle: float, gap_mm: float, share: float) -> Fill:
    """Fill the inside of a layer.

    Lines are kept half a bead away from the walls, whose beads end where the inside begins.

    Args:
        inside: what the walls surround.
        closed: the part of it that is closed above and below, and is filled sparsely.
        angle: direction of the lines in radians, as they were scanned.
        gap_mm: distance of the lines, which is the width of a bead.
        share: share of the lines that is laid where it is closed.
    """
    turn = np.array([math.cos(angle), math.sin(angle)])
    solid, sparse, sparse_mm2 = _split(inside, closed, gap_mm, share, turn)
    return Fill(_spans(solid), _spans(sparse), float(sparse_mm2))


def _spans(laid: tuple[Floats, Indices, Ints]) -> Spans:
    """The filled part of the buffers; lines are counted from that of the first piece."""
    ends, line, size = laid
    line = line[: size[0]]
    return Spans(ends[: size[0]], line - line[0] if line.size else line)
