"""3MF: an independent library writes and reads the same; bombs are defused."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import lib3mf
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from fabsched.files.mesh_raw import finished
from fabsched.files.threemf import parse_3mf, read_3mf
from fabsched.files.threemf_package import ALWAYS, LONGEST_TOKEN, MOST_UNPACKED
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.shapes import Mesh
from tests.files.mesh_shapes import lump, lumps, triangles

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
RELATIONS = (
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="r" Target="/3D/3dmodel.model"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
START = f'<model unit="millimeter" xmlns="{CORE}"><resources>'
TETRAHEDRON = (
    '<vertices><vertex x="0" y="0" z="0"/><vertex x="9" y="0" z="0"/><vertex x="0" y="9" z="0"/>'
    '<vertex x="0" y="0" z="9"/></vertices><triangles><triangle v1="0" v2="2" v3="1"/>'
    '<triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/>'
)
WRAPPER = lib3mf.get_wrapper()


def package(model: str) -> bytes:
    """A package with this model part."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("_rels/.rels", RELATIONS)
        archive.writestr("3D/3dmodel.model", model)
    return file.getvalue()


def as_model(mesh: Mesh, matrix: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> str:
    """The mesh as a model part, placed once; every number exact."""
    points = "".join(
        f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in mesh.vertices.tolist()
    )
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist())
    place = " ".join(map(repr, matrix.ravel().tolist()))
    return (
        f'{START}<object id="1"><mesh><vertices>{points}</vertices><triangles>{faces}</triangles>'
        f'</mesh></object></resources><build><item objectid="1" transform="{place}"/></build></model>'
    )


def lib_mesh(model: "lib3mf.Model", mesh: Mesh) -> "lib3mf.MeshObject":
    """The mesh as an object of the library's."""
    target = model.AddMeshObject()
    points, faces = [], []
    for xyz in mesh.vertices.tolist():
        point = lib3mf.Position()
        point.Coordinates[:] = xyz
        points.append(point)
    for abc in mesh.faces.tolist():
        face = lib3mf.Triangle()
        face.Indices[:] = abc
        faces.append(face)
    target.SetGeometry(points, faces)
    return target


