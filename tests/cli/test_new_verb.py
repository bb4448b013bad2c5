"""`fabsched new`: a project folder from part files."""

import json
from pathlib import Path

import pytest

from fabsched.files.project_toml import read_project
from tests.cli.made import Started, cube, square


def test_a_project_is_made_and_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The folder holds what was asked for, and the next step is told."""
    files = [cube(tmp_path / "lid.stl"), square(tmp_path / "base.svg")]
    code = Started().run(
        *("new", tmp_path / "box", "--deadline", "2026-10-25T20:00", "--zone", "Europe/Berlin"),
        *files,
    )
    assert code == 0
    assert f"box with 2 parts; plan it with: fabsched plan {tmp_path / 'box'}" in (
        capsys.readouterr().out
    )
    project = read_project(tmp_path / "box")
    assert (project.name, [part.id for part in project.parts]) == ("box", ["lid", "base"])
    assert project.deadline.isoformat() == "2026-10-25T20:00:00+01:00"


def test_json_says_what_was_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One document, with the deadline's offset."""
    argv = ("--zone", "America/New_York", "--name", "My box", "--json")
    code = Started().run("new", tmp_path / "box", *argv, "--deadline", "2026-10-25T20:00Z")
    document = json.loads(capsys.readouterr().out)
    assert code == 0
    assert document == {
        "project": str(tmp_path / "box"),
        "name": "My box",
        "zone": "America/New_York",
        "deadline": "2026-10-25T16:00:00-04:00",
        "parts": [],
    }


def test_every_broken_file_is_named_and_nothing_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Files are read before anything is made of them; one line for each that cannot be used."""
    lid, half = cube(tmp_path / "lid.stl"), tmp_path / "half.stl"
    half.write_bytes(lid.read_bytes()[:300])
    (tmp_path / "torn.svg").write_text("<svg")
    files = [half, lid, tmp_path / "torn.svg", tmp_path / "gone.dxf"]
    argv: list[str | Path] = [
        "new",
        tmp_path / "box",
        "--deadline",
        "2026-10-25T20:00",
        "--zone",
        "UTC",
        *files,
    ]
    assert Started().run(*argv, "--json") == 2
    out, err = capsys.readouterr()
    rejected = json.loads(out)["rejected"]
    assert [entry["code"] for entry in rejected] == [
        "file-truncated",
        "file-not-of-kind",
        "file-missing",
    ]
    assert err.splitlines() == [entry["text"] for entry in rejected]
    assert not (tmp_path / "box").exists()
    assert Started().run(*argv) == 2
    assert capsys.readouterr().out == ""


def test_a_size_that_a_unit_puts_right_is_no_reason_to_refuse(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A part of an unlikely size may have been drawn in another unit: it is taken, and asked about."""
    argv: list[str | Path] = [
        "new",
        tmp_path / "box",
        "--deadline",
        "2026-10-25T20:00",
        "--zone",
        "UTC",
    ]
    files = [cube(tmp_path / "lid.stl", scale=1e5), cube(tmp_path / "box.stl", scale=0.001)]
    assert Started().run(*argv, *files, cube(tmp_path / "pin.stl")) == 0
    absurd, metres = capsys.readouterr().err.splitlines()
    assert "lid.stl: the part measures 2e+06 mm" in absurd
    assert 'box.stl: measures 0.02 mm; if it was drawn in meter, set unit = "meter"' in metres


@pytest.mark.parametrize(
    ("argv", "text"),
    [
        (["--deadline", "2026-10-25"], "--deadline: '2026-10-25' cannot be read"),  # when?
        (["--deadline", "Sunday"], "--deadline: 'Sunday' cannot be read"),
        (["--deadline", "2026-10-23T17:59"], "deadline: the deadline Friday 23 October 2026 17:59"),
        (["--deadline", "2026-10-25T20:00", "--zone", "Moon"], "--zone: 'Moon' is not a time zone"),
        (["--deadline", "2026-10-25T20:00", "gone.stl"], "gone.stl: no such file"),
        (
            ["--deadline", "2026-10-25T20:00", f"{'x' * 300}.stl"],
            f"{'x' * 300}.stl: cannot be opened",
        ),
    ],
)
def test_what_is_wrong_is_told(
    argv: list[str], text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line names the option or file; nothing is made."""
    zone = [] if "--zone" in argv else ["--zone", "Europe/Berlin"]
    assert Started().run("new", tmp_path / "box", *argv, *zone) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert err.startswith(text)
    assert not (tmp_path / "box").exists()
