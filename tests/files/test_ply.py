"""PLY: text and both byte orders hold the same mesh, whatever else is in the tables."""

import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.mesh_raw import finished
from fabsched.files.ply import parse_ply, read_ply
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Mesh
from tests.files.mesh_shapes import lumps, triangles

FORMS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
HEADER = """ply
format {form} 1.0
element edge 2
property uchar kept
property list uchar short ends
element vertex {vertices}
property double x
property double y
property double z
property uchar shade
element face {faces}
property float quality
property list {counted} uint vertex_index
element last 1
property int nothing
end_header
"""


def as_ply(mesh: Mesh, form: str, counted: str) -> bytes:
    """The mesh as PLY between other tables and columns, every number exact."""
    order = FORMS[form]
    head = HEADER.format(
        form=form, vertices=len(mesh.vertices), faces=len(mesh.faces), counted=counted
    ).encode()
    rows: list[tuple[str, tuple[float, ...]]] = [("BB", (1, 0)), ("BBhh", (1, 2, -3, 4))]
    rows += [("dddB", (*point, 9)) for point in mesh.vertices.tolist()]
    rows += [
        ("fiIII".replace("i", "B" if counted == "uchar" else "i"), (0.5, 3, *face))
        for face in mesh.faces.tolist()
    ]
    rows += [("i", (7,))]
    if not order:
        return head + "\n".join(" ".join(map(repr, row)) for _, row in rows).encode()
    return head + b"".join(struct.pack(order + kinds, *row) for kinds, row in rows)


@given(lumps, st.sampled_from(list(FORMS)), st.sampled_from(["uchar", "int"]))
def test_all_forms_are_one_mesh(mesh: Mesh, form: str, counted: str) -> None:
    """Facets come back exactly from every form."""
    read, findings = finished(parse_ply(as_ply(mesh, form, counted), "x"), "mm", "x")
    assert findings == ()
    assert triangles(read) == triangles(mesh)


@pytest.mark.parametrize("encoding", ["binary", "ascii"])
def test_what_other_programs_write_is_read(tmp_path: Path, encoding: str) -> None:
    """A file written by trimesh comes out with its volume."""
    other = trimesh.creation.capsule(height=20, radius=5)
    path = tmp_path / "capsule.ply"
    other.export(path, encoding=encoding)
    mesh, findings = read_ply(path)
    assert findings == ()
    assert mesh.volume_mm3 == pytest.approx(float(other.volume), rel=1e-5)


@given(lumps, st.sampled_from(list(FORMS)), st.floats(0, 1))
def test_a_cut_file_is_never_taken_for_whole(mesh: Mesh, form: str, share: float) -> None:
    """However much is kept, less than all is refused."""
    whole = as_ply(mesh, form, "uchar")
    with pytest.raises(InputError):
        finished(parse_ply(whole[: int(share * (len(whole) - 1))], "x"), None, "x")


@given(st.binary(max_size=200), st.sampled_from(list(FORMS)))
def test_any_bytes_give_a_mesh_or_an_input_error(data: bytes, form: str) -> None:
    """No table makes the reader fail in any other way."""
    head = HEADER.format(form=form, vertices=3, faces=2, counted="char").encode()
    for start in (head, b"ply\n"):
        try:
            finished(parse_ply(start + data, "x"), None, "x")
        except InputError as error:
            assert error.where == "x"  # noqa: PT017 - whether it is raised depends on the bytes


def test_a_table_of_nothing_is_passed_over() -> None:
    """Any number of rows without columns takes no time and no bytes."""
    head = "ply\nformat ascii 1.0\nelement void 4000000000\nelement vertex 0\nend_header\n"
    with pytest.raises(InputError) as caught:
        parse_ply(head.encode(), "x")
    assert caught.value.code is Fault.NO_TRIANGLES


def test_integer_coordinates_are_coordinates() -> None:
    """A tetrahedron with corners of type short has the volume of its edges over six."""
    corners = np.array([[0, 0, 0], [30, 0, 0], [0, 30, 0], [0, 0, 30]])
    lines = ["ply", "format ascii 1.0", "element vertex 4"]
    lines += [f"property short {name}" for name in "xyz"]
    lines += ["element face 4", "property list uchar int vertex_indices", "end_header"]
    lines += [" ".join(map(str, row)) for row in corners.tolist()]
    lines += ["3 0 2 1", "3 0 1 3", "3 0 3 2", "3 1 2 3"]
    mesh, findings = finished(parse_ply("\n".join(lines).encode(), "x"), None, "x")
    assert findings == ()
    assert mesh.volume_mm3 == pytest.approx(30**3 / 6)