def lib_matrix(matrix: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> "lib3mf.Transform":
    """A (4, 3) matrix as the library's."""
    transform = lib3mf.Transform()
    for field, row in zip(transform.Fields, matrix.tolist(), strict=True):
        field[:] = row
    return transform


def determinant(matrix: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> float:
    """Of the first three rows, by Sarrus; numpy warns of division by zero where it is 0."""
    (a, b, c), (d, e, f), (g, h, i) = matrix[:3].tolist()
    return float(a * e * i + b * f * g + c * d * h - c * e * g - b * d * i - a * f * h)


matrices = arrays(np.float64, (4, 3), elements=st.floats(-2, 2)).filter(
    lambda matrix: abs(determinant(matrix)) > 0.1
)


@given(lumps, matrices)
def test_transforms_carry_every_corner(
    mesh: Mesh, matrix: np.ndarray[tuple[int, int], np.dtype[np.float64]]
) -> None:
    """Corners end where rows times matrix put them; the volume grows by the determinant.

    A mirroring matrix does not change its sign (3MF Core Specification, section 3.3).
    """
    read, findings = finished(parse_3mf(package(as_model(mesh, matrix)), "x"), None, "x")
    moved = mesh.vertices @ matrix[:3] + matrix[3]
    mirrored = determinant(matrix) < 0
    wanted = Mesh(moved, mesh.faces[:, ::-1] if mirrored else mesh.faces)
    volume_mm3 = mesh.volume_mm3 * abs(determinant(matrix))
    assert findings == ()
    assert triangles(read) == triangles(wanted)
    assert read.volume_mm3 == pytest.approx(volume_mm3, rel=1e-6)


@settings(max_examples=20)
@given(lumps, matrices, matrices)
def test_an_independent_library_agrees(
    mesh: Mesh,
    inner: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    outer: np.ndarray[tuple[int, int], np.dtype[np.float64]],
) -> None:
    """A body placed twice inside another object, written by lib3mf, is where the two matrices say."""
    model = WRAPPER.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.CentiMeter)
    body = lib_mesh(model, mesh)
    group = model.AddComponentsObject()
    group.AddComponent(body, lib_matrix(inner))
    group.AddComponent(body, WRAPPER.GetTranslationTransform(1000, 0, 0))
    model.AddBuildItem(group, lib_matrix(outer))
    data = bytes(model.QueryWriter("3mf").WriteToBuffer())
    read, findings = finished(parse_3mf(data, "x"), None, "x")
    scale = abs(determinant(outer))
    twice = 1 + abs(determinant(inner))
    codes = {finding.code for finding in findings}
    assert codes - {Remark.UNIT_SUSPECT} == {Remark.OBJECTS_JOINED}  # 1000 cm apart is a wide plate
    assert read.volume_mm3 == pytest.approx(1000 * mesh.volume_mm3 * scale * twice, rel=1e-3)


def test_supports_of_an_independent_library_are_left_out(tmp_path: Path) -> None:
    """An object lib3mf marks as support is not printed."""
    model = WRAPPER.CreateModel()
    for seed, kind in ((1, lib3mf.ObjectType.Model), (2, lib3mf.ObjectType.SolidSupport)):
        body = lib_mesh(model, lump(seed))
        body.SetType(kind)
        model.AddBuildItem(body, WRAPPER.GetIdentityTransform())
    model.QueryWriter("3mf").WriteToFile(str(tmp_path / "two.3mf"))
    read, findings = read_3mf(tmp_path / "two.3mf")
    assert {finding.code for finding in findings} == {Remark.SUPPORT_OBJECT_LEFT_OUT}
    assert read.volume_mm3 == pytest.approx(lump(1).volume_mm3, rel=1e-4)


def blanks() -> str:
    """A model that is blank for as long as deflate likes best."""
    return START + " " * (2 * ALWAYS)


def repeated_triangles() -> str:
    """One triangle, written over and over."""
    triangle = '<triangle v1="0" v2="2" v3="1"/>'
    again = triangle * (2 * ALWAYS // len(triangle))
    return (
        f'{START}<object id="1"><mesh>{TETRAHEDRON}{again}</triangles></mesh></object></resources>'
    )


def long_attribute() -> str:
    """One attribute of a few million letters."""
    return f'{START}<object id="{"1" * 2 * LONGEST_TOKEN}"/>'


def long_comment() -> str:
    """One remark of a few million letters."""
    return f"{START}<!--{'-x' * LONGEST_TOKEN}-->"


@pytest.mark.parametrize("bomb", [blanks, repeated_triangles])
def test_small_archives_may_not_unpack_to_much(bomb: Callable[[], str]) -> None:
    """Reading stops once more has come out than any mesh of that size holds."""
    data = package(bomb())
    assert len(data) < ALWAYS / 100
    with pytest.raises(InputError) as caught:
        parse_3mf(data, "x")
    assert caught.value.code is Fault.FILE_TOO_LARGE
    assert ALWAYS < MOST_UNPACKED


@pytest.mark.parametrize("bomb", [long_attribute, long_comment])
def test_tags_may_not_be_endless(bomb: Callable[[], str]) -> None:
    """A tag that does not end is given up, as reading it anew takes longer every time."""
    with pytest.raises(InputError) as caught:
        parse_3mf(package(bomb()), "x")
    assert caught.value.code is Fault.FILE_READER_FAILED


def test_sizes_written_in_the_archive_are_not_believed() -> None:
    """An archive that claims to hold little is read no further than one that does not."""
    data = package(blanks())
    size = len(blanks()).to_bytes(4, "little")
    assert data.count(size) == 2
    with pytest.raises(InputError) as caught:
        parse_3mf(data.replace(size, (100).to_bytes(4, "little")), "x")
    assert caught.value.code in {Fault.FILE_TOO_LARGE, Fault.FILE_READER_FAILED}


def test_a_chain_of_ten_thousand_objects_is_followed() -> None:
    """Depth alone is no defect; nothing recurses."""
    chain = "".join(
        f'<object id="{i}"><components><component objectid="{i - 1}"/></components></object>'
        for i in range(2, 10_001)
    )
    text = (
        f'{START}<object id="1"><mesh>{TETRAHEDRON}</triangles></mesh></object>{chain}</resources>'
        '<build><item objectid="10000"/></build></model>'
    )
    read, _ = finished(parse_3mf(package(text), "x"), None, "x")
    assert read.volume_mm3 == pytest.approx(9**3 / 6)


@given(st.binary(max_size=100), st.integers(0, 2**32 - 1))
def test_damaged_archives_give_a_mesh_or_an_input_error(noise: bytes, seed: int) -> None:
    """Whatever bytes are overwritten, the reader fails in no other way."""
    data = bytearray(package(as_model(lump(1), np.eye(4)[:, :3])))
    at = seed % len(data)
    data[at : at + len(noise)] = noise
    try:
        finished(parse_3mf(bytes(data), "x"), None, "x")
    except InputError as error:
        assert error.where == "x"  # noqa: PT017 - whether it is raised depends on the bytes
