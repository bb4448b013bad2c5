"""Mending: what is sound stays as it is, what was broken in a known way is as before."""

import itertools
from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from trimesh.creation import annulus, box, capsule, cone, cylinder, icosphere, torus

from fabsched.files.mesh_repair import mend
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Mesh
from tests.files.mesh_shapes import joined, lump, lumps, moved, scaled, soup, triangles, turned

PRIMITIVES = {
    "annulus": annulus(r_min=5, r_max=10, height=4),
    "box": box(extents=(10, 20, 30)),
    "capsule": capsule(height=20, radius=5),
    "cone": cone(radius=10, height=20),
    "cylinder": cylinder(radius=10, height=20),
    "icosphere": icosphere(subdivisions=3, radius=10),
    "torus": torus(major_radius=20, minor_radius=5),
}


def codes(findings: tuple[Finding, ...]) -> set[Remark]:
    """What was noticed."""
    return {finding.code for finding in findings}


def counted(findings: tuple[Finding, ...], code: Remark) -> object:
    """The number that comes with a remark."""
    (found,) = (finding for finding in findings if finding.code is code)
    (count,) = found.facts.values()
    return count


def is_closed(mesh: Mesh) -> bool:
    """Whether every directed edge is there once, and once the other way round."""
    edges = Counter(
        (int(a), int(b)) for face in mesh.faces for a, b in itertools.pairwise((*face, face[0]))
    )
    return set(edges.values()) == {1} and all((b, a) in edges for a, b in edges)


def some(rng: np.random.Generator, mesh: Mesh, count: int) -> NDArray[np.bool_]:
    """That many facets, at random."""
    marks = np.zeros(len(mesh.faces), dtype=np.bool_)
    marks[rng.choice(len(mesh.faces), count, replace=False)] = True
    return marks


@pytest.mark.parametrize("name", PRIMITIVES)
def test_agrees_with_an_independent_library(name: str) -> None:
    """Bodies made by trimesh come out of a soup of their facets closed, with trimesh's volume."""
    made = PRIMITIVES[name]
    mesh, findings = mend(
        soup(Mesh(np.array(made.vertices, dtype=float), np.array(made.faces, dtype=np.int32))), "x"
    )
    assert findings == ()
    assert is_closed(mesh)
    assert len(mesh.faces) == len(made.faces)
    assert mesh.volume_mm3 == pytest.approx(float(made.volume), rel=1e-9)


@pytest.mark.parametrize(
    ("name", "volume_mm3", "facets_lose"),
    [
        ("annulus", np.pi * (10**2 - 5**2) * 4, 0.01),
        ("capsule", np.pi * 5**2 * 20 + 4 / 3 * np.pi * 5**3, 0.02),
        ("cone", np.pi * 10**2 * 20 / 3, 0.01),
        ("cylinder", np.pi * 10**2 * 20, 0.01),
        ("icosphere", 4 / 3 * np.pi * 10**3, 0.01),
        ("torus", 2 * np.pi**2 * 20 * 5**2, 0.02),
        ("box", 6000.0, 0.0),
    ],
)
def test_volumes_of_textbook_bodies(name: str, volume_mm3: float, facets_lose: float) -> None:
    """Volumes are those of the formulas (Bronshtein, Handbook of Mathematics, from memory).

    They are less by what facets cut off round bodies, and never more.
    """
    made = PRIMITIVES[name]
    mesh, _ = mend(Mesh(np.array(made.vertices, dtype=float), np.array(made.faces, np.int32)), "x")
    assert volume_mm3 * (1 - facets_lose - 1e-9) <= mesh.volume_mm3 <= volume_mm3 * (1 + 1e-9)


