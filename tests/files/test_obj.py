"""OBJ: polygons, their many spellings, and what other programs write."""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.mesh_fans import fanned
from fabsched.files.mesh_raw import finished
from fabsched.files.obj import parse_obj, read_obj
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Mesh
from tests.files.mesh_shapes import lumps, triangles


def as_obj(mesh: Mesh, *, from_end: bool, slashes: str) -> bytes:
    """The mesh as OBJ, every number exact."""
    first = len(mesh.vertices) if from_end else -1
    lines = [f"v {x!r} {y!r} {z!r}" for x, y, z in mesh.vertices.tolist()]
    lines += [
        "f " + " ".join(f"{i - first}{slashes}" for i in face) for face in mesh.faces.tolist()
    ]
    return "\n".join(lines).encode()


@given(lumps, st.booleans(), st.sampled_from(["", "/", "/1", "//1", "/1/1"]))
def test_all_spellings_are_one_mesh(mesh: Mesh, from_end: bool, slashes: str) -> None:
    """Facets come back exactly, counted from either end, with or without textures and normals."""
    raw = parse_obj(as_obj(mesh, from_end=from_end, slashes=slashes), "x")
    read, findings = finished(raw, "mm", "x")
    assert findings == ()
    assert triangles(read) == triangles(mesh)


def test_what_other_programs_write_is_read(tmp_path: Path) -> None:
    """A file written by trimesh comes out with its volume."""
    other = trimesh.creation.annulus(r_min=5, r_max=10, height=4)
    other.export(tmp_path / "annulus.obj")
    mesh, findings = read_obj(tmp_path / "annulus.obj")
    assert findings == ()
    assert mesh.volume_mm3 == pytest.approx(float(other.volume), rel=1e-6)


@given(st.lists(st.integers(0, 9), max_size=20))
def test_fans_cover_every_polygon(sizes: list[int]) -> None:
    """A polygon of n corners gives n - 2 triangles around its first corner; the rest follow."""
    corners = np.arange(sum(sizes))
    starts = np.cumsum([0, *sizes])
    wanted = [
        [start, start + k, start + k + 1]
        for start, size in zip(starts.tolist(), sizes, strict=False)
        for k in range(1, size - 1)
    ]
    assert fanned(corners, np.array(sizes, dtype=np.int64)).tolist() == wanted


def test_the_line_at_fault_is_named() -> None:
    """A word that is no number is shown with its line, a polygon too short likewise."""
    for text, code, line in (
        ("v 0 0 0\nv 1 0 0\nv 0 l 0\nf 1 2 3", Fault.NUMBER_MALFORMED, 3),
        ("v 0 0 0\nv 1 0 0\nv 0 1 0\n\nf 1 2", Fault.LINE_MALFORMED, 5),
    ):
        with pytest.raises(InputError) as caught:
            parse_obj(text.encode(), "x")
        assert (caught.value.code, caught.value.facts["line"]) == (code, line)


words = st.sampled_from(
    ["v", "f", "1", "-1", "0", "2.5", "nan", "/", "1//2", "\n", "#", "\\\n", "x"]
)


@given(st.lists(words, max_size=60).map(" ".join))
def test_any_words_give_a_mesh_or_an_input_error(text: str) -> None:
    """No file makes the reader fail in any other way."""
    try:
        finished(parse_obj(text.encode(), "x"), None, "x")
    except InputError as error:
        assert error.where == "x"  # noqa: PT017 - whether it is raised depends on the words
