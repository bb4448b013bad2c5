"""Sections of meshes, against closed forms and two reference libraries."""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold, Mesh64

from fabsched.estimate.arrays import Loops
from fabsched.estimate.placing import place
from fabsched.estimate.planes import planes_for
from fabsched.estimate.regions import Measure
from fabsched.estimate.sections import Sections, _prepare, _signed_areas, section_mesh
from fabsched.estimate.slicing import chain_band
from fabsched.estimate.twins import pair_edges
from fabsched.model.errors import Cancelled, Fault, InputError
from fabsched.model.progress import UNWATCHED, Unwatched
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build
from tests.estimate import bodies


def sections_of(mesh: Mesh, layer_mm: float = 0.2) -> Sections:
    """Sections of a part as it would be printed."""
    placed = place(mesh, "part")
    build = Build(layer_mm=layer_mm, first_layer_mm=layer_mm)
    return section_mesh(placed.mesh, planes_for(placed.size_mm[2], build), "part", UNWATCHED)


def volume_mm3(sections: Sections) -> float:
    """Area times thickness over all layers."""
    areas = np.array([Measure(loops).area_mm2 for loops in sections.distinct])
    return float((areas[sections.layer] * sections.planes.thick_mm).sum())


def ngon_mm2(radius: float, sides: int) -> float:
    """Area of a regular polygon: n/2 r^2 sin(2 pi / n) (elementary geometry)."""
    return 0.5 * sides * radius**2 * math.sin(2 * math.pi / sides)


@pytest.mark.parametrize(
    ("mesh", "exact", "tolerance"),
    [
        (bodies.box(40, 40, 40), 64_000.0, 1e-12),
        (bodies.cylinder(15, 40), ngon_mm2(15, 256) * 40, 1e-6),
        (bodies.cone(20, 40), ngon_mm2(20, 256) * 40 / 3, 1e-5),
        (bodies.sphere(25), 4 / 3 * math.pi * 25**3, 6e-4),
        (bodies.torus(30, 8), 2 * math.pi**2 * 30 * 8**2, 1.2e-3),
    ],
)
def test_layers_fill_the_volume(mesh: Mesh, exact: float, tolerance: float) -> None:
    """Area times layer height adds up to the closed form of the body (elementary geometry).

    Sphere and torus have flat facets, which lie inside; simplifying to 0.01 mm moves no border by
    more than that, so it changes the volume by less than that times the area of the sides.
    """
    sections = sections_of(mesh)
    assert sections.counted_mm3 == pytest.approx(exact, rel=tolerance)
    lengths = np.array([Measure(loops).length_mm for loops in sections.distinct])
    sides_mm2 = float((lengths[sections.layer] * sections.planes.thick_mm).sum())
    assert volume_mm3(sections) == pytest.approx(sections.counted_mm3, abs=0.01 * sides_mm2 + 1e-6)


def test_unfinished_layer_is_not_printed() -> None:
    """40 mm in layers of 0.3 mm end at 39.9 mm: the last third of a layer is not printed."""
    sections = sections_of(bodies.box(10, 10, 40), 0.3)
    assert len(sections.planes) == 133
    assert volume_mm3(sections) == pytest.approx(100 * 39.9, rel=1e-12)


@pytest.mark.parametrize("mesh", [bodies.knot(4_000), bodies.sphere(9, 3)])
def test_areas_agree_with_manifold(mesh: Mesh) -> None:
    """Every section has the area that manifold3d finds for it."""
    placed = place(mesh, "part")
    planes = planes_for(placed.size_mm[2], Build(layer_mm=0.7))
    sliced, _ = _prepare(placed.mesh, planes)
    chains = chain_band(sliced, 0, len(planes))
    xy = np.ascontiguousarray(chains.points)
    loops = Loops(xy[:, 0].copy(), xy[:, 1].copy(), chains.starts)
    ours = np.bincount(chains.plane, _signed_areas(loops), len(planes))
    solid = Manifold(Mesh64(placed.mesh.vertices, placed.mesh.faces.astype(np.uint64)))
    theirs = [solid.slice(float(z)).area() for z in planes.middle_mm]
    assert chains.closed.all()
    assert ours == pytest.approx(theirs, rel=1e-7, abs=1e-6)


def _manifold_mesh(mesh: Mesh) -> object:
    import manifold3d  # noqa: PLC0415 - the class is needed in this one helper only

    return manifold3d.Mesh64(vert_properties=mesh.vertices, tri_verts=mesh.faces.astype(np.uint64))


def test_perimeters_agree_with_trimesh() -> None:
    """The borders of all sections are as long as the segments trimesh cuts from the triangles."""
    mesh = place(bodies.torus(20, 6, 48), "part")
    planes = planes_for(mesh.size_mm[2], Build(layer_mm=0.5))
    sliced, _ = _prepare(mesh.mesh, planes)
    chains = chain_band(sliced, 0, len(planes))
    ours = [
        Measure(Loops(p[:, 0].copy(), p[:, 1].copy(), np.array([0, len(p)]))).length_mm
        for p in np.split(chains.points, chains.starts[1:-1])
    ]
    body = trimesh.Trimesh(mesh.mesh.vertices, mesh.mesh.faces, process=False)
    lines, _, _ = trimesh.intersections.mesh_multiplane(  # type: ignore[no-untyped-call] # untyped
        body, [0, 0, 0], [0, 0, 1], planes.middle_mm
    )
    theirs = sum(float(np.linalg.norm(s[:, 1] - s[:, 0], axis=1).sum()) for s in lines)
    assert sum(ours) == pytest.approx(theirs, rel=1e-9)


