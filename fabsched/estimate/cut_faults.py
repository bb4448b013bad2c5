"""What is weak or gets lost in a part that is cut: holes too near, thin webs, pieces that fall out.

Cut lines want half a millimetre between them and webs a millimetre, better the thickness of the
sheet (cutlasercut.com, "What is laser kerf"). What is no wider than the kerf burns away.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType
from numba import njit
from numpy.typing import NDArray

from fabsched.estimate.crossing import MOST_CROSSINGS, crossing, crossings
from fabsched.estimate.cut_regions import area_mm2, bands, filled, thinnest_web_mm
from fabsched.estimate.cut_rings import boxes_of, convex_of, depths_of, joined, parents_of
from fabsched.model.errors import Fact
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_APART_MM = 0.5
"""Cut lines nearer than this are too near in any sheet (cutlasercut.com, as above)."""
SAME_MM = 0.05
"""Widths that differ by less are the same web, measured in two ways."""
ALIKE_MM = 1e-9
"""Gaps that differ by less are one, but for rounding."""
SLIM = 4.0
"""Holes wider than so many kerfs are not looked at for being too narrow."""
MARKS = (Operation.SCORE, Operation.ENGRAVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Holes too near to each other or to the edge.

    Attributes:
        count: holes that have too little beside them.
        gap_mm: the least distance.
        x_mm, y_mm: the middle of that place.
    """

    count: int
    gap_mm: float
    x_mm: float
    y_mm: float


def cut_findings(
    paths: Sequence[Outline],
    kerf_mm: float,
    thickness_mm: float,
    where: str,
    *,
    apart: bool = False,
) -> tuple[Finding, ...]:
    """What is weak or gets lost.

    Args:
        paths: all lines of a part, marks included.
        kerf_mm: width of the cut.
        thickness_mm: of the sheet.
        where: the part, for the findings.
        apart: whether it is known that no closed path crosses another, which saves time.
    """
    cuts = [path for path in paths if path.operation is Operation.CUT]
    closed = [path for path in cuts if path.closed]
    found = [
        *(() if apart else _crossed(closed)),
        *_weak(closed, kerf_mm, max(LEAST_APART_MM, kerf_mm, thickness_mm)),
        *_narrow(closed, kerf_mm),
        *_lost(closed, [path for path in paths if path.operation in MARKS]),
        *_parted(closed, [path for path in cuts if not path.closed], kerf_mm),
    ]
    return tuple(Finding(code=code, where=where, facts=facts) for code, facts in found)


Told = Iterator[tuple[Remark, dict[str, Fact]]]


def _crossed(closed: Sequence[Outline]) -> Told:
    """Closed cuts that cross: what is part and what is scrap is then a guess."""
    found = crossings(closed)
    if found:
        facts: dict[str, Fact] = {"x": round(found.x_mm, 1), "y": round(found.y_mm, 1)}
        yield Remark.OUTLINES_CROSS, {"count": found.count, **facts}


def _weak(closed: Sequence[Outline], kerf_mm: float, limit_mm: float) -> Told:
    """What holds together too little: burnt away, between holes, and where the part is slender."""
    near = holes_near(closed, limit_mm)
    rest_mm = near.gap_mm - SAME_MM if near else limit_mm  # what is wider is told with the holes
    web_mm = thinnest_web_mm(_without_plain(closed), rest_mm) if rest_mm > 0 else None
    widths = [width for width in (web_mm, near.gap_mm if near else None) if width is not None]
    if widths and min(widths) <= kerf_mm:
        yield Remark.FALLS_APART, {"web": round(min(widths), 2), "kerf": round(kerf_mm, 3)}
    if near:
        yield (
            Remark.HOLES_NEAR,
            {
                "count": near.count,
                "gap": round(near.gap_mm, 2),
                "limit": round(limit_mm, 2),
                "x": round(near.x_mm, 1),
                "y": round(near.y_mm, 1),
            },
        )
    if web_mm is not None and web_mm > kerf_mm:
        yield Remark.WEB_TOO_THIN, {"web": round(web_mm, 2), "limit": round(limit_mm, 2)}


def _without_plain(closed: Sequence[Outline]) -> list[Outline]:
    """Without convex holes: these leave a thin web only beside another line, which is known by then."""
    if not closed:
        return []
    parents = parents_of(closed)
    plain = (depths_of(parents) % 2 == 1) & convex_of(*joined(closed))
    plain[parents[parents >= 0]] = False
    return [path for path, left_out in zip(closed, plain, strict=True) if not left_out]


