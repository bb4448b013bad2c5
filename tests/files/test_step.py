"""STEP: real units, names, round holes, and files that are damaged."""

import math
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from fabsched.files.glb import Glb, NotGlb, Solid
from fabsched.files.step import read_step
from fabsched.files.step_holes import hole_sizes, listed
from fabsched.files.step_solids import read_solids
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.shapes import Mesh
from tests.files.step_shapes import Block, assembly_step, block_step

DATA = Path(__file__).parent.parent / "data" / "solids"
PLATE = Block("Plate", (40.0, 30.0, 5.0), ((10.0, 10.0, 2.0), (30.0, 20.0, 3.0), (10.0, 20.0, 3.0)))
LIMIT_S = 3.0
"""What the endless file is given here."""


def read(tmp_path: Path, text: str) -> tuple[Mesh, dict[Remark, dict[str, object]]]:
    """The mesh of a text, and the facts of what was noticed."""
    path = tmp_path / "part.step"
    path.write_text(text)
    mesh, found = read_step(path)
    return mesh, {finding.code: dict(finding.facts) for finding in found}


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1.0), ("m", 1000.0), ("inch", 25.4)])
def test_units_are_those_of_the_file(tmp_path: Path, unit: str, mm: float) -> None:
    """The same block in mm, metres and inches is the same block, exactly closed."""
    x, y, z = (side / mm for side in (40.0, 30.0, 5.0))
    mesh, found = read(tmp_path, block_step(Block("Plate", (x, y, z)), unit=unit))
    assert mesh.size_mm == pytest.approx((40, 30, 5), abs=1e-3)
    assert mesh.volume_mm3 == pytest.approx(6000, rel=1e-5)
    assert (len(mesh.faces), found) == (12, {})


def test_curved_faces_lose_little(tmp_path: Path) -> None:
    """Three round holes cost their closed form within a thousandth of the whole."""
    mesh, found = read(tmp_path, block_step(PLATE))
    assert mesh.volume_mm3 == pytest.approx(PLATE.volume, rel=1e-3)
    assert found == {Remark.ROUND_HOLES: {"count": 3, "sizes": "2 x 6 mm, 1 x 4 mm"}}


def test_an_assembly_is_placed_as_a_whole(tmp_path: Path) -> None:
    """Copies lie where the assembly puts them; names and holes count as often as they are there."""
    foot = Block("Foot", (10.0, 20.0, 30.0), ((5.0, 5.0, 1.0),))
    mesh, found = read(tmp_path, assembly_step(foot, [(0, 0, 0), (50, 0, 0), (0, 0, 100)]))
    assert mesh.size_mm == pytest.approx((60, 20, 130))
    assert mesh.volume_mm3 == pytest.approx(3 * foot.volume, rel=1e-3)
    assert found == {
        Remark.SOLIDS_NAMED: {"count": 3, "names": "3 x Foot"},
        Remark.ROUND_HOLES: {"count": 3, "sizes": "3 x 2 mm"},
    }


def test_names_are_kept(tmp_path: Path) -> None:
    """Several solids in one file are named."""
    text = block_step(Block("Lid A", (10.0, 10.0, 2.0)), Block("Pin", (5.0, 5.0, 5.0)))
    _, found = read(tmp_path, text)
    assert found[Remark.SOLIDS_NAMED] == {"count": 2, "names": "Lid A, Pin"}


def test_the_unit_a_person_names_does_not_count() -> None:
    """The file knows better, so nothing is scaled twice."""
    mesh, _ = read_step(DATA / "sound.step", "inch")
    assert mesh.size_mm == (40.0, 30.0, 5.0)


def test_a_missing_unit_is_told() -> None:
    """Without a unit of length the numbers are mm, with a remark."""
    mesh, found = read_step(DATA / "no_unit.step")
    assert mesh.volume_mm3 == pytest.approx(24)
    assert [finding.code for finding in found] == [Remark.UNIT_ASSUMED]


BAD: dict[str, tuple[Fault, dict[str, object]]] = {
    "cut_off": (Fault.FILE_NO_END, {"mark": "END-ISO-10303-21;"}),
    "missing_entity": (Fault.BAD_INDEX, {"what": "entity", "index": 3}),
    "letter_in_number": (Fault.LINE_MALFORMED, {"line": 19}),
    "not_a_number": (Fault.LINE_MALFORMED, {"line": 19}),
    "faces_missing": (Fault.COUNT_MISMATCH, {"what": "faces", "want": 7, "have": 6}),
    "no_faces": (Fault.NO_TRIANGLES, {}),
    "nothing": (Fault.FILE_READER_FAILED, {"kind": "STEP"}),
    "no_step": (Fault.FILE_NOT_OF_KIND, {"kind": "STEP"}),
    "tiny": (Fault.SIZE_ABSURD, {}),
    "endless_radius": (Fault.FILE_READER_TIMEOUT, {"limit": LIMIT_S}),
}
"""Bad files by name: what is wrong, and what the message says of it."""
NOT_BY_THE_LIBRARY = {"faces_missing", "tiny", "endless_radius"}
"""Those that are not refused while the library reads them, but before or after."""


def read_bad(name: str, path: Path) -> None:
    """Read a file in a process of its own where that matters; else here, which is quicker."""
    if name in NOT_BY_THE_LIBRARY:
        read_step(path, limit_s=LIMIT_S if name == "endless_radius" else 60.0)
    else:
        read_solids(path, None)


