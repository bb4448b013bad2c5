"""All sections of a mesh: sliced, closed, simplified, united, and equal ones kept once."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabsched.estimate.arrays import NO_LOOPS, Ints, Loops, bundled
from fabsched.estimate.joining import MOST_OPEN, close_chains, open_per_plane
from fabsched.estimate.planes import Planes
from fabsched.estimate.regions import covered_by, loops_of
from fabsched.estimate.simplify import simplified
from fabsched.estimate.slicing import Chains, Sliced, chain_band, count_crossings
from fabsched.estimate.tidy import is_tidy
from fabsched.estimate.twins import pair_edges
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Mesh, Points2

BAND = 1_000_000
"""Crossings sliced at a time, which bounds the memory taken to some 50 MB."""
DIGITS = 4
"""Coordinates are rounded to 0.1 um, so that the sections of a prism compare equal."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sections:
    """The sections of a part.

    Attributes:
        distinct: borders of the different sections, tidy; the first is empty.
        layer: (k,) for each layer, the number of its section among them.
        planes: heights of the layers.
        open_edges: edges of the surface with a triangle on one side only.
        counted_mm3: volume with overlapping solids counted as often as they overlap.
    """

    distinct: tuple[Loops, ...]
    layer: Ints
    planes: Planes
    open_edges: int
    counted_mm3: float


class _Shelf:
    """Collects sections and gives equal ones the same number."""

    def __init__(self) -> None:
        self.sections = [NO_LOOPS]
        self._number: dict[tuple[bytes, ...], int] = {(): 0}

    def put(self, polygons: list[Points2]) -> int:
        """Number of the section these polygons make."""
        polygons.sort(key=lambda p: (p[0, 0], p[0, 1], len(p)))
        key = tuple(polygon.tobytes() for polygon in polygons)
        if key not in self._number:
            self._number[key] = self._add(bundled(polygons))
        return self._number[key]

    def _add(self, loops: Loops) -> int:
        """Number for new polygons, united if they are not tidy; 0 if they cover nothing."""
        section = loops if is_tidy(loops) else loops_of(covered_by(loops))
        if not section.x.size:
            return 0
        self.sections.append(section)
        return len(self.sections) - 1


def section_mesh(mesh: Mesh, planes: Planes, where: str, watch: Watch) -> Sections:
    """Cut a mesh at every plane.

    Args:
        mesh: its lowest point at z = 0, faces looking outwards.
        planes: where to cut.
        where: name of the part, for errors.
        watch: told of the progress.

    Raises:
        InputError: the surface has too many gaps.
        Cancelled: the watch says stop.
    """
    sliced, open_edges = _prepare(mesh, planes)
    shelf = _Shelf()
    layer = np.zeros(len(planes), np.int64)
    counted = 0.0
    for low, high in _bands(count_crossings(sliced.level, sliced.faces, len(planes))):
        check(watch)
        watch.report(low / len(planes), "sections")
        chains = chain_band(sliced, low, high)
        for plane, polygons, area_mm2 in _polygons(chains, where, open_edges):
            layer[plane] = shelf.put(polygons)
            counted += area_mm2 * planes.thick_mm[plane]
    return Sections(
        distinct=tuple(shelf.sections),
        layer=layer,
        planes=planes,
        open_edges=open_edges,
        counted_mm3=counted,
    )


def _prepare(mesh: Mesh, planes: Planes) -> tuple[Sliced, int]:
    """Levels and twins of a mesh, and its open edges."""
    points = np.ascontiguousarray(mesh.vertices)
    level = np.searchsorted(planes.middle_mm, points[:, 2], side="right").astype(np.int32)
    faces = np.ascontiguousarray(mesh.faces, dtype=np.int32)
    twins = pair_edges(faces, len(points))
    sliced = Sliced(points, faces, level, twins.across, planes.middle_mm)
    return sliced, twins.open_edges


def _bands(crossings: Ints) -> Iterator[tuple[int, int]]:
    """Runs of planes with about `BAND` crossings each.

    >>> list(_bands(np.array([600_000, 600_000, 5, 5])))
    [(0, 1), (1, 4)]
    """
    low = 0
    total = 0
    for plane, count in enumerate(crossings.tolist()):
        if total and total + count > BAND:
            yield low, plane
            low, total = plane, 0
        total += count
    yield low, len(crossings)


def _polygons(
    chains: Chains, where: str, open_edges: int
) -> Iterator[tuple[int, list[Points2], float]]:
    """For each plane met, its simplified polygons and the area they wind around."""
    if not chains.plane.size:
        return
    loops, plane = _closed(chains, where, open_edges)
    area = _signed_areas(loops)
    plain = simplified(loops)
    points = np.stack([plain.x, plain.y], axis=1)
    order = np.argsort(plane, kind="stable")
    planes, begin = np.unique(plane[order], return_index=True)
    for k, chosen in zip(planes.tolist(), np.split(order, begin[1:]), strict=True):
        pieces = [points[plain.starts[i] : plain.starts[i + 1]] for i in chosen]
        yield k, [piece for piece in pieces if len(piece) > 2], float(area[chosen].sum())


def _closed(chains: Chains, where: str, open_edges: int) -> tuple[Loops, Ints]:
    """Polygons of a band, open chains joined, with the plane of each."""
    if open_per_plane(chains) > MOST_OPEN:
        raise InputError(Fault.MESH_TOO_BROKEN, where, gaps=open_edges)
    pieces, plane = _joined(chains) if (chains.closed == 0).any() else (None, None)
    if pieces is None or plane is None:
        xy, starts, plane = chains.points, chains.starts, chains.plane.astype(np.int64)
    else:
        xy = np.concatenate(pieces)
        starts = np.cumsum([0, *(len(piece) for piece in pieces)])
    xy = xy.round(DIGITS) + 0.0  # turns -0.0 into 0.0, which would compare unequal as bytes
    return Loops(np.ascontiguousarray(xy[:, 0]), np.ascontiguousarray(xy[:, 1]), starts), plane


def _joined(chains: Chains) -> tuple[list[Points2], Ints]:
    """Closed polygons as they are, and those made of open chains."""
    whole = np.flatnonzero(chains.closed)
    pieces = [chains.points[chains.starts[i] : chains.starts[i + 1]] for i in whole]
    plane = chains.plane[whole].tolist()
    loose = np.flatnonzero(chains.closed == 0)
    for k in np.unique(chains.plane[loose]).tolist():
        made = close_chains(chains.points, chains.starts, loose[chains.plane[loose] == k])
        pieces += made
        plane += [k] * len(made)
    return pieces, np.array(plane, np.int64)


def _signed_areas(loops: Loops) -> Points2:
    """Area inside each polygon by Green's theorem, negative if it runs clockwise; shape (m,)."""
    follow = np.arange(1, loops.x.size + 1)
    last = loops.starts[1:][np.diff(loops.starts) > 0] - 1
    follow[last] = loops.starts[:-1][np.diff(loops.starts) > 0]
    cross = loops.x * loops.y[follow] - loops.x[follow] * loops.y
    total = np.concatenate([np.zeros(1), np.cumsum(cross)])
    return np.asarray(0.5 * (total[loops.starts[1:]] - total[loops.starts[:-1]]))
