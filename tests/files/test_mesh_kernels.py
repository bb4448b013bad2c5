"""Compiled kernels against the plainest way to do the same."""

from collections import defaultdict

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from fabsched.files.mesh_kernels import first_seen, pair, shells
from fabsched.files.mesh_measures import measured
from fabsched.files.mesh_weld import numbered, snapped
from fabsched.model.shapes import Faces, Mesh
from tests.files.mesh_shapes import joined, lump, lumps, soup

VERTICES = 6

corners = st.permutations(range(VERTICES)).map(lambda order: order[:3])
any_faces = st.lists(corners, min_size=1, max_size=30).map(lambda rows: np.array(rows, np.int32))
few_words = st.integers(1, 40).flatmap(
    lambda count: arrays(np.uint32, (count, 3), elements=st.integers(0, 2))
)


@given(few_words)
def test_equal_rows_get_equal_numbers(
    rows: np.ndarray[tuple[int, int], np.dtype[np.uint32]],
) -> None:
    """Rows are numbered in the order of their first appearance."""
    number, first = first_seen(rows)
    known: dict[tuple[int, ...], int] = {}
    wanted = [known.setdefault(tuple(row), len(known)) for row in rows.tolist()]
    assert number.tolist() == wanted
    assert [tuple(rows[i].tolist()) for i in first] == list(known)


@given(any_faces)
def test_pairs_cover_every_edge(faces: Faces) -> None:
    """Twins run opposite ways, clashes the same way, and at most one of an edge is left over.

    Of n half-edges one way and m the other way along an edge, min(n, m) pairs are twins.
    """
    twins, clashes, crowded = pair(faces, VERTICES)
    ends = [(int(f[i]), int(f[(i + 1) % 3])) for f in faces for i in range(3)]
    along: dict[tuple[int, int], list[int]] = defaultdict(list)
    for h, (a, b) in enumerate(ends):
        along[min(a, b), max(a, b)].append(h)
        if twins[h] >= 0:
            assert (twins[twins[h]], ends[twins[h]]) == (h, (b, a))
        if clashes[h] >= 0:
            assert (clashes[clashes[h]], ends[clashes[h]]) == (h, (a, b))
            assert twins[h] < 0
    for (a, b), edges in along.items():
        ways = [sum(ends[h] == way for h in edges) for way in ((a, b), (b, a))]
        assert sum(twins[h] >= 0 for h in edges) == 2 * min(ways)
        assert sum(twins[h] < 0 and clashes[h] < 0 for h in edges) == sum(ways) % 2
    assert crowded == sum(len(edges) > 2 for edges in along.values())


@given(any_faces)
def test_shells_are_what_hangs_together(faces: Faces) -> None:
    """Two facets are in one shell exactly if a chain of shared edges joins them."""
    twins, clashes, _ = pair(faces, VERTICES)
    shell, unlike = shells(twins, clashes)
    wanted = list(range(len(faces)))
    for _ in faces:
        for links in (twins, clashes):
            for h in np.flatnonzero(links >= 0):
                one, two = h // 3, links[h] // 3
                wanted[one] = wanted[two] = min(wanted[one], wanted[two])
    assert shell.tolist() == wanted
    assert not unlike[shell == np.arange(len(faces))].any()


@given(lumps)
def test_measures_are_those_of_plain_sums(mesh: Mesh) -> None:
    """Box, volume and area agree with numpy; the area vectors of a closed body cancel."""
    got = measured(mesh.vertices, mesh.faces)
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
    assert (got.low == mesh.bounds_mm[0]).all()
    assert (got.high == mesh.bounds_mm[1]).all()
    assert np.isclose(got.volume_mm3, mesh.volume_mm3, rtol=1e-9)
    assert np.isclose(got.area_mm2, area, rtol=1e-12)
    assert got.leak_mm2 < 1e-9 * area


def test_zero_has_one_sign() -> None:
    """0.0 and -0.0 are one coordinate."""
    number, _ = numbered(np.array([[0.0, 1, 2], [-0.0, 1, 2], [0, 1, -2.0]]))
    assert number.tolist() == [0, 0, 1]


@given(st.integers(0, 2**32 - 1))
def test_snapping_joins_the_near_and_spares_the_far(seed: int) -> None:
    """Points less than half a cell apart become one; those of a grid of five cells do not move."""
    rng = np.random.default_rng(seed)
    grid = rng.permutation(np.stack(np.meshgrid(*[np.arange(4.0)] * 3), axis=-1).reshape(-1, 3))
    near = grid[:, None] + rng.uniform(-0.04, 0.04, (len(grid), 3, 3))
    got = snapped(near.reshape(-1, 3), 0.2).reshape(near.shape)
    assert (got == got[:, :1]).all()
    assert (np.abs(got - near) < 0.08).all()


def test_many_shells_are_told_apart() -> None:
    """A soup of twenty bodies is twenty shells of 80 facets."""
    mesh = soup(joined(*[lump(seed) for seed in range(20)]))
    number, first = numbered(mesh.vertices)
    twins, clashes, _ = pair(number.reshape(-1, 3), len(first))
    shell, _ = shells(twins, clashes)
    assert np.unique(shell, return_counts=True)[1].tolist() == [80] * 20