@pytest.mark.parametrize("name", BAD)
def test_bad_files_are_refused(name: str) -> None:
    """Every defect ends in one clear error; what hangs is stopped."""
    path = DATA / f"{name}.step"
    with pytest.raises(InputError) as caught:
        read_bad(name, path)
    code, facts = BAD[name]
    assert (caught.value.code, caught.value.where) == (code, str(path))
    assert facts.items() <= caught.value.facts.items()


def test_every_bad_file_has_its_row() -> None:
    """No file lies there without being looked at."""
    assert {path.stem for path in DATA.iterdir()} == {*BAD, "sound", "no_unit"}


def test_without_the_library_one_line_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where there is no such library for the computer, another format is asked for."""
    monkeypatch.setitem(sys.modules, "cascadio", None)
    with pytest.raises(InputError) as caught:
        read_solids(DATA / "sound.step", None)
    assert caught.value.code is Fault.READER_MISSING


def wall(spans: list[tuple[float, float]], *, hollow: bool, tilt: float = 0.0) -> Solid:
    """Pieces of one cylinder of radius 2 mm between pairs of angles, its axis tilted about x."""
    turn = np.eye(4)
    turn[1:3, 1:3] = [[math.cos(tilt), -math.sin(tilt)], [math.sin(tilt), math.cos(tilt)]]
    turn[:3, 3] = 1.0
    points: list[NDArray[np.float64]] = []
    triangles: list[tuple[int, int, int]] = []
    face: list[int] = []
    for number, span in enumerate(spans):
        angles = np.linspace(*span, 1 + math.ceil((span[1] - span[0]) / 0.2))
        start = sum(len(row) for row in points)
        ring = np.stack([0.002 * np.cos(angles), 0.002 * np.sin(angles)], axis=1)
        points.append(np.repeat(np.column_stack([ring, 0 * angles]), 2, axis=0))
        points[-1][1::2, 2] = 0.005
        for i in range(start, start + 2 * len(angles) - 2, 2):
            low = (i, i + 2, i + 1) if not hollow else (i, i + 1, i + 2)
            high = (i + 1, i + 2, i + 3) if not hollow else (i + 1, i + 3, i + 2)
            triangles += [low, high]
            face += [number, number]
    faces = [
        {
            "type": "cylinder",
            "face_index": number,
            "origin": [0.0, 0.0, 0.001 * number],
            "axis": [0.0, 0.0, 1.0 - 2.0 * (number % 2)],
            "radius": 0.002,
        }
        for number in range(len(spans))
    ]
    return Solid(
        name="",
        source=0,
        points=np.concatenate(points) @ turn[:3, :3].T + turn[:3, 3],
        triangles=np.array(triangles),
        face=np.array(face),
        faces=tuple(faces),
        matrix=turn,
    )


HALF, QUARTER = math.pi, math.pi / 2


@pytest.mark.parametrize("tilt", [0.0, 1.0])
@pytest.mark.parametrize(
    ("spans", "hollow", "holes"),
    [
        ([(0, 2 * HALF)], True, 1),
        ([(0, 2 * HALF)], False, 0),  # a pin
        ([(0, HALF), (HALF, 2 * HALF)], True, 1),  # one hole, its wall in two halves
        ([(0, 2 * HALF), (0, 2 * HALF)], True, 1),  # through two flanges
        ([(0, QUARTER)], True, 0),  # a rounded inner corner
        ([(0, QUARTER)] * 4, True, 0),  # four of them above each other
        ([(0, 3 * QUARTER)], True, 0),  # open to one side
    ],
)
def test_round_holes(
    spans: list[tuple[float, float]], hollow: bool, holes: int, tilt: float
) -> None:
    """Hollow cylinders that go all round are holes, however they lie and are divided."""
    assert hole_sizes([wall(spans, hollow=hollow, tilt=tilt)]) == Counter(
        {4.0: holes} if holes else {}
    )


def test_many_sizes_are_cut_short() -> None:
    """The most frequent sizes come first; a long list ends in dots."""
    sizes = Counter({float(size): size for size in range(1, 9)})
    assert listed(sizes).startswith("8 x 8 mm, 7 x 7 mm")
    assert listed(sizes).endswith("3 x 3 mm, ...")


@pytest.mark.parametrize("data", [b"", b"glTF", b"solid", b"glTF" + bytes(40)])
def test_other_bytes_are_no_glb(data: bytes) -> None:
    """What the library gives is not taken on trust."""
    with pytest.raises(NotGlb):
        Glb.of(data)


def test_nodes_may_be_turned_by_quaternions() -> None:
    """A quarter turn about z as a quaternion with its real part last (glTF 2.0, section 3.5.3)."""
    half = math.sqrt(0.5)
    corners = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1]], "<f4").tobytes()
    glb = Glb(
        {
            "scenes": [{"nodes": [0]}],
            "nodes": [{"rotation": [0, 0, half, half], "translation": [5, 0, 0], "mesh": 0}],
            "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
            "accessors": [
                {"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3"},
                {"bufferView": 1, "componentType": 5121, "count": 3, "type": "SCALAR"},
            ],
            "bufferViews": [{"byteOffset": 0}, {"byteOffset": 36}],
        },
        corners + bytes([0, 1, 2]),
    )
    (solid,) = glb.solids()
    assert solid.points == pytest.approx(np.array([[5, 1, 0], [4, 0, 0], [5, 0, 1]]))
    assert solid.triangles.tolist() == [[0, 1, 2]]
