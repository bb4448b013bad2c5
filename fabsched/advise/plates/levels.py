"""Where a part has flat faces that look the same or the opposite way."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule
from numpy.typing import NDArray

from fabsched.advise.plates.frames import NOISE_MM, Frame, along, frame_along
from fabsched.estimate.arrays import Floats, Indices
from fabsched.estimate.slicing import Chains, Sliced, chain_band
from fabsched.model.shapes import Faces, Mesh, Points3

MOST_AXES = 8
"""Directions looked along, those with the most flat area first."""
CELLS = 2048.0
"""Normals are sorted into cells of this many to a unit."""
SAME_COS = 0.9999
"""Normals closer than this belong together when directions are looked for."""
FLAT_COS = 0.999998
"""A facet is flat in a direction within 0.11 degrees, which single precision needs for small ones."""
ONE_COS = 1.0 - 1e-8
"""Facets this close, 0.008 degrees, are of one face."""
ONE_SHARE = 0.3
"""Share of what is flat in a direction from which one face sets it."""
LEVEL_MM = 2e-3
"""Facets closer in height lie in one plane."""


@dataclass(frozen=True, slots=True, eq=False)
class Facets:
    """The triangles of a part.

    Attributes:
        mesh: the part.
        normals: (m, 3) unit normals; 0 for triangles without area.
        areas_mm2: (m,).
    """

    mesh: Mesh
    normals: Points3
    areas_mm2: Floats


@dataclass(frozen=True, slots=True)
class Level:
    """A height at which a part has faces that lie flat.

    Attributes:
        height_mm: along the normal.
        up_mm2: area that looks along the normal.
        down_mm2: area that looks the other way.
    """

    height_mm: float
    up_mm2: float
    down_mm2: float


def _measured(points: Points3, faces: Faces) -> tuple[Points3, Floats]:
    """Unit normals and areas, coordinate by coordinate, which is quicker than a cross product."""
    x, y, z = (np.ascontiguousarray(points[:, axis])[faces.T] for axis in range(3))
    ux, uy, uz = x[1] - x[0], y[1] - y[0], z[1] - z[0]
    vx, vy, vz = x[2] - x[0], y[2] - y[0], z[2] - z[0]
    across = np.stack([uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx], axis=1)
    twice = np.sqrt(np.einsum("ij,ij->i", across, across))
    normals = np.divide(across, twice[:, None], out=np.zeros_like(across), where=twice[:, None] > 0)
    return normals, 0.5 * twice


def facets_of(mesh: Mesh) -> Facets:
    """Measure the triangles of a mesh."""
    points = np.ascontiguousarray(mesh.vertices, dtype=np.float64)
    return Facets(mesh, *_measured(points, mesh.faces))


def frames_of(facets: Facets, least_mm2: float) -> list[Frame]:
    """Directions in which much of the surface lies flat, the most first.

    Args:
        facets: the part.
        least_mm2: directions with less area, both ways taken together, are left out.
    """
    normals = facets.normals * _one_way(facets.normals)[:, None]
    cells = np.round(normals * CELLS).astype(np.int64) + 4096
    _, first, number = np.unique(
        (cells[:, 0] * 8192 + cells[:, 1]) * 8192 + cells[:, 2],
        return_index=True,
        return_inverse=True,
    )
    weight = np.bincount(number, facets.areas_mm2)
    found: list[NDArray[np.float64]] = []
    for cell in np.argsort(-weight, kind="stable")[: 4 * MOST_AXES]:
        if weight[cell] < 0.25 * least_mm2 or len(found) == MOST_AXES:
            break
        if all(abs(normals[first[cell]] @ known) < SAME_COS for known in found):
            found.append(_mean_normal(facets, normals[first[cell]]))
    return [frame_along(normal) for normal in found]


def _one_way(normals: Points3) -> Floats:
    """+1 or -1 for each normal, so that opposite ones become the same."""
    x, y, z = np.round(normals, 6).T
    return np.asarray(np.where(z != 0.0, np.sign(z), np.where(y != 0.0, np.sign(y), np.sign(x))))


def _mean_normal(facets: Facets, about: Points3) -> Points3:
    """Mean of the normals near a direction, either way, weighted by area."""
    dots = along(facets.normals, about)
    near = np.abs(dots) > SAME_COS
    # The median facet by area decides which ones are meant; those tilted against it do not count.
    heaviest = np.flatnonzero(near)[facets.areas_mm2[near].argmax()]
    dots = along(facets.normals, facets.normals[heaviest] * np.sign(dots[heaviest]))
    flat = np.abs(dots) > FLAT_COS
    # A face at a tiny angle to the one on the other side does not count; single facets differ more
    # where they are small and in single precision.
    same = np.abs(dots) > ONE_COS
    if facets.areas_mm2[same].sum() > ONE_SHARE * facets.areas_mm2[flat].sum():
        flat = same
    weight = np.sign(dots[flat]) * facets.areas_mm2[flat]
    total = np.einsum("i,ij->j", weight, facets.normals[flat])
    return np.asarray(total / np.linalg.norm(total))


def levels_of(facets: Facets, frame: Frame, least_mm2: float) -> list[Level]:
    """Heights with flat faces, ascending; those with less area either way are left out."""
    normal = frame.axes[2]
    dots = along(facets.normals, normal)
    flat = np.flatnonzero(np.abs(dots) > FLAT_COS)
    if not len(flat):
        return []
    height = along(facets.mesh.vertices, normal)[facets.mesh.faces[flat]].sum(axis=1) / 3.0
    order = np.argsort(height, kind="stable")
    height, flat = height[order], flat[order]
    number = np.concatenate([[0], np.cumsum(np.diff(height) > LEVEL_MM)])
    area = facets.areas_mm2[flat]
    up = np.bincount(number, np.where(dots[flat] > 0.0, area, 0.0))
    down = np.bincount(number, np.where(dots[flat] < 0.0, area, 0.0))
    # small facets are less exact than large ones
    mean = np.bincount(number, height * area) / np.bincount(number, area)
    rows = zip(mean.tolist(), up.tolist(), down.tolist(), strict=True)
    return [Level(*row) for row in rows if max(row[1:]) >= least_mm2]


def sections(
    mesh: Mesh, across: Indices, frame: Frame, heights_mm: Sequence[float]
) -> list[CrossSection]:
    """Exact sections of a closed mesh at some heights along a normal.

    Args:
        mesh: the part.
        across: twins of its half-edges.
        frame: looked along.
        heights_mm: ascending, none twice.
    """
    points = frame.into(mesh.vertices)
    planes = np.asarray(heights_mm, dtype=np.float64)
    level = np.searchsorted(planes, points[:, 2], side="right").astype(np.int32)
    faces = np.ascontiguousarray(mesh.faces, dtype=np.int32)
    chains = chain_band(Sliced(points, faces, level, across, planes), 0, len(planes))
    rings: list[list[NDArray[np.float64]]] = [[] for _ in planes]
    for plane, ring in _rings(chains):
        rings[plane].append(ring)
    return [CrossSection(each, FillRule.NonZero) for each in rings]


def _rings(chains: Chains) -> Iterator[tuple[int, NDArray[np.float64]]]:
    """Closed polygons with their planes, corners on straight lines left out."""
    for i in np.flatnonzero(chains.closed).tolist():
        ring = _plain(chains.points[chains.starts[i] : chains.starts[i + 1]])
        if len(ring) > 2:
            yield int(chains.plane[i]), ring


def _plain(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """A polygon without the corners that lie on the line between their neighbours.

    A corner that comes twice, as it does where a plane meets corners of the mesh, stays once.
    """
    step = ring - np.roll(ring, 1, axis=0)
    ring = ring[np.abs(step).max(axis=1) > 0.1 * NOISE_MM]
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    one, two = ring - before, after - before
    away = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    return ring[away > 0.1 * NOISE_MM * np.hypot(two[:, 0], two[:, 1])]
