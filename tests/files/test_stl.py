"""STL: what is written is read again, in both forms, and other programs read it alike."""

import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.mesh_raw import finished
from fabsched.files.stl import parse_stl, read_stl, stl_bytes, write_stl
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.shapes import Mesh
from fabsched.model.units import MM_PER_UNIT
from tests.files.mesh_shapes import lump, lumps, scaled, triangles


def in_float32(mesh: Mesh) -> Mesh:
    """The mesh with coordinates as STL keeps them."""
    return Mesh(mesh.vertices.astype(np.float32).astype(np.float64), mesh.faces)


def as_text(mesh: Mesh) -> str:
    """The mesh as STL in words, every number exact."""
    lines = ["solid lump"]
    for facet in mesh.vertices[mesh.faces]:
        lines += ["facet normal 0 0 0", " outer loop"]
        lines += [f"  vertex {x!r} {y!r} {z!r}" for x, y, z in facet.tolist()]
        lines += [" endloop", "endfacet"]
    return "\n".join([*lines, "endsolid lump", ""])


@given(lumps)
def test_written_meshes_are_read_again(mesh: Mesh) -> None:
    """The same facets come back, coordinates to float32, with nothing to remark."""
    read, findings = finished(parse_stl(stl_bytes(mesh), "x"), "mm", "x")
    assert findings == ()
    assert triangles(read) == triangles(in_float32(mesh))


@given(lumps)
def test_text_keeps_every_digit(mesh: Mesh) -> None:
    """Facets written as words come back exactly."""
    read, findings = finished(parse_stl(as_text(mesh).encode(), "x"), "mm", "x")
    assert findings == ()
    assert triangles(read) == triangles(mesh)


def test_other_programs_read_what_is_written(tmp_path: Path) -> None:
    """Another library, trimesh, finds the same closed body, and normals of length one that look outwards."""
    mesh = lump(7)
    write_stl(tmp_path / "lump.stl", mesh)
    other = trimesh.load_mesh(tmp_path / "lump.stl")
    raw = (tmp_path / "lump.stl").read_bytes()
    normals = np.array(
        [struct.unpack_from("<3f", raw, 84 + 50 * i) for i in range(len(mesh.faces))]
    )
    assert other.is_watertight
    assert float(other.volume) == pytest.approx(mesh.volume_mm3, rel=1e-5)
    assert normals == pytest.approx(np.array(other.face_normals), abs=1e-4)
    assert not raw.startswith(b"solid")


def test_what_other_programs_write_is_read(tmp_path: Path) -> None:
    """Both forms as written by trimesh come out with its volume."""
    other = trimesh.creation.torus(major_radius=20, minor_radius=5)
    for name, form in (("binary.stl", "stl"), ("text.stl", "stl_ascii")):
        other.export(tmp_path / name, file_type=form)
        mesh, findings = read_stl(tmp_path / name)
        assert findings == ()
        assert mesh.volume_mm3 == pytest.approx(float(other.volume), rel=1e-5)


@pytest.mark.parametrize(
    ("unit", "mm"), [*MM_PER_UNIT.items(), ("mm", 1), ("in", 25.4), ("cm", 10)]
)
def test_a_named_unit_scales(tmp_path: Path, unit: str, mm: float) -> None:
    """The volume grows with the cube of the unit; no other unit is proposed to who named one."""
    mesh = lump(3)
    mesh = scaled(mesh, 50 / max(mesh.size_mm))
    write_stl(tmp_path / "lump.stl", mesh)
    read, findings = read_stl(tmp_path / "lump.stl", unit)
    assert read.volume_mm3 == pytest.approx(mesh.volume_mm3 * mm**3, rel=1e-5)
    assert Remark.UNIT_SUSPECT not in {finding.code for finding in findings}


def test_an_unknown_unit_is_refused(tmp_path: Path) -> None:
    """A unit nobody knows is an error, not a guess."""
    write_stl(tmp_path / "lump.stl", lump(3))
    with pytest.raises(InputError) as caught:
        read_stl(tmp_path / "lump.stl", "furlong")
    assert caught.value.code is Fault.UNIT_UNKNOWN


@pytest.mark.parametrize(
    ("size_mm", "likely"),
    [
        (0.1, "meter"),  # 10 cm
        (1.0, "inch"),  # 25.4 mm
        (4.0, None),  # a small part
        (2000.0, None),  # a large one
        (50_000.0, "micron"),  # 50 mm
    ],
)
def test_unlikely_sizes_are_remarked(size_mm: float, likely: str | None) -> None:
    """A size that fits another unit better is told with that unit."""
    mesh = lump(5)
    mesh = scaled(mesh, size_mm / max(mesh.size_mm))
    _, findings = finished(parse_stl(stl_bytes(mesh), "x"), None, "x")
    units = [f.facts["unit"] for f in findings if f.code is Remark.UNIT_SUSPECT]
    assert units == ([likely] if likely else [])


@pytest.mark.parametrize(
    ("unit", "size", "likely"),
    [
        ("meter", 20.0, "millimeter"),  # 20 m
        ("meter", 0.02, None),
        ("inch", 20.0, None),  # half a metre: too large for most, but no mistake for sure
        ("inch", 200.0, "millimeter"),
        ("micron", 20.0, "millimeter"),
        ("micron", 20_000.0, None),
        ("millimeter", 0.02, None),
    ],
)
def test_a_unit_that_was_named_by_mistake(unit: str, size: float, likely: str | None) -> None:
    """What a file says is doubted where millimetres would make an impossible size a usual one."""
    mesh = lump(5)
    mesh = scaled(mesh, size / max(mesh.size_mm))
    raw = replace(parse_stl(stl_bytes(mesh), "x"), unit=unit)
    _, findings = finished(raw, None, "x")
    units = [f.facts["unit"] for f in findings if f.code is Remark.UNIT_SUSPECT]
    assert units == ([likely] if likely else [])
    _, findings = finished(raw, "millimeter", "x")
    assert Remark.UNIT_SUSPECT not in [f.code for f in findings]


@given(st.binary(max_size=300))
def test_any_bytes_give_a_mesh_or_an_input_error(data: bytes) -> None:
    """No file makes the reader fail in any other way."""
    for start in (b"", b"solid x\n", bytes(80) + b"\2\0\0\0"):
        try:
            finished(parse_stl(start + data, "x"), None, "x")
        except InputError as error:
            assert error.where == "x"  # noqa: PT017 - whether it is raised depends on the bytes


@given(lumps, st.integers(0, 15_000))
def test_a_cut_file_is_never_taken_for_whole(mesh: Mesh, keep: int) -> None:
    """However many bytes are kept, fewer than all are refused, as binary and as text."""
    for whole in (stl_bytes(mesh), as_text(mesh).encode().strip()):
        with pytest.raises(InputError):
            finished(parse_stl(whole[: min(keep, len(whole) - 1)], "x"), None, "x")