def test_overlapping_solids_count_once() -> None:
    """Two boxes that share a third count their union; the sum of both is known as well."""
    sections = sections_of(
        bodies.joined(bodies.box(30, 10, 10), bodies.box(30, 10, 10, (20, 0, 0)))
    )
    assert volume_mm3(sections) == pytest.approx(50 * 10 * 10, rel=1e-9)
    assert sections.counted_mm3 == pytest.approx(2 * 30 * 10 * 10, rel=1e-9)


def test_hole_stays_open() -> None:
    """A tube is printed with its bore."""
    tube = bodies.prism([bodies.rectangle(20, 20), bodies.rectangle(5, 4, (3, 6))[::-1]], 5)
    assert volume_mm3(sections_of(tube)) == pytest.approx(5 * (400 - 20), rel=1e-12)


def test_equal_layers_are_kept_once() -> None:
    """A prism has one section beside the empty one, however it is turned."""
    assert len(sections_of(bodies.turned(bodies.box(20, 30, 40), 33)).distinct) == 2


@pytest.mark.parametrize("share", [0.001, 0.01])
def test_missing_triangles_hardly_matter(share: float) -> None:
    """With triangles missing the sections are closed over the gaps, within 0.2 % of the volume."""
    whole = bodies.knot(20_000)
    kept = np.random.default_rng(5).random(len(whole.faces)) > share
    sections = sections_of(Mesh(whole.vertices, whole.faces[kept]))
    assert sections.open_edges == pytest.approx(3 * (~kept).sum(), rel=0.02)
    assert volume_mm3(sections) == pytest.approx(volume_mm3(sections_of(whole)), rel=2e-3)


def test_inside_out_is_turned() -> None:
    """A mesh that faces inwards gives the same sections."""
    mesh = bodies.sphere(6, 3)
    assert volume_mm3(sections_of(bodies.flipped(mesh))) == volume_mm3(sections_of(mesh))


def test_soup_is_refused() -> None:
    """Triangles that share no corners are refused, with the number of open edges."""
    mesh = bodies.cylinder(20, 1, 1200)
    soup = Mesh(
        mesh.vertices[mesh.faces].reshape(-1, 3),
        np.arange(3 * len(mesh.faces), dtype=np.int32).reshape(-1, 3),
    )
    with pytest.raises(InputError) as caught:
        sections_of(soup)
    assert caught.value.code == Fault.MESH_TOO_BROKEN
    assert caught.value.facts["gaps"] == 3 * len(mesh.faces)


def test_closed_means_no_open_edges() -> None:
    """A closed surface has none, one missing triangle opens three, one turned one six."""
    mesh = bodies.box(1, 1, 1)
    assert pair_edges(mesh.faces, 8).open_edges == 0
    assert pair_edges(mesh.faces[1:], 8).open_edges == 3
    turned = mesh.faces.copy()
    turned[0] = turned[0, ::-1]
    assert pair_edges(turned, 8).open_edges == 6


@settings(max_examples=40)
@given(
    st.floats(0.01, 30.0),
    st.floats(0.05, 0.6),
    st.floats(0.05, 0.6),
)
def test_planes_lie_inside_the_part(height: float, first: float, layer: float) -> None:
    """Every plane cuts the part, and one more layer would lie above its top."""
    planes = planes_for(height, Build(layer_mm=layer, first_layer_mm=first))
    assert planes.middle_mm[0] > 0
    assert planes.middle_mm[-1] <= height + 1e-9
    assert (np.diff(planes.middle_mm) > 0).all()
    following = planes.thick_mm.sum() + 0.5 * layer
    assert following >= height - 1e-5


SIDE, SPOT = st.integers(1, 12), st.integers(0, 12)


@settings(max_examples=25)
@given(st.lists(st.tuples(SIDE, SIDE, SIDE, SPOT, SPOT), min_size=1, max_size=6))
def test_any_heap_of_boxes(heap: list[tuple[int, int, int, int, int]]) -> None:
    """For boxes lying in, on and beside each other every section is the union.

    The areas of the union come from counting the unit squares that some box covers.
    """
    boxes = [bodies.box(x, y, z, at=(at_x, at_y, 0.0)) for x, y, z, at_x, at_y in heap]
    sections = sections_of(bodies.joined(*boxes), 1.0)
    for k in range(len(sections.planes)):
        covered = {
            (at_x + i, at_y + j)
            for x, y, z, at_x, at_y in heap
            if z > k
            for i in range(x)
            for j in range(y)
        }
        section = sections.distinct[sections.layer[k]]
        assert Measure(section).area_mm2 == pytest.approx(len(covered), rel=1e-9)


def test_stops_when_asked() -> None:
    """A watch that says stop ends the slicing."""

    class Stopped(Unwatched):
        def stopped(self) -> bool:
            return True

    placed = place(bodies.box(1, 1, 1), "part")
    with pytest.raises(Cancelled):
        section_mesh(placed.mesh, planes_for(1.0, Build()), "part", Stopped())
