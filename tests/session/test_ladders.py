"""Test cuts from the files put out to the setting noted: read back by other libraries."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile
from svgelements import SVG, Group
from svgelements import Path as Curve

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.files.parts import read_part
from fabsched.files.shop_toml import find_shop, read_shop
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.ladder import Outcome
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing
from fabsched.session.ladders import PutOut, laser_of, note, put_out, sheet_of
from tests.cli.made import Started

PX_MM = 25.4 / 96
DAY = date(2026, 11, 25)


@pytest.fixture
def made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> PutOut:
    """A ladder for plywood of 3 mm in the shipped shop, and no shop file of one's own yet."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.chdir(tmp_path)
    shop = read_shop(find_shop(tmp_path))
    return put_out(laser_of(shop, None, "x"), sheet_of(shop, "plywood", "x"), 3.0, tmp_path / "out")


def test_dxf_is_read_the_same_by_another_library(made: PutOut) -> None:
    """A layer for each feed in a colour of its own, squares where they were drawn, in mm."""
    document = readfile(made.files[0])
    assert document.header["$INSUNITS"] == 4  # millimetres (DXF reference, HEADER section)
    wanted = [(rung.layer, path) for rung in made.drawn.rungs for path in rung.outlines]
    lines = [e for e in document.modelspace() if isinstance(e, LWPolyline)]
    found = [line for line in lines if line.dxf.layer != "ignore"]
    assert [line.dxf.layer for line in found] == [layer for layer, _ in wanted]
    for line, (_, path) in zip(found, wanted, strict=True):
        assert np.allclose([p[:2] for p in line.get_points()], path.points_mm)
    colours = [document.layers.get(rung.layer).color for rung in made.drawn.rungs]
    assert len(set(colours)) == len(colours)
    assert not document.audit().has_errors


def test_svg_is_read_the_same_by_another_library(made: PutOut) -> None:
    """A group for each feed, every line as long as drawn."""
    drawn = SVG.parse(made.files[1])
    groups = {g.id: g for g in drawn.select(lambda e: isinstance(e, Group)) if g.id != "ignore"}
    for rung in made.drawn.rungs:
        lengths = [c.length() * PX_MM for c in groups[rung.layer].select() if isinstance(c, Curve)]
        assert lengths == pytest.approx([o.length_mm for o in rung.outlines], rel=1e-4)


@pytest.mark.parametrize("place", [0, 1])
def test_our_own_reader_cuts_and_scores_it(made: PutOut, place: int) -> None:
    """Notches are scored, squares and border are cut, and nothing is remarked but open notches."""
    drawing, findings = read_part(made.files[place])
    assert isinstance(drawing, Drawing)
    cuts = [o for o in drawing.outlines if o.operation is Operation.CUT]
    assert len(cuts) == 2 * 9 + 1
    assert {o.operation for o in drawing.outlines} == {Operation.CUT, Operation.SCORE}
    assert findings == ()


def test_an_outcome_counts_from_then_on(made: PutOut, tmp_path: Path) -> None:
    """It goes into a shop file of one's own, a copy of the shipped one, and before the table."""
    outcome = Outcome(fell=6, day=DAY, square_mm=9.84, hole_mm=10.2)
    noted = note(made.files[-1], outcome, find_shop(tmp_path))
    assert noted.shop_file == find_shop(tmp_path) == tmp_path / "config/fabsched/shop.toml"
    shop = read_shop(noted.shop_file)
    plywood = sheet_of(shop, "plywood", "x")
    speeds = cut_speeds(shop.lasers[0], plywood, 3.0, where="x")
    assert (speeds.kerf_mm, speeds.measured, speeds.findings) == (0.18, DAY, ())
    assert speeds.feed_mm_s == noted.setting.feed_mm_s
    guess = cut_speeds(replace(shop.lasers[0], power_w=40.0), plywood, 4.0, where="x")
    assert guess.feed_mm_s.likely == pytest.approx(speeds.feed_mm_s.likely * 40 / 60 * 3 / 4)
    (told,) = guess.findings
    assert (told.code, told.facts["source"]) == (Remark.FIRST_GUESS, "own test cut 2026-11-25")


