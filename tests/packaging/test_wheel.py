"""What a wheel holds, and that it needs nothing beside it."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder


@pytest.fixture(scope="module")
def wheel(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel built from the checkout, without a network."""
    folder = tmp_path_factory.mktemp("dist")
    (built,) = WheelBuilder(str(checkout)).build(directory=str(folder))
    return Path(built)


@pytest.fixture(scope="module")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel laid out as an installer would."""
    folder = tmp_path_factory.mktemp("site")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def _files(folder: Path) -> set[str]:
    """Files below a folder that are part of the project, with forward slashes."""
    found = (path for path in folder.rglob("*") if path.is_file())
    return {p.relative_to(folder).as_posix() for p in found if "__pycache__" not in p.parts}


@pytest.mark.parametrize("folder", ["resources", "sample_projects"])
def test_wheel_holds_every_shipped_file(checkout: Path, unpacked: Path, folder: str) -> None:
    """Resources and sample projects lie inside the package, byte for byte, and nothing is added."""
    kept, shipped = checkout / folder, unpacked / "fabsched" / folder
    assert _files(shipped) == _files(kept)
    assert all((kept / f).read_bytes() == (shipped / f).read_bytes() for f in _files(kept))


def test_wheel_holds_every_module_and_no_tests(checkout: Path, unpacked: Path) -> None:
    """All of the package and its type marker, and no top-level folder but the package."""
    tops = {path.name.split("-")[0] for path in unpacked.iterdir()}
    assert tops == {"fabsched"}
    package = {name for name in _files(checkout / "fabsched") if name.endswith((".py", ".typed"))}
    assert package <= _files(unpacked / "fabsched")


def test_unpacked_wheel_finds_its_own_resources(unpacked: Path, tmp_path: Path) -> None:
    """Away from the checkout, the program reads the resources inside the package."""
    script = "from fabsched.files.resources import resource; print(resource('wording/en.toml'))"
    environment = os.environ | {"PYTHONPATH": str(unpacked)}
    done = subprocess.run(  # noqa: S603 - our own interpreter and script
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    found = Path(done.stdout.strip())
    assert found == unpacked / "fabsched" / "resources" / "wording" / "en.toml"
