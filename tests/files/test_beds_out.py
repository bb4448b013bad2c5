"""Beds as 3MF and STL: independent readers find every part where it was put."""

import io
import zipfile
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh

from fabsched.files.stl import write_stl
from fabsched.files.threemf import read_3mf
from fabsched.files.threemf_out import BedObject, joined, threemf_bytes, write_3mf
from fabsched.model.shapes import Mesh
from tests.cli.made import CORNERS, FACES

BLOCK = Mesh(np.array(CORNERS), np.array(FACES, dtype=np.int32))
"""20 x 20 x 10 mm."""
WEDGE = Mesh(
    np.array([(0, 0, 0), (30, 0, 0), (0, 7, 0), (0, 0, 4.0)]),
    np.array([(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)], dtype=np.int32),
)


def pose(
    x: float, y: float, turn_deg: float = 0.0
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """A turn about z, then a move, for row vectors."""
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.array([[c, s, 0, 0], [-s, c, 0, 0], [0, 0, 1, 0], [x, y, 0, 1.0]])


BED = [
    BedObject("Block & co", BLOCK, (pose(10, 10), pose(60, 10))),
    BedObject("Wedge", WEDGE, (pose(100, 50, 90),)),
]
VOLUME_MM3 = 2 * 20 * 20 * 10 + 30 * 7 * 4 / 6
"""Two blocks and a tetrahedron (closed form)."""


def test_3mf_is_read_the_same_by_another_library(tmp_path: Path) -> None:
    """Millimetres, an object for each part under its name, an item for each copy in its place."""
    write_3mf(tmp_path / "bed.3mf", BED)
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(tmp_path / "bed.3mf"))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    names = []
    while objects.MoveNext():
        found = objects.GetCurrentMeshObject()
        names.append((found.GetName(), found.GetTriangleCount()))
        assert found.IsManifoldAndOriented()
    assert names == [("Block & co", 12), ("Wedge", 4)]
    items = model.GetBuildItems()
    moves = []
    while items.MoveNext():
        fields = items.GetCurrent().GetObjectTransform().Fields
        moves.append([[float(fields[row][column]) for column in range(3)] for row in range(4)])
    wanted = [each[:, :3] for entry in BED for each in entry.poses]
    assert np.allclose(moves, wanted, atol=1e-6)


def test_stl_is_read_the_same_by_another_library(tmp_path: Path) -> None:
    """One closed mesh with the volume of all parts, each where its item says."""
    write_stl(tmp_path / "bed.stl", joined(BED))
    mesh = trimesh.load_mesh(tmp_path / "bed.stl")
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(VOLUME_MM3, rel=1e-6)
    assert np.allclose(mesh.bounds, [[10, 10, 0], [100, 80, 10]], atol=1e-4)
    assert len(mesh.split()) == 3


def test_both_files_hold_the_same_bed(tmp_path: Path) -> None:
    """The 3MF read by our own reader is the STL's mesh."""
    write_3mf(tmp_path / "bed.3mf", BED)
    mesh, _ = read_3mf(tmp_path / "bed.3mf")
    assert mesh.volume_mm3 == pytest.approx(VOLUME_MM3, rel=1e-9)
    assert np.allclose(mesh.bounds_mm, joined(BED).bounds_mm, atol=1e-6)


def test_the_package_is_sound_and_always_the_same() -> None:
    """Every entry has its checksum; the same bed gives the same bytes."""
    data = threemf_bytes(BED)
    assert data == threemf_bytes(BED)
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert package.testzip() is None