def _narrow(closed: Sequence[Outline], kerf_mm: float) -> Told:
    """Holes the beam does not go into beside their line: they come out wider than drawn."""
    if not closed:
        return
    boxes = boxes_of(*joined(closed))
    slim = (boxes[:, 2:] - boxes[:, :2]).min(axis=1) < SLIM * kerf_mm
    small = slim & (depths_of(parents_of(closed)) % 2 == 1)
    rings = [closed[i].points_mm for i in np.flatnonzero(small).tolist()]
    count = sum(filled([ring]).offset(-kerf_mm / 2, JoinType.Miter).is_empty() for ring in rings)
    if count:
        yield Remark.HOLES_BELOW_KERF, {"count": count, "kerf": round(kerf_mm, 3)}


def _lost(closed: Sequence[Outline], marks: Sequence[Outline]) -> Told:
    """Pieces and marks inside cut-outs: they fall out with the scrap."""
    around = _cuts_around(parents_of([*closed, *marks]), len(closed))
    pieces, marked = around[: len(closed)], around[len(closed) :]
    count = int(((pieces >= 2) & (pieces % 2 == 0)).sum() + (marked >= 2).sum())
    if count:
        yield Remark.FALLS_OUT, {"count": count}


def _cuts_around(parents: Ints, cuts: int) -> Ints:
    """(n,) how many of the first `cuts` paths lie around each path."""
    around = np.zeros(len(parents), dtype=np.int64)
    above = parents.copy()
    while (above >= 0).any():
        around += (above >= 0) & (above < cuts)
        above = np.where(above >= 0, parents[above], -1)
    return around


def _parted(closed: Sequence[Outline], opened: Sequence[Outline], kerf_mm: float) -> Told:
    """Open cut lines that run from edge to edge; a tangle of lines is not looked at."""
    if not closed or not opened or kerf_mm <= 0 or _tangled(opened):
        return
    part = filled([path.points_mm for path in closed])
    quads = [quad for path in opened for quad in bands(path.points_mm, kerf_mm)]
    left = part - CrossSection(quads, FillRule.Positive)
    count = _pieces(left.to_polygons(), kerf_mm) - _pieces(part.to_polygons(), kerf_mm)
    if count > 0:
        yield Remark.PARTED, {"count": count + 1}


def _tangled(opened: Sequence[Outline]) -> bool:
    """Whether lines cross so often that counting the pieces between them takes too long."""
    found = crossings(opened)
    return found is not None and found.count >= MOST_CROSSINGS


def _pieces(rings: Sequence[NDArray[np.float64]], kerf_mm: float) -> int:
    return sum(area_mm2(ring) > kerf_mm**2 for ring in rings)


def holes_near(closed: Sequence[Outline], limit_mm: float) -> Near | None:
    """Holes that are nearer than a limit to each other or to the edge around them.

    Args:
        closed: the closed cuts; by their nesting every other one is a hole.
        limit_mm: as far apart as this is far enough.

    Returns:
        How many and how near; None if there are none.
    """
    parents = parents_of(closed)
    holes = depths_of(parents) % 2 == 1
    if not holes.any():
        return None
    points, starts = joined(closed)
    boxes = boxes_of(points, starts)
    touched, place = np.zeros(len(closed), dtype=np.bool_), np.zeros(3)
    place[0] = limit_mm
    rings = (points, starts, *_by_x(points, starts))
    _near(rings, boxes, parents, holes, limit_mm, touched, place)
    if not touched.any():
        return None
    gap_mm, x_mm, y_mm = (float(value) for value in place)
    return Near(count=int(touched.sum()), gap_mm=gap_mm, x_mm=x_mm, y_mm=y_mm)


Rings = tuple[Floats, Ints, Ints, Floats, Floats]
"""Points, where each ring begins, its edges by their lowest x, these x, and the widest of each ring."""


@njit(cache=True, nogil=True)
def _by_x(points: Floats, starts: Ints) -> tuple[Ints, Floats, Floats]:
    """The edges of every ring in the order of their lowest x."""
    order, left = np.empty(len(points), np.int64), np.empty(len(points))
    widest = np.empty(starts.size - 1)
    for i in range(starts.size - 1):
        x = points[starts[i] : starts[i + 1], 0]
        after = np.roll(x, -1)
        lowest = np.minimum(x, after)
        sort = np.argsort(lowest)
        order[starts[i] : starts[i + 1]] = sort
        left[starts[i] : starts[i + 1]] = lowest[sort]
        widest[i] = np.max(np.abs(after - x))
    return order, left, widest


