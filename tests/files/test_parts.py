"""Part files of any kind: found by their ending, and refused in plain words where there is nothing."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from fabsched.files.parts import PART_ENDINGS, read_part
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Drawing, Mesh, Program

DATA = Path(__file__).parent.parent / "data"
SAMPLES = {
    ".stl": DATA / "meshes" / "sound.stl",
    ".obj": DATA / "meshes" / "sound.obj",
    ".ply": DATA / "meshes" / "text.ply",
    ".3mf": DATA / "meshes" / "sound.3mf",
    ".step": DATA / "solids" / "sound.step",
    ".stp": DATA / "solids" / "sound.step",
    ".dxf": DATA / "outlines" / "circle_mm.dxf",
    ".svg": DATA / "outlines" / "circle_mm.svg",
    ".ngc": DATA / "programs" / "sound.ngc",
    ".nc": DATA / "programs" / "sound.ngc",
    ".cnc": DATA / "programs" / "sound.ngc",
    ".gcode": DATA / "programs" / "sound.ngc",
}
SHAPES = {
    ".dxf": Drawing,
    ".svg": Drawing,
    ".ngc": Program,
    ".nc": Program,
    ".cnc": Program,
    ".gcode": Program,
}
"""What the reader of an ending gives, where it is no mesh."""


@pytest.mark.parametrize("ending", PART_ENDINGS)
def test_the_ending_decides_in_any_case(tmp_path: Path, ending: str) -> None:
    """Each ending has its reader, written small or large."""
    path = tmp_path / f"part{ending.upper()}"
    shutil.copy(SAMPLES[ending], path)
    shape, _ = read_part(path)
    assert isinstance(shape, SHAPES.get(ending, Mesh))


@pytest.mark.parametrize("ending", PART_ENDINGS)
def test_missing_and_empty_files_are_told(tmp_path: Path, ending: str) -> None:
    """What is not there, what is empty and what is a folder are three codes, for every kind."""
    missing, empty, folder = (tmp_path / f"{name}{ending}" for name in ("part", "no", "shelf"))
    empty.touch()
    folder.mkdir()
    for path, code in (
        (missing, Fault.FILE_MISSING),
        (empty, Fault.FILE_EMPTY),
        (folder, Fault.NOT_A_FILE),
    ):
        with pytest.raises(InputError) as caught:
            read_part(path)
        assert (caught.value.code, caught.value.where) == (code, str(path))


def test_an_impossible_name_is_refused() -> None:
    """A name no system allows is a missing or unreadable file, not a crash."""
    for name in ("a\0b.stl", "x" * 5000 + ".stl"):
        with pytest.raises(InputError) as caught:
            read_part(Path(name))
        assert caught.value.code is Fault.FILE_UNREADABLE


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such pipes")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """A name that is no file is refused, not read until somebody writes."""
    os.mkfifo(tmp_path / "part.stl")
    with pytest.raises(InputError) as caught:
        read_part(tmp_path / "part.stl")
    assert caught.value.code is Fault.NOT_A_FILE


@pytest.mark.parametrize("name", ["part.xyz", "part", ".stl", "part.stl.zip"])
def test_other_endings_are_refused(tmp_path: Path, name: str) -> None:
    """An unknown ending is named with those that are known."""
    (tmp_path / name).write_bytes(b"x")
    with pytest.raises(InputError) as caught:
        read_part(tmp_path / name)
    assert caught.value.code is Fault.FILE_KIND_UNKNOWN
    assert ".3mf" in str(caught.value.facts["known"])


@pytest.mark.parametrize("ending", PART_ENDINGS)
def test_noise_is_refused(tmp_path: Path, ending: str) -> None:
    """Bytes that are nothing give an input error from every reader."""
    path = tmp_path / f"part{ending}"
    path.write_bytes(bytes(range(256)) * 40)
    with pytest.raises(InputError) as caught:
        read_part(path)
    assert caught.value.where == str(path)


def test_importing_the_dispatcher_is_light() -> None:
    """Neither compiler nor geometry libraries are loaded before a file is read."""
    program = (
        "import sys, fabsched.files.parts as _;"
        "print(*({'numba', 'trimesh', 'ezdxf', 'svgelements', 'lib3mf', 'cascadio'} & set(sys.modules)))"
    )
    done = subprocess.run(  # noqa: S603 - our own code
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == []
