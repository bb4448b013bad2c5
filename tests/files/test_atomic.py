"""Atomic writing: readers see the old file or the new one, and a failure changes nothing."""

import os
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.errors import Fault, InputError

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such modes or links")


@settings(max_examples=25)
@given(st.lists(st.binary(max_size=100), min_size=1, max_size=4))
def test_the_last_bytes_written_are_read(
    tmp_path_factory: pytest.TempPathFactory, versions: list[bytes]
) -> None:
    """Writing again replaces the file, and no other file appears."""
    path = tmp_path_factory.mktemp("folder") / "project.toml"
    for data in versions:
        write_bytes_atomic(path, data)
        assert path.read_bytes() == data
        assert list(path.parent.iterdir()) == [path]


@pytest.mark.parametrize("step", ["os.fsync", "pathlib.Path.replace"])
def test_a_failure_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """When the disk is full or the name cannot be taken, the old bytes stay, alone."""
    path = tmp_path / "project.toml"
    write_bytes_atomic(path, b"old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(step, fail)
    with pytest.raises(InputError) as caught:
        write_bytes_atomic(path, b"new")
    assert caught.value.code is Fault.FILE_UNWRITABLE
    assert caught.value.facts["why"] == "No space left on device"
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_bytes_reach_the_disk_before_the_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The draft is flushed before it is renamed, else a power cut could leave an empty file."""
    steps: list[str] = []
    flush, rename = os.fsync, Path.replace

    def noted_flush(descriptor: int) -> None:
        steps.append("flush")
        flush(descriptor)

    def noted_rename(path: Path, target: Path) -> Path:
        steps.append("rename")
        return rename(path, target)

    monkeypatch.setattr(os, "fsync", noted_flush)
    monkeypatch.setattr(Path, "replace", noted_rename)
    write_bytes_atomic(tmp_path / "project.toml", b"new")
    assert steps[:2] == ["flush", "rename"]


@pytest.mark.parametrize("place", ["missing/project.toml", "file/project.toml", "folder"])
def test_impossible_places_are_refused(tmp_path: Path, place: str) -> None:
    """A folder that is not there, a file for a folder, and a folder for a file."""
    (tmp_path / "file").write_bytes(b"")
    (tmp_path / "folder").mkdir()
    with pytest.raises(InputError) as caught:
        write_bytes_atomic(tmp_path / place, b"new")
    assert caught.value.code is Fault.FILE_UNWRITABLE
    assert caught.value.where == str(tmp_path / place)


@POSIX
def test_permissions_and_links_stay(tmp_path: Path) -> None:
    """A file keeps its mode, and a link goes on pointing to the file that is written."""
    path, link = tmp_path / "shop.toml", tmp_path / "link.toml"
    path.write_bytes(b"old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_bytes_atomic(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640