@njit(cache=True, nogil=True)
def _near(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    rings: Rings,
    boxes: Floats,
    parents: Ints,
    holes: NDArray[np.bool_],
    limit: float,
    touched: NDArray[np.bool_],
    place: Floats,
) -> None:
    """Mark holes with too little beside them; `place` is the least gap and where it is."""
    for i in range(parents.size):
        if holes[i]:
            _mark(rings, boxes, (i, parents[i]), holes, limit, touched, place)
    order = np.argsort(boxes[:, 0])
    for first in range(order.size):
        i = order[first]
        if not holes[i]:
            continue
        for second in range(first + 1, order.size):
            j = order[second]
            if boxes[j, 0] - boxes[i, 2] >= limit:
                break
            if holes[j] and parents[j] == parents[i]:
                _mark(rings, boxes, (i, j), holes, limit, touched, place)


@njit(cache=True, nogil=True)
def _mark(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    rings: Rings,
    boxes: Floats,
    pair: tuple[int, int],
    holes: NDArray[np.bool_],
    limit: float,
    touched: NDArray[np.bool_],
    place: Floats,
) -> None:
    """Mark a hole, and the other ring if it is one as well, where they are too near."""
    i, j = pair
    told = touched[i] and (touched[j] or not holes[j])  # then only a nearer place matters
    apart = _boxes_apart(boxes, i, j)
    nearer = apart < place[0] - ALIKE_MM
    wanted = nearer or (apart < limit and not told)
    if wanted and _gap(rings, i, j, boxes[i], limit, place, nearer):
        touched[i] = True
        touched[j] |= holes[j]


@njit(cache=True, nogil=True)
def _boxes_apart(boxes: Floats, i: int, j: int) -> float:
    """A lower bound for the gap of two rings."""
    apart_x = max(boxes[i, 0] - boxes[j, 2], boxes[j, 0] - boxes[i, 2])
    apart_y = max(boxes[i, 1] - boxes[j, 3], boxes[j, 1] - boxes[i, 3])
    return float(max(apart_x, apart_y))


@njit(cache=True, nogil=True)
def _gap(  # noqa: PLR0913, PLR0917 - compiled kernel over plain arrays
    rings: Rings, i: int, j: int, box: Floats, limit: float, place: Floats, nearer: bool
) -> bool:
    """Whether two rings come nearer than a limit; a new least gap goes into `place`.

    Where there cannot be any (not `nearer`) the first place below the limit is enough.

    Only segments of the first ring whose x is near are looked at, found by their order along x.
    """
    points, starts, sort, lefts, widest = rings
    first, second = points[starts[i] : starts[i + 1]], points[starts[j] : starts[j + 1]]
    order, left = sort[starts[i] : starts[i + 1]], lefts[starts[i] : starts[i + 1]]
    found, reach = False, limit
    for b in range(second.shape[0]):
        c, d = second[b], second[(b + 1) % second.shape[0]]
        low, high = min(c[0], d[0]) - reach, max(c[0], d[0]) + reach
        low_y, high_y = min(c[1], d[1]) - reach, max(c[1], d[1]) + reach
        if low > box[2] or high < box[0] or low_y > box[3] or high_y < box[1]:
            continue
        for at in range(np.searchsorted(left, low - widest[i]), left.size):
            if left[at] > high:
                break
            e, f = first[order[at]], first[(order[at] + 1) % first.shape[0]]
            if min(e[1], f[1]) > high_y or max(e[1], f[1]) < low_y:
                continue
            gap, x, y = _between(c, d, e, f)
            found |= gap < limit - ALIKE_MM
            if found and not nearer:
                return True
            if gap < place[0]:
                place[0], place[1], place[2] = gap, x, y
        reach = place[0] if found else limit  # from here on only a nearer place matters
    return found


@njit(cache=True, nogil=True)
def _between(c: Floats, d: Floats, e: Floats, f: Floats) -> tuple[float, float, float]:
    """Distance of two segments, and the middle of the way between them."""
    if crossing(c, d, e, f):
        return 0.0, e[0], e[1]
    return _apart(c, d, e, f)


@njit(cache=True, nogil=True)
def _apart(c: Floats, d: Floats, e: Floats, f: Floats) -> tuple[float, float, float]:
    """Distance of two segments that do not cross, and the middle of the way between them."""
    best, x, y = np.inf, 0.0, 0.0
    for p, q, r in ((c, e, f), (d, e, f), (e, c, d), (f, c, d)):
        along_x, along_y = r[0] - q[0], r[1] - q[1]
        length2 = max(along_x**2 + along_y**2, 1e-30)
        share = ((p[0] - q[0]) * along_x + (p[1] - q[1]) * along_y) / length2
        share = min(1.0, max(0.0, share))
        near_x, near_y = q[0] + share * along_x, q[1] + share * along_y
        gap = np.hypot(p[0] - near_x, p[1] - near_y)
        if gap < best:
            best, x, y = gap, 0.5 * (p[0] + near_x), 0.5 * (p[1] + near_y)
    return best, x, y
