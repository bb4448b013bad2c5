"""The command line as a whole: exit codes, one line on stderr, nothing else."""

import argparse
import errno
import json
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from fabsched import __version__
from fabsched.cli import command
from fabsched.cli.apology import log_file
from fabsched.cli.arguments import UsageError, parse
from fabsched.model.errors import Cancelled, Fault, InputError, WorkerLost
from fabsched.session import zones
from tests.cli.made import Started

ENDS = {
    "input": (InputError(Fault.FILE_EMPTY, "lid.stl"), 2, "lid.stl: the file is empty"),
    "ctrl-c": (KeyboardInterrupt(), 130, "stopped"),
    "cancelled": (Cancelled(), 130, "stopped"),
    "worker": (WorkerLost(), 1, "worker process died"),
    "bug": (ZeroDivisionError("in the depths"), 1, "noted in"),
    "pipe": (BrokenPipeError(), 0, ""),
    "full": (OSError(errno.ENOSPC, "No space left on device"), 2, "standard output: cannot be"),
}


@pytest.mark.parametrize("end", ENDS)
def test_whatever_happens_ends_in_a_code_and_one_line(
    end: str,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    """Each way to end has its exit code and at most one line, never a traceback."""
    error, code, text = ENDS[end]

    def fail(_arguments: argparse.Namespace, _surroundings: object) -> int:
        raise error

    monkeypatch.setattr(command, "_verb", fail)
    monkeypatch.setattr(command, "_output_gone", lambda code: code)
    assert Started().run("plan", "x") == code
    out, err = capfd.readouterr()
    assert (out, err.count("\n")) == ("", 1 if text else 0)
    assert text in err
    assert "Traceback" not in err
    if text:
        assert Started().run("plan", "x", "--json") == code
        out, err = capfd.readouterr()
        assert json.loads(out)["error"]["text"] == err.rstrip("\n")


def test_a_fault_of_ours_is_noted_with_its_traceback(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The log holds what people are spared; without a place for it, the line says what it was."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def fail(_arguments: argparse.Namespace, _surroundings: object) -> int:
        raise ZeroDivisionError("in the depths")

    monkeypatch.setattr(command, "_verb", fail)
    assert Started().run("plan", "x") == 1
    assert str(log_file()) in capfd.readouterr().err
    assert "in the depths" in log_file().read_text("utf-8")
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    assert Started().run("plan", "x") == 1
    assert "in the depths" in capfd.readouterr().err


@pytest.mark.parametrize(
    "argv",
    [
        ["bake"],
        ["estimate"],
        ["plan"],
        ["new", "folder"],  # without a deadline
        ["plan", "x", "--seed", "many"],
        ["plan", "x", "--seed", "-1"],
        ["estimate", "a.stl", "--thickness", "thin"],
        ["--colour"],
        ["plan", "x", "y"],
        ["log", "x", "start"],  # of what
        ["log", "x", "correct", "3"],  # in what
        ["log", "x", "burn", "lid"],
        ["testcut", "out", "--material", "plywood", "--thickness", "3", "--passes", "1.5"],
    ],
)
def test_a_wrong_command_line_is_told_in_one_line(
    argv: list[str], capfd: pytest.CaptureFixture[str]
) -> None:
    """It ends with 2 and one line that says where to look."""
    assert Started().run(*argv) == 2
    out, err = capfd.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert "--help" in err


def test_what_is_at_fault_is_told_in_a_document(capfd: pytest.CaptureFixture[str]) -> None:
    """Where one document was asked for, there is one: with code, place and the same sentence."""
    assert Started().run("plan", "gone", "--json") == 2
    out, err = capfd.readouterr()
    text = "gone: no such file; check the name or put the file there"
    error = {"code": "file-missing", "where": "gone", "text": text}
    assert (json.loads(out), err) == ({"error": error}, f"{text}\n")
    assert Started().run("plan", "--json") == 2
    out, err = capfd.readouterr()
    assert json.loads(out)["error"] == {"code": "usage", "where": None, "text": err.rstrip("\n")}


def test_options_may_stand_between_files() -> None:
    """Files behind an option are files as well; unknown options are not."""
    arguments = parse(["estimate", "a.stl", "--json", "b.stl", "c.stl"])
    assert arguments.files == [Path("a.stl"), Path("b.stl"), Path("c.stl")]
    with pytest.raises(UsageError):
        parse(["estimate", "a.stl", "--jsn", "b.stl"])


def test_version_and_help_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """Both end well."""
    assert Started().run("--version") == 0
    assert capsys.readouterr().out == f"fabsched {__version__}\n"
    assert Started().run("plan", "--help") == 0
    assert "--picture" in capsys.readouterr().out


def test_without_a_verb_the_window_opens() -> None:
    """With a project, if one is named."""
    started = Started()
    assert started.run() == 0
    assert started.run("--open", "box") == 0
    assert started.windows == [None, Path("box")]


def test_the_own_zone_is_told_by_name(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """By `TZ`, else by where the system's link leads, else not at all."""
    monkeypatch.setenv("TZ", ":America/New_York")
    assert zones.own_zone() == ZoneInfo("America/New_York")
    monkeypatch.setenv("TZ", "EST5EDT4,M3.2.0,M11.1.0")  # a rule has no name
    assert zones.own_zone() is None
    monkeypatch.delenv("TZ")
    (tmp_path / "zoneinfo" / "Asia").mkdir(parents=True)
    (tmp_path / "zoneinfo" / "Asia" / "Tokyo").write_bytes(b"")
    (tmp_path / "localtime").symlink_to(tmp_path / "zoneinfo" / "Asia" / "Tokyo")
    monkeypatch.setattr(zones, "LOCAL_TIME", tmp_path / "localtime")
    assert zones.own_zone() == ZoneInfo("Asia/Tokyo")
    assert datetime.now(zones.own_zone()).utcoffset() is not None
