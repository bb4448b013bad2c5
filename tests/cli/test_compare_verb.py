"""`fabsched compare`: from a part of a project to the ways to make it, and to files."""

import io
import json
import re
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from fabsched.cli import tables
from fabsched.cli.compare_remarks import name_of
from fabsched.cli.compare_text import COLUMNS, widest
from fabsched.cli.tables import GrowingTable
from fabsched.cli.tongue import tr
from fabsched.files.parts import read_part
from fabsched.files.project_edit import write_project
from fabsched.files.project_toml import read_project
from fabsched.files.stl import write_stl
from fabsched.model.project import Work
from fabsched.model.shapes import Drawing, Mesh
from fabsched.model.spread import Spread
from fabsched.session.edits import put_all
from fabsched.session.language import VARIABLE
from tests.advise import bodies
from tests.cli.made import NOW, Started, square
from tests.cli.test_plan_verb import SHOP
from tests.estimate.bodies import of_manifold

SHEET = """\
[[sheet]]
id = "clear"
material = "acrylic"
thickness_mm = 3.0
size_mm = [600, 300]
"""
NOW_TEXT = NOW.isoformat()


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with a bracket of two plates, a cut and some work, at home."""
    root = tmp_path_factory.mktemp("compare")
    write_stl(root / "bracket.stl", bodies.bracket())
    files = [root / "bracket.stl", square(root / "base.svg")]
    argv = ("new", root / "box", "--deadline", "2026-10-24T18:00", "--zone", "Europe/Berlin")
    assert Started().run(*argv, *files) == 0
    (root / "box" / "shop.toml").write_text(f"{SHOP}{SHEET}")
    work = Work(id="join", name="Join", minutes=Spread(50, 60, 90), after=("bracket", "base"))
    write_project(root / "box", put_all([work])(read_project(root / "box")))
    return root / "box"


@pytest.fixture(scope="module")
def compared(box: Path) -> Any:
    """The document of the bracket, its files written beside the project."""
    out = io.StringIO()
    argv = ("compare", box, "bracket", "--json", "--now", NOW_TEXT, "--write", box.parent / "out")
    with redirect_stdout(out):
        assert Started().run(*argv) == 0
    return json.loads(out.getvalue())


def test_the_document_has_all_its_keys(compared: Any) -> None:
    """Keys are a contract: they may be added to, never renamed."""
    assert {"part", "plates", "near", "variants", "verdict", "cautions", "files"} <= set(compared)
    keys = {
        "plates",
        "hindered",
        "print_s",
        "cut_s",
        "hands_s",
        "mass_g",
        "sheet_mm2",
        "cost",
        "trips",
        "warp",
        "exposure",
        "on_time",
        "finish_p50",
        "deflection",
        "parts",
        "screws",
        "joints",
        "volume_mm3",
    }
    assert all(keys <= set(variant) for variant in compared["variants"])


def test_the_ways_of_a_bracket(compared: Any) -> None:
    """Whole, both plates, each alone; two plates of 3 mm with areas as drawn."""
    assert [variant["plates"] for variant in compared["variants"]] == [[], [1, 2], [1], [2]]
    assert [plate["area_mm2"] for plate in compared["plates"]] == pytest.approx([4800, 4800])
    whole, both = compared["variants"][:2]
    assert both["mass_g"] < whole["mass_g"]
    assert both["print_s"] < whole["print_s"]
    assert whole["cut_s"] == 0 < both["cut_s"]
    assert both["hands_s"] > whole["hands_s"]
    assert both["exposure"]["p90_s"] < whole["exposure"]["p90_s"]
    volume = both["volume_mm3"]
    assert volume["plates"] + volume["pieces"] + volume["removed"] == pytest.approx(31_205)


def test_the_verdict_names_a_way(compared: Any) -> None:
    """One sentence, and the number of the way it is about."""
    verdict = compared["verdict"]
    assert verdict["text"].endswith(".")
    assert not any(f"({fact})" in verdict["text"] for fact in ("plates", "chance", "lost"))
    assert 0 <= verdict["best"] < 4


def test_cautions_are_said(compared: Any) -> None:
    """The laser, the estimate of the deflection, and glue."""
    assert len(compared["cautions"]) == 3


def test_files_are_written_and_read_back(compared: Any) -> None:
    """An outline for every plate and a closed mesh for every piece."""
    paths = [Path(path) for path in compared["files"]]
    assert all(path.exists() for path in paths)
    shapes = [read_part(p, "mm") for p in paths if p.suffix in {".dxf", ".stl"}]
    assert any(isinstance(shape, Drawing) for shape, _ in shapes)
    meshes = [(shape, found) for shape, found in shapes if isinstance(shape, Mesh)]
    assert all(not found for _, found in meshes)


@pytest.mark.parametrize(
    ("part", "more", "said"),
    [
        ("gone", (), "'gone' is not defined"),
        ("base", (), "printed parts with a solid file"),
        ("bracket", ("--plates", "7", "--write", "out"), "there is no plate 7"),
        ("bracket", ("--plates", "7"), "there is no plate 7"),
        ("bracket", ("--set", "tab=9"), "--set tab: no such field; did you mean 'tab_mm'?"),
        ("bracket", ("--set", "tab_mm=wide"), "'wide' cannot be read"),
        ("bracket", ("--set", "force_n=9000"), "9000 is outside 0.1 to 500"),
        ("bracket", ("--set", "screw=M9"), "write it like M2, M2.5, M3, M4, M5"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(
    box: Path, part: str, more: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A part or plate there is not, or one that is cut anyway: code 2 and one line."""
    assert Started().run("compare", box, part, "--now", NOW_TEXT, *more) == 2
    error = capsys.readouterr().err.strip()
    assert said in error
    assert "\n" not in error