@given(lumps)
def test_a_sound_mesh_stays_as_it_is(mesh: Mesh) -> None:
    """Same facets, no remark; and mending twice changes nothing more, bit for bit."""
    mended, findings = mend(soup(mesh), "x")
    again, _ = mend(mended, "x")
    assert findings == ()
    assert triangles(mended) == triangles(mesh)
    assert (again.vertices == mended.vertices).all()
    assert (again.faces == mended.faces).all()


@given(lumps, st.integers(0, 2**32 - 1), st.integers(1, 39))
def test_turned_facets_are_turned_back(mesh: Mesh, seed: int, count: int) -> None:
    """As long as fewer than half the facets were turned, the mesh is as before."""
    wrong = some(np.random.default_rng(seed), mesh, count)
    mended, findings = mend(soup(turned(mesh, wrong)), "x")
    assert triangles(mended) == triangles(mesh)
    assert codes(findings) == {Remark.WINDING_MENDED}
    assert counted(findings, Remark.WINDING_MENDED) == count


@given(lumps)
def test_a_mesh_inside_out_is_turned(mesh: Mesh) -> None:
    """When every facet looks inwards, all are turned."""
    mended, findings = mend(turned(mesh, np.ones(len(mesh.faces), dtype=np.bool_)), "x")
    assert triangles(mended) == triangles(mesh)
    assert codes(findings) == {Remark.TURNED_INSIDE_OUT}


@given(lumps, st.integers(0, 2**32 - 1), st.integers(1, 60))
def test_repeated_facets_go(mesh: Mesh, seed: int, count: int) -> None:
    """Facets that are there twice are there once after."""
    rng = np.random.default_rng(seed)
    faces = np.concatenate([mesh.faces, mesh.faces[some(rng, mesh, count)][:, [1, 2, 0]]])
    mended, findings = mend(Mesh(mesh.vertices, rng.permutation(faces)), "x")
    assert triangles(mended) == triangles(mesh)
    assert codes(findings) == {Remark.DUPLICATES_DROPPED}
    assert counted(findings, Remark.DUPLICATES_DROPPED) == count


@given(lumps, st.integers(0, 2**32 - 1))
def test_gaps_below_a_hair_close(mesh: Mesh, seed: int) -> None:
    """Corners that are a ten-thousandth of a millimetre off meet again, and nothing else moves."""
    rng = np.random.default_rng(seed)
    apart = soup(mesh)
    off = rng.uniform(-1e-4, 1e-4, apart.vertices.shape)
    mended, findings = mend(Mesh(apart.vertices + off, apart.faces), "x")
    assert is_closed(mended)
    assert len(mended.faces) == len(mesh.faces)
    assert mended.volume_mm3 == pytest.approx(mesh.volume_mm3, rel=1e-3)
    assert codes(findings) == {Remark.WELDED}


@given(lumps, st.integers(0, 2**32 - 1), st.integers(1, 4))
def test_missing_facets_are_told(mesh: Mesh, seed: int, count: int) -> None:
    """Each missing facet leaves three open edges, less those two missing ones share."""
    gone = some(np.random.default_rng(seed), mesh, count)
    mended, findings = mend(Mesh(mesh.vertices, mesh.faces[~gone]), "x")
    assert triangles(mended) == triangles(Mesh(mesh.vertices, mesh.faces[~gone]))
    assert codes(findings) == {Remark.MESH_OPEN}
    gaps = counted(findings, Remark.MESH_OPEN)
    assert isinstance(gaps, int)
    assert 3 * count - 2 * (count - 1) <= gaps <= 3 * count


@given(st.lists(lumps, min_size=2, max_size=4), st.data())
def test_bodies_inside_out_are_turned_one_by_one(bodies: list[Mesh], data: st.DataObject) -> None:
    """Of several bodies side by side, those that look inwards are turned."""
    apart = [moved(body, by=(300.0 * i, 0, 0)) for i, body in enumerate(bodies)]
    flags = data.draw(st.lists(st.booleans(), min_size=len(apart), max_size=len(apart)))
    every = np.ones(len(apart[0].faces), dtype=np.bool_)
    mixed = [turned(body, every & flag) for body, flag in zip(apart, flags, strict=True)]
    mended, _ = mend(joined(*mixed), "x")
    assert triangles(mended) == triangles(joined(*apart))


