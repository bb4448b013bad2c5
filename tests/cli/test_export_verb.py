"""`fabsched export`: what is written, read back by others and held against plan and estimates."""

import io
import json
from contextlib import redirect_stdout
from dataclasses import replace
from datetime import datetime
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile
from icalendar import Calendar

from fabsched.files.dxf import read_dxf
from fabsched.files.parts import read_part
from fabsched.files.project_edit import write_project
from fabsched.files.project_toml import read_project
from fabsched.model.project import Project, Work
from fabsched.model.shapes import Points2, Program
from fabsched.model.spread import Spread
from fabsched.nest.verify import distance_mm
from fabsched.schedule.sheet_filling import SHEET_GAP_MM
from tests.cli.made import NOW, Started, cube
from tests.cli.test_plan_verb import SHOP

FRAME = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">'
    '<rect x="5" y="5" width="50" height="40"/><rect x="20" y="15" width="20" height="20"/>'
    '<g id="score"><path d="M 8 10 L 50 10"/></g></svg>'
)
"""A plate of 50 x 40 mm with a window of 20 mm and a scored line of 42 mm."""
COPIES = 3


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project of a print and a cut, three copies of each, and an hour of work."""
    root = tmp_path_factory.mktemp("export")
    (root / "base.svg").write_text(FRAME)
    files = [cube(root / "lid.stl"), root / "base.svg"]
    argv = ("new", root / "box", "--deadline", "2026-10-25T18:00", "--zone", "Europe/Berlin")
    assert Started().run(*argv, *files) == 0
    (root / "box" / "shop.toml").write_text(SHOP)
    write_project(root / "box", _grown(read_project(root / "box")))
    return root / "box"


def _grown(project: Project) -> Project:
    join = Work(id="join", name="Join", minutes=Spread(50, 60, 90), after=("lid", "base"))
    parts = tuple(replace(part, copies=COPIES) for part in project.parts)
    return replace(project, parts=parts, works=(join,))


def document(*argv: str | Path, started: Started | None = None) -> Any:
    """What a verb prints with `--json`, after it ended well."""
    out = io.StringIO()
    with redirect_stdout(out):
        assert (started or Started()).run(*argv, "--json") == 0
    return json.loads(out.getvalue())


@pytest.fixture(scope="module")
def target(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where everything goes; it is not there yet."""
    return tmp_path_factory.mktemp("out") / "new" / "weekend"


@pytest.fixture(scope="module")
def started() -> Started:
    """What the export asked of its surroundings."""
    return Started()


@pytest.fixture(scope="module")
def exported(box: Path, target: Path, started: Started) -> Any:
    """The document of an export."""
    return document("export", box, "--to", target, "--now", NOW.isoformat(), started=started)


@pytest.fixture(scope="module")
def planned(box: Path) -> Any:
    """The document of the same plan."""
    return document("plan", box, "--now", NOW.isoformat())


def paths(exported: Any, ending: str) -> list[Path]:
    """The files of a kind."""
    return [Path(f["path"]) for f in exported["files"] if f["path"].endswith(ending)]


def rings(exported: Any, layer: str) -> list[Points2]:
    """Closed polylines on a layer of the only sheet, by another library."""
    (path,) = paths(exported, ".dxf")
    return [
        np.array([point[:2] for point in entity.get_points()])
        for entity in readfile(path).modelspace()
        if isinstance(entity, LWPolyline) and entity.dxf.layer == layer and entity.closed
    ]


def test_the_document_lists_every_file_and_the_plan_in_short(
    exported: Any, planned: Any, target: Path
) -> None:
    """What is on disk is what is listed; finish and odds are those of `plan`."""
    listed = {path for path in map(Path, (f["path"] for f in exported["files"])) if path.is_file()}
    found = {path for path in target.rglob("*") if path.is_file()}
    assert listed == found
    kinds = {f["kind"] for f in exported["files"]}
    assert kinds == {"sheet", "bed", "calendar", "run-sheet", "timeline"}
    for key in ("now", "deadline", "finish", "spare_s", "odds"):
        assert exported[key] == planned[key]
    runs = {run["id"] for run in planned["runs"]}
    assert {f["run"] for f in exported["files"] if f["kind"] in {"sheet", "bed"}} == runs
    assert exported["without_files"] == []


