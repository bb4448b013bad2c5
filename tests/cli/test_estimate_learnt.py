"""`fabsched estimate` for somebody whose prints have been logged."""

import json
from pathlib import Path
from typing import Any

import pytest

from fabsched.files.experience_sqlite import default_file
from tests.cli.made import Started, cube
from tests.logged_runs import log_runs


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to stand in, of a user of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    cube(tmp_path / "lid.stl")
    return tmp_path


def _lid(capsys: pytest.CaptureFixture[str], *argv: str) -> Any:
    assert Started().run("estimate", "lid.stl", *argv, "--json") == 0
    return json.loads(capsys.readouterr().out)["parts"][0]


def test_the_log_moves_the_estimate(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Ten prints of 1.4 move the time, its parts and its poses within 5 %, and that is said.

    The cache holds what was computed, so that learning needs nothing computed again.
    """
    before = _lid(capsys, "--poses")
    assert (before["known_prints"], before["learnt"]) == (0, 1.0)
    log_runs(10, 1.4)
    after = _lid(capsys, "--poses")
    assert after["known_prints"] == 10
    assert after["learnt"] == pytest.approx(1.4, rel=0.05)
    assert after["time_s"]["p50"] == pytest.approx(before["time_s"]["p50"] * after["learnt"])
    assert sum(after["breakdown_s"].values()) == pytest.approx(after["time_s"]["p50"])
    poses = zip(before["poses"], after["poses"], strict=True)
    for plain, taught in poses:
        assert taught["time_s"]["p50"] == pytest.approx(plain["time_s"]["p50"] * after["learnt"])
    assert Started().run("estimate", "lid.stl") == 0
    assert "printer: times are learnt from the runs logged on it (10)" in capsys.readouterr().out
    assert folder.joinpath("data").is_dir()


def test_a_damaged_file_is_one_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was learnt being damaged is said in one line, and the estimate comes all the same."""
    log_runs(3, 1.4)
    default_file().write_bytes(b"no database at all " * 99)
    assert Started().run("estimate", "lid.stl", "--json") == 0
    said = capsys.readouterr()
    assert json.loads(said.out)["parts"][0]["known_prints"] == 0
    (line,) = [line for line in said.err.splitlines() if "experience" in line]
    assert "experience.damaged-1.sqlite" in line
    assert folder in default_file().parents