def test_a_shop_file_of_ones_own_is_edited_in_place(made: PutOut, tmp_path: Path) -> None:
    """Nothing is written elsewhere."""
    own = tmp_path / "shop.toml"
    own.write_text('currency = "CHF"   # mine\n')
    noted = note(made.files[-1], Outcome(fell=2, day=DAY, fits=3), own)
    assert noted.shop_file == own
    assert own.read_text().startswith('currency = "CHF"   # mine\n')
    assert not (tmp_path / "config").exists()


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", Fault.FIELD_MISSING),
        ("laser = [", Fault.TOML_MALFORMED),
        ("feeds_mm_s = []", Fault.FIELD_MALFORMED),
        ("feeds_mm_s = [9.0, 8.0]", Fault.FIELD_MALFORMED),
        ("feeds_mm_s = [0.0]", Fault.FIELD_OUT_OF_RANGE),
    ],
)
def test_a_damaged_receipt_is_refused(made: PutOut, text: str, code: Fault, tmp_path: Path) -> None:
    """One line names the file, nothing is noted."""
    receipt = made.files[-1]
    rest = [
        x
        for x in receipt.read_text().splitlines()
        if not x.startswith(text.split(" ", maxsplit=1)[0])
    ]
    receipt.write_text("\n".join([text, *rest]) if text.startswith("feeds") else text)
    with pytest.raises(InputError) as caught:
        note(receipt, Outcome(fell=2, day=DAY), find_shop(tmp_path))
    assert caught.value.code is code
    assert caught.value.where.startswith(str(receipt))


def test_the_command_line_does_the_same(
    made: PutOut, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`testcut out`, then `testcut enter`; both as text and as one document."""
    assert made.files
    argv = ("testcut", "out", "--material", "acrylic", "--thickness", "3", "--to", "here")
    assert Started().run(*argv, "--json") == 0
    out = json.loads(capsys.readouterr().out)
    assert all(Path(file).is_file() for file in out["files"])
    assert (len(out["feeds_mm_s"]), out["time_s"] > 60) == (9, True)
    assert Started().run(*argv) == 0
    text = capsys.readouterr().out
    assert "testcut enter" in text
    assert "stay beside it" in text
    enter = ("testcut", "enter", "here/testcut.toml", "--fell", "5", "--on", "2026-11-20")
    assert Started().run(*enter, "--square", "9.8", "--hole", "10.25", "--json") == 0
    noted = json.loads(capsys.readouterr().out)
    assert (noted["kerf_mm"], noted["source"]) == (0.225, "own test cut 2026-11-20")
    assert Path(noted["shop_file"]).is_relative_to(tmp_path)
    assert Started().run(*enter) == 0
    assert "kerf is not known" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        (("out", "--material", "vinyl", "--thickness", "3", "--to", "x"), "must not be cut"),
        (("out", "--material", "oak", "--thickness", "3", "--to", "x"), "not in the material"),
        (("out", "--material", "pom", "--thickness", "3", "--to", "x"), "--feed 10"),
        (("out", "--material", "mdf", "--thickness", "0", "--to", "x"), "outside"),
        (("enter", "gone.toml", "--fell", "3"), "no such file"),
        (("enter", "out/testcut.toml", "--fell", "0"), "no square fell out"),
        (("enter", "out/testcut.toml", "--fell", "3", "--on", "soon"), "cannot be read"),
        ((), "required"),
    ],
)
def test_what_is_wrong_is_told_in_one_line(
    made: PutOut, argv: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """And the exit code is 2."""
    assert made.files
    assert Started().run("testcut", *argv) == 2
    heard = capsys.readouterr()
    assert told in heard.err
    assert heard.err.count("\n") == 1
    assert not heard.out