def test_cut_paths_are_as_long_as_the_estimate_says(exported: Any, box: Path) -> None:
    """Every copy of the part is on the sheet, each with the path that was timed."""
    estimates = document("estimate", box / "parts" / "base.svg", "--shop", box / "shop.toml")
    (path,) = paths(exported, ".dxf")
    drawing, _ = read_dxf(path)
    cut_mm = sum(o.length_mm for o in drawing.outlines if o.operation == "cut")
    score_mm = sum(o.length_mm for o in drawing.outlines if o.operation == "score")
    assert cut_mm == pytest.approx(COPIES * estimates["parts"][0]["cut_mm"], rel=1e-6)
    assert score_mm == pytest.approx(COPIES * 42.0, rel=1e-6)


def test_parts_keep_their_distance_and_the_kerf(exported: Any) -> None:
    """Outer paths are the part and a kerf, windows lack one (identity); between parts is the gap."""
    cuts = rings(exported, "cut")
    assert len(cuts) == 2 * COPIES
    sides = [sorted(np.ptp(ring, axis=0).tolist()) for ring in cuts]
    outer = [ring for ring, side in zip(cuts, sides, strict=True) if side[1] > 30]
    kerf_mm = sides[-1][1] - 50.0
    assert 0.05 < kerf_mm < 0.5  # range of usual kerfs (cutlasercut.com, "What is laser kerf")
    for side in sides:
        wanted = [40 + kerf_mm, 50 + kerf_mm] if side[1] > 30 else [20 - kerf_mm] * 2
        assert side == pytest.approx(wanted, abs=1e-6)
    for one, other in combinations(outer, 2):
        assert distance_mm(one, other) >= SHEET_GAP_MM - kerf_mm - 1e-6


def test_everything_lies_on_the_sheet(exported: Any) -> None:
    """No path of the beam leaves the border drawn on the layer `ignore`."""
    (border,) = rings(exported, "ignore")
    for ring in rings(exported, "cut"):
        assert (ring >= border.min(axis=0) - 1e-6).all()
        assert (ring <= border.max(axis=0) + 1e-6).all()


def test_the_bed_holds_every_copy_apart(exported: Any) -> None:
    """Three closed bodies of 20 x 20 x 10 mm on the bed, none near another."""
    (path,) = paths(exported, ".stl")
    bodies = trimesh.load_mesh(path).split()
    assert len(bodies) == COPIES
    assert [body.volume for body in bodies] == pytest.approx([4000.0] * COPIES, rel=1e-5)
    boxes = [body.bounds[:, :2] for body in bodies]
    for a, b in combinations(boxes, 2):
        apart = np.maximum(a[0] - b[1], b[0] - a[1]).max()
        assert apart >= 5.0 - 1e-3
    assert min(box[0].min() for box in boxes) > 0


def test_the_calendar_holds_what_hands_do(exported: Any, planned: Any) -> None:
    """One event for every block of a person, at its very moments, with reason and caution."""
    (path,) = paths(exported, ".ics")
    events = Calendar.from_ical(path.read_bytes()).events
    blocks = [block for block in planned["blocks"] if block["resource"] == "me"]
    wanted = sorted(
        (datetime.fromisoformat(b["start"]), datetime.fromisoformat(b["end"])) for b in blocks
    )
    assert sorted((e.decoded("DTSTART"), e.decoded("DTEND")) for e in events) == wanted
    assert all(str(event["DESCRIPTION"]).strip() for event in events)
    (cut,) = [e for e in events if "stay with it" in str(e["SUMMARY"])]
    assert "fire extinguisher" in str(cut["DESCRIPTION"])


def test_the_run_sheet_says_everything_in_order(exported: Any, started: Started) -> None:
    """As text and for paper: every deed with a box to tick, cautions, parts, settings, sketches."""
    (path,) = paths(exported, "run-sheet.txt")
    text = path.read_text("utf-8")
    (sheet,) = started.sheets
    rows = [row for day in sheet.days for row in day.rows]
    assert text.count("[ ]") == len(rows) + len(sheet.cards)
    assert all(row.what in text for row in rows)
    assert "Laser: stay beside it" in text
    assert f"{COPIES} \u00d7 Base" in text
    assert "let the machine add none" in text
    assert [len(card.sketch.laid) for card in sheet.cards if card.sketch] == [COPIES, COPIES]