@given(st.integers(0, 2**32 - 1), st.floats(0.05, 0.5))
def test_hollows_stay_hollow(seed: int, share: float) -> None:
    """A shell inside a solid that looks inwards is meant; so is a solid inside the hollow."""
    rng = np.random.default_rng(seed)
    outer = lump(seed)
    centred = moved(outer, by=tuple(-outer.vertices.mean(axis=0)))
    every = np.ones(len(outer.faces), dtype=np.bool_)
    hollow = turned(scaled(centred, share), every)
    kernel = scaled(centred, share * rng.uniform(0.05, 0.5))
    nested = joined(centred, hollow, kernel)
    mended, findings = mend(nested, "x")
    assert findings == ()
    assert triangles(mended) == triangles(nested)
    everything = np.ones(len(nested.faces), dtype=np.bool_)
    mended, findings = mend(turned(nested, everything), "x")
    assert codes(findings) == {Remark.TURNED_INSIDE_OUT}
    assert triangles(mended) == triangles(nested)


def test_touching_bodies_keep_the_wall_between_them() -> None:
    """Two blocks face to face share two triangles that look opposite ways; none of them is lost."""
    made = PRIMITIVES["box"]
    one = Mesh(np.array(made.vertices, dtype=float), np.array(made.faces, np.int32))
    two = joined(one, moved(one, by=(10, 0, 0)))
    mended, findings = mend(two, "x")
    assert findings == ()
    assert mended.volume_mm3 == pytest.approx(2 * 6000)
    assert len(mended.faces) == 24


def test_a_surface_with_one_side_does_not_hang() -> None:
    """A Moebius strip cannot be oriented; it is refused, as it encloses nothing."""
    count = 40
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    middle = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1) * 20
    across = np.stack(
        [np.cos(turn) * np.cos(turn / 2), np.sin(turn) * np.cos(turn / 2), np.sin(turn / 2)], axis=1
    )
    vertices = np.concatenate([middle - 5 * across, middle + 5 * across])
    faces = []
    for i in range(count):
        j, flip = (i + 1) % count, i + 1 == count
        low, high = (j + count, j) if flip else (j, j + count)
        faces += [(i, low, i + count), (i + count, low, high)]
    with pytest.raises(InputError) as caught:
        mend(Mesh(vertices, np.array(faces, dtype=np.int32)), "strip.stl")
    assert caught.value.code in {Fault.MESH_TOO_BROKEN, Fault.NO_VOLUME}


def test_a_fan_of_many_thousand_facets_is_no_burden() -> None:
    """A disc cut like a cake, one vertex in every facet, is paired without comparing all with all."""
    made = cylinder(radius=10, height=5, sections=20_000)
    mesh, findings = mend(
        Mesh(np.array(made.vertices, dtype=float), np.array(made.faces, np.int32)), "x"
    )
    assert findings == ()
    assert mesh.volume_mm3 == pytest.approx(np.pi * 10**2 * 5, rel=1e-6)


def test_flat_solids_are_refused_and_far_apart_ones_are_not() -> None:
    """A solid pressed flat encloses nothing; two small ones far from each other do."""
    body = scaled(lump(1), 0.1)
    apart = joined(body, moved(body, by=(9000, 9000, 9000)))
    # Metres away from the origin, the sum of volumes seen from there keeps three digits.
    assert mend(apart, "x")[0].volume_mm3 == pytest.approx(2 * body.volume_mm3, rel=1e-3)
    flat = Mesh(body.vertices * (1, 1, 1e-8), body.faces)
    with pytest.raises(InputError) as caught:
        mend(flat, "x")
    assert caught.value.code is Fault.NO_VOLUME