def test_people_get_a_table(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --json the ways stand side by side, with the verdict below."""
    assert Started().run("compare", box, "bracket", "--now", NOW_TEXT) == 0
    out = capsys.readouterr().out
    assert "plates 1, 2" in out
    assert "Plate 1: 3 mm sheet" in out
    assert "in time" in out.lower()


def test_a_small_piece_that_is_left_out_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A pin too small to be made on its own does not vanish unsaid."""
    pin = bodies.bar(2, 1, 5, (20, 20, 0))
    write_stl(tmp_path / "lid.stl", of_manifold(bodies.bar(100, 60, 3) + pin))
    argv = ("new", tmp_path / "lid", "--deadline", "2026-10-24T18:00", "--zone", "Europe/Berlin")
    assert Started().run(*argv, tmp_path / "lid.stl") == 0
    (tmp_path / "lid" / "shop.toml").write_text(f"{SHOP}{SHEET}")
    assert Started().run("compare", tmp_path / "lid", "lid", "--now", NOW_TEXT) == 0
    assert "plate 1: 4 mm\u00b3 in pieces too small" in capsys.readouterr().out


def test_an_open_surface_is_not_called_one_without_plates(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The verdict asks for a closed mesh, and so does what keeps files from being written."""
    lid = bodies.bracket()
    write_stl(tmp_path / "lid.stl", Mesh(lid.vertices, lid.faces[2:]))
    new = ("new", tmp_path / "lid", "--deadline", "2026-10-24T18:00", "--zone", "Europe/Berlin")
    assert Started().run(*new, tmp_path / "lid.stl") == 0
    (tmp_path / "lid" / "shop.toml").write_text(f"{SHOP}{SHEET}")
    argv = ("compare", tmp_path / "lid", "lid", "--now", NOW_TEXT)
    assert Started().run(*argv) == 0
    assert "Its surface is not closed" in capsys.readouterr().out
    assert Started().run(*argv, "--write", tmp_path / "out") == 2
    assert "lid.stl: its surface is not closed" in capsys.readouterr().err


def test_both_ways_can_be_left_to_the_planner(
    thin: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The project holds a fork without a choice then, which is what is said."""
    argv = ("compare", thin, "lid", "--now", NOW_TEXT, "--plates", "1", "--leave")
    assert Started().run(*argv) == 0
    assert "the planner chooses" in capsys.readouterr().err
    (fork,) = read_project(thin).forks
    assert (fork.id, fork.chosen, len(fork.ways)) == ("lid", "", 2)


def test_germans_get_decimal_commas(
    box: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the table as in the sentences below it."""
    monkeypatch.setenv("FABSCHED_LANGUAGE", "de")
    assert Started().run("compare", box, "bracket", "--now", NOW_TEXT, "--set", "force_n=12.5") == 0
    out = capsys.readouterr().out
    assert re.search(r"\d,\d mm", out)
    assert "unter 12,5 N" in out
    assert not re.search(r"\d\.\d", out)


def test_why_no_deflection_is_told(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One plate of the bracket alone stands on two screws: the table and a line say so."""
    assert Started().run("compare", box, "bracket", "--now", NOW_TEXT) == 0
    out = capsys.readouterr().out
    assert "not told" in out
    assert "Plate 1 (plate 1): no deflection is told: it is held at fewer than three points" in out


@pytest.fixture
def thin(tmp_path: Path) -> Path:
    """A project with a part that is nearly a plate: 2.8 mm where the sheet is 3."""
    write_stl(tmp_path / "lid.stl", bodies.thinner())
    argv = ("new", tmp_path / "lid", "--deadline", "2026-10-24T18:00", "--zone", "Europe/Berlin")
    assert Started().run(*argv, tmp_path / "lid.stl") == 0
    (tmp_path / "lid" / "shop.toml").write_text(f"{SHOP}{SHEET}")
    return tmp_path / "lid"


def test_what_is_nearly_a_plate_can_be_taken(
    thin: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is compared with what it changes, put into the project, and taken out again."""
    argv = ("compare", thin, "lid", "--json", "--now", NOW_TEXT, "--set", "screw=M2.5")
    capsys.readouterr()
    assert Started().run(*argv, "--plates", "1", "--take") == 0
    found = json.loads(capsys.readouterr().out)
    (near,) = found["near"]
    assert (near["number"], near["code"]) == (1, "thickness")
    assert [variant["plates"] for variant in found["variants"]] == [[], [1]]
    (change,) = found["variants"][1]["changes"]
    assert (change["plate"], change["shift_mm"]) == (1, pytest.approx(0.2))
    assert "moves by 0.2 mm" in change["text"]
    volume = found["variants"][1]["volume_mm3"]
    assert volume["changed"] == pytest.approx(0.2 * 90 * 60, rel=1e-4)
    made = volume["plates"] + volume["pieces"] + volume["removed"]
    assert made == pytest.approx(volume["whole"] + volume["changed"])
    assert found["measures"]["screw"] == "M2.5"
    assert {joint["screw"].split()[0] for joint in found["variants"][1]["joints"]} == {"M2.5"}
    assert found["taken"] == [1]
    names = {part.id for part in read_project(thin).parts}
    assert {"lid", "lid_plate1", "lid_piece1"} <= names
    assert (thin / "parts" / "lid_plate1.dxf").exists()
    assert Started().run("compare", thin, "lid", "--now", NOW_TEXT, "--whole") == 0
    assert "The project makes it this way now: whole" in capsys.readouterr().err
    assert {part.id for part in read_project(thin).parts} == {"lid"}


@pytest.mark.parametrize("code", ["en", "de"])
def test_a_usual_terminal_is_wide_enough_for_the_ways(
    code: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """At 80 columns the ways stand in a table: each figure once in a line, none with its heading beside."""
    monkeypatch.setenv(VARIABLE, code)
    monkeypatch.setattr(tables, "console", lambda: Console(width=80, markup=False))
    rows = list(widest([name_of(()), name_of((0, 1)), name_of((0, 1, 2))], "EUR"))
    table = GrowingTable(COLUMNS, rows)
    for row in rows:
        table.add(row)
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert sum(tr("Hands") in line for line in lines) == 1
    assert sum("9999 g" in line for line in lines) == len(rows)