def test_exported_again_every_file_is_the_same(box: Path, target: Path, exported: Any) -> None:
    """Same project, moment and seed: the same bytes, and no event gets a new number."""
    before = {path: path.read_bytes() for path in target.rglob("*") if path.is_file()}
    again = document("export", box, "--to", target, "--now", NOW.isoformat())
    assert again == exported
    assert {path: path.read_bytes() for path in target.rglob("*") if path.is_file()} == before


def test_people_get_a_list_and_the_caution(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """How sure it is, what was written where, and what to take care of at the laser."""
    assert Started().run("export", box, "--to", tmp_path, "--now", NOW.isoformat()) == 0
    out, err = capsys.readouterr()
    assert "You will" in out
    assert "sheets/" in out
    assert "Laser: stay beside it" in " ".join(out.split())
    assert err == ""


def test_a_target_that_is_a_file_is_refused_before_anything_is_planned(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line names it; exit code 2."""
    file = tmp_path / "file"
    file.write_text("mine")
    assert Started().run("export", box, "--to", file, "--now", NOW.isoformat()) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert err.startswith(f"{file}: cannot be written")
    assert file.read_text() == "mine"


def test_files_of_an_earlier_plan_are_pointed_out_and_left_alone(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sheet that is no longer planned must not be cut by mistake; other files are nobody's business."""
    (tmp_path / "sheets").mkdir()
    old, mine = tmp_path / "sheets" / "old-sheet-9.dxf", tmp_path / "sheets" / "notes.md"
    old.write_text("old")
    mine.write_text("mine")
    argv = ("export", box, "--to", tmp_path, "--now", NOW.isoformat(), "--json")
    assert Started().run(*argv) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["left_over"] == [str(old)]
    assert err.startswith(f"{old} was not written this time")
    assert err.count("\n") == 1
    assert (old.read_text(), mine.read_text()) == ("old", "mine")


def test_work_alone_can_be_exported(box: Path, tmp_path: Path) -> None:
    """Without parts there are no beds or sheets, but a run sheet and a calendar."""
    bare = tmp_path / "bare"
    bare.mkdir()
    (bare / "shop.toml").write_bytes((box / "shop.toml").read_bytes())
    (bare / "project.toml").write_text(
        'name = "Bare"\nzone = "Europe/Berlin"\ndeadline = 2026-10-25T18:00:00\n'
        '[[work]]\nid = "join"\nname = "Join"\nminutes = [10, 20, 30]\n'
    )
    found = document("export", bare, "--to", tmp_path / "out", "--now", NOW.isoformat())
    assert {f["kind"] for f in found["files"]} == {"calendar", "run-sheet", "timeline"}


def test_a_target_is_asked_for(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without `--to` nothing is written anywhere."""
    assert Started().run("export", box) == 2
    assert "--to" in capsys.readouterr().err


def test_a_deadline_too_close_ends_with_three_and_still_exports(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is late is written all the same, and one line says by how much."""
    close = tmp_path / "close"
    (close / "parts").mkdir(parents=True)
    for name in ("project.toml", "shop.toml", "parts/lid.stl", "parts/base.svg"):
        (close / name).write_bytes((box / name).read_bytes())
    text = (close / "project.toml").read_text("utf-8")
    (close / "project.toml").write_text(text.replace("2026-10-25T18:00:00", "2026-10-23T18:45:00"))
    argv = ("export", close, "--to", tmp_path / "out", "--now", NOW.isoformat(), "--json")
    assert Started().run(*argv) == 3
    out, err = capsys.readouterr()
    assert json.loads(out)["spare_s"] < 0
    assert err.startswith("no plan was found that meets the deadline")
    assert (tmp_path / "out" / "calendar.ics").is_file()


def test_a_drawing_that_was_exported_can_be_a_part_again(exported: Any) -> None:
    """The sheet's own files are read without a fault."""
    for ending in (".dxf", ".svg", ".stl", ".3mf"):
        for path in paths(exported, ending):
            shape, _ = read_part(path)
            assert not isinstance(shape, Program)
            assert shape.bounds_mm[0].min() >= -1e-3
