"""The committed part files are those the generator makes."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import ezdxf.filemanagement
import pytest
import trimesh
from ezdxf.entities.lwpolyline import LWPolyline
from manifold3d import Manifold, Mesh

from tests import make_sample
from tests.make_sample import CORE
from tests.sample import solids

MESHES: dict[str, Callable[[], Manifold]] = {
    "louvre_plate.stl": solids.louvre_plate,
    "louvre_roof.obj": solids.louvre_roof,
    "funnel.stl": solids.funnel,
    "sensor_cradle.3mf": solids.sensor_cradle,
    "foot.ply": solids.foot,
    "front_panel.stl": solids.front_panel,
}


def test_folder_holds_what_the_generator_makes_and_nothing_else(sample: Path) -> None:
    """No part file is left over and none is missing."""
    assert {path.name for path in (sample / "parts").iterdir()} == set(make_sample.FILES)


def test_panel_is_the_same_byte_for_byte(sample: Path) -> None:
    """The SVG made anew equals the committed one."""
    made = make_sample.FILES["back_panel.svg"]()
    assert (sample / "parts" / "back_panel.svg").read_bytes() == made


def test_plate_is_the_same_drawing(sample: Path) -> None:
    """The DXF made anew holds the entities of the committed one, in the same order and unit.

    Entities are compared, not bytes: another version of the library may write another header.
    """
    made = io.StringIO(make_sample.FILES["base_plate.dxf"]().decode())
    kept = io.StringIO((sample / "parts" / "base_plate.dxf").read_text())
    assert _entities(kept) == _entities(made)


@pytest.mark.parametrize("name", MESHES)
def test_mesh_is_the_same_solid(sample: Path, name: str) -> None:
    """A solid made anew differs from the committed one by no more than the rounding of a file.

    Solids are compared, not bytes: another version of the geometry library may cut the same
    surface into other triangles.
    """
    made = MESHES[name]()
    kept = _solid(sample / "parts" / name)
    differing = (made - kept).volume() + (kept - made).volume()
    assert differing < 1e-4 * made.volume()
    assert kept.volume() == pytest.approx(made.volume(), rel=1e-4)


@pytest.mark.parametrize("name", make_sample.FILES)
def test_making_a_file_twice_gives_the_same_bytes(name: str) -> None:
    """No clock and no chance enters a part file."""
    assert make_sample.FILES[name]() == make_sample.FILES[name]()


def _entities(text: io.StringIO) -> list[object]:
    """Unit, then each outline with its corners and bulges, each circle with centre and radius."""
    document = ezdxf.filemanagement.read(text)
    space = document.modelspace()
    outlines = [line.get_points() for line in space if isinstance(line, LWPolyline)]
    circles = [(tuple(e.dxf.center), e.dxf.radius) for e in space.query("CIRCLE")]
    assert len(outlines) + len(circles) == len(space)
    return [document.units, *outlines, *circles]


def _package(path: Path) -> trimesh.Trimesh:
    """The mesh of a 3MF package, read as the XML it is."""
    with zipfile.ZipFile(path) as package:
        model = ET.fromstring(package.read("3D/3dmodel.model"))  # noqa: S314 - our own committed file
    vertices = [[float(v.get(k, "")) for k in "xyz"] for v in model.iter(f"{{{CORE}}}vertex")]
    faces = [
        [int(t.get(f"v{k}", "")) for k in (1, 2, 3)] for t in model.iter(f"{{{CORE}}}triangle")
    ]
    return trimesh.Trimesh(vertices, faces)


def _solid(path: Path) -> Manifold:
    """A part file as a closed solid, read by a library that had no part in writing it."""
    mesh = _package(path) if path.suffix == ".3mf" else trimesh.load_mesh(path)
    mesh.merge_vertices()
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    return Manifold(Mesh(mesh.vertices.astype("float32"), mesh.faces.astype("uint32")))
