"""`fabsched plan`: from project files to a plan, an exit code and one document."""

import io
import json
import subprocess
import sys
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from fabsched.files.project_edit import write_project
from fabsched.files.project_toml import read_project
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Work
from fabsched.model.spread import Spread
from fabsched.session.edits import put_all
from tests.cli.made import NOW, Started, cube, square
from tests.cli.test_plan_text import BLOCK_KEYS

SHOP = """\
[[place]]
id = "home"
[[person]]
id = "me"
name = "Me"
base = "home"
hours = "24/7"
[[printer]]
id = "printer"
place = "home"
kit = "medium"
[[laser]]
id = "laser"
place = "home"
bed_mm = [600, 400]
"""


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project of a print, a cut and an hour of work, at home with a printer and a laser."""
    root = tmp_path_factory.mktemp("plan")
    files = [cube(root / "lid.stl"), square(root / "base.svg")]
    argv = ("new", root / "box", "--deadline", "2026-10-24T18:00", "--zone", "Europe/Berlin")
    assert Started().run(*argv, *files) == 0
    (root / "box" / "shop.toml").write_text(SHOP)
    work = Work(id="join", name="Join", minutes=Spread(50, 60, 90), after=("lid", "base"))
    write_project(root / "box", put_all([work])(read_project(root / "box")))
    return root / "box"


@pytest.fixture(scope="module")
def planned(box: Path) -> Any:
    """The document of that project's plan."""
    out = io.StringIO()
    with redirect_stdout(out):
        assert Started().run("plan", box, "--json", "--now", NOW.isoformat()) == 0
    return json.loads(out.getvalue())


def test_the_document_holds_the_whole_plan(planned: Any) -> None:
    """Prints and cuts run, hands tend them and join the parts last; every block says why."""
    assert planned["now"] == "2026-10-23T18:00:00+02:00"
    assert planned["now"] < planned["finish"] < planned["deadline"]
    assert 0 <= planned["odds"]["on_time"] <= 1
    assert planned["odds"]["scenarios"] > 0
    assert all(set(block) >= BLOCK_KEYS for block in planned["blocks"])
    assert all(block["reason"] for block in planned["blocks"])
    assert {run["machine"] for run in planned["runs"]} == {"printer", "laser"}
    cut = next(run for run in planned["runs"] if run["machine"] == "laser")
    assert cut["attended"]
    (join,) = [block for block in planned["blocks"] if block["what"].startswith("Join")]
    assert join["start"] >= max(run["end"] for run in planned["runs"])
    assert {note["code"] for note in planned["advice"]} >= {"laser", "unattended", "fumes"}


def test_the_program_itself_says_the_same(box: Path, planned: Any) -> None:
    """Same files, moment and seed in another process: the same document, and nothing on stderr."""
    ended = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-m", "fabsched", "plan", box, "--json", "--now", NOW.isoformat()],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert (ended.returncode, ended.stderr) == (0, "")
    assert json.loads(ended.stdout) == planned


def test_a_deadline_too_close_ends_with_three(
    box: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The plan is printed all the same, and one line says by how much it is too late."""
    text = (box / "project.toml").read_text("utf-8")
    close = tmp_path / "close"
    (close / "parts").mkdir(parents=True)
    for path in (box / "parts").iterdir():
        (close / "parts" / path.name).write_bytes(path.read_bytes())
    (close / "shop.toml").write_text(SHOP)
    (close / "project.toml").write_text(text.replace("2026-10-24T18:00:00", "2026-10-23T18:45:00"))
    assert Started().run("plan", close, "--json", "--now", "2026-10-23T18:00") == 3
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert document["spare_s"] < 0
    assert document["finish"] > document["deadline"]
    assert err.count("\n") == 1
    assert err.startswith(
        "no plan was found that meets the deadline Friday 18:45: the best is done"
    )


def test_people_get_a_picture_and_a_table(
    box: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Without `--json` a table is printed; the picture is drawn by whoever can."""
    started = Started()
    picture = tmp_path / "plan.svg"
    argv = ("plan", box, "--now", NOW.isoformat(), "--picture", picture)
    assert started.run(*argv) == 0
    out, err = capsys.readouterr()
    assert started.pictures == [picture]
    assert err == f"picture written to {picture}\n"
    assert out.startswith("box\nYou will ")
    assert "Join" in out


def test_a_picture_that_cannot_be_drawn_leaves_one_document(
    box: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The error takes the place of the plan, so that a reader never meets two documents."""

    def fail(_started: Started, *_arguments: object, **_options: object) -> None:
        raise InputError(Fault.FILE_UNWRITABLE, "plan.svg", why="No space left on device")

    monkeypatch.setattr(Started, "_draw", fail)
    argv = ("plan", box, "--json", "--now", NOW.isoformat(), "--picture", "plan.svg")
    assert Started().run(*argv) == 2
    assert json.loads(capsys.readouterr().out)["error"]["code"] == "file-unwritable"


@pytest.mark.parametrize(
    ("argv", "text"),
    [
        (["gone"], "gone: no such file"),
        (["{box}", "--picture", "plan.gif"], "plan.gif: pictures ending in '.gif' are not drawn"),
        (["."], ".: there is no project.toml here"),
        (["{box}", "--now", "today"], "--now: 'today' cannot be read"),
        (
            ["{box}", "--now", "2026-10-24T18:00"],
            "deadline: the deadline Saturday 24 October 2026 18:00",
        ),
    ],
)
def test_what_is_wrong_is_told(
    argv: list[str],
    text: str,
    box: Path,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One line names the folder, file or option."""
    monkeypatch.chdir(tmp_path)
    assert Started().run("plan", *(word.replace("{box}", str(box)) for word in argv)) == 2
    out, err = capsys.readouterr()
    assert err.startswith(text)
    assert (out, err.count("\n")) == ("", 1)


def test_a_missing_part_file_is_told_as_written(
    box: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The path stands in the message as it stands in project.toml."""
    lost = tmp_path / "lost"
    lost.mkdir()
    for name in ("project.toml", "shop.toml"):
        (lost / name).write_bytes((box / name).read_bytes())
    assert Started().run("plan", lost, "--now", NOW.isoformat()) == 2
    assert capsys.readouterr().err.startswith("parts/lid.stl: no such file")


def test_what_would_make_it_fit_says_how_it_is_carried_out(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An hour before the deadline: the lines of the file to change stand below the later deadline."""
    late = "2026-10-24T17:00:00+02:00"
    assert Started().run("plan", box, "--now", late) == 3
    out = capsys.readouterr().out
    assert f"In {box / 'project.toml'}, from line " in out
    assert "- deadline = 2026-10-24T18:00" in out
    assert "+ deadline = 2026-10-" in out
    assert Started().run("plan", box, "--json", "--now", late) == 3
    document = json.loads(capsys.readouterr().out)
    (put_off,) = (fit for fit in document["fits"] if fit["code"] == "deadline")
    (line,) = put_off["lines"]
    assert line["file"] == str(box / "project.toml")
    assert line["copied_from"] is None
    old = (box / "project.toml").read_text().splitlines()
    assert line["old"] == [old[line["line"] - 1]]
    drops = [fit for fit in document["fits"] if fit["code"] == "drop-needed"]
    for fit in drops:
        assert fit["commands"] == [["fabsched", "log", str(box), "drop", fit["subject"]]]
