"""`fabsched coupon`: a test print around a critical dimension, alone or put into the project."""

import io
import json
from contextlib import redirect_stdout
from pathlib import Path

import pytest
from manifold3d import Manifold

from fabsched.advise.plates.frames import mesh_of
from fabsched.files.parts import read_part
from fabsched.files.project_toml import read_project
from fabsched.files.stl import write_stl
from fabsched.model.shapes import Mesh
from tests.cli.made import Started
from tests.cli.test_plan_verb import SHOP

PROJECT = """\
zone = "Europe/Berlin"
deadline = 2026-10-24T18:00:00
[[part]]
id = "lid"
file = "parts/lid.stl"
unit = "mm"
[[part.fit]]
id = "pin"
at_mm = [20, 20, 4]
size_mm = [5, 5, 8]
clearance_mm = 0.2
[[gate]]
id = "try"
minutes = 10
after = ["lid"]
chance = 0.4
redo = ["lid"]
"""


@pytest.fixture
def box(tmp_path: Path) -> Path:
    """A lid with a bore."""
    body = Manifold.cube((60, 40, 8)) - Manifold.cylinder(20, 2.5, 2.5, 64).translate((20, 20, -5))
    (tmp_path / "parts").mkdir()
    write_stl(tmp_path / "parts" / "lid.stl", mesh_of(body))
    (tmp_path / "project.toml").write_text(PROJECT)
    (tmp_path / "shop.toml").write_text(SHOP)
    return tmp_path


@pytest.mark.parametrize("ending", [".stl", ".3mf"])
def test_it_is_written_as_a_ladder(box: Path, tmp_path: Path, ending: str) -> None:
    """Five copies in one file, as large as the document says; the project stays as it was."""
    out, target = io.StringIO(), tmp_path / f"coupon{ending}"
    with redirect_stdout(out):
        assert Started().run("coupon", box, "lid", "pin", "--write", target, "--json") == 0
    document = json.loads(out.getvalue())
    shape, _ = read_part(target, "mm")
    assert isinstance(shape, Mesh)
    assert shape.volume_mm3 == pytest.approx(document["volume_mm3"], rel=1e-4)
    assert document["steps_mm"] == [-0.1, 0.0, 0.1, 0.2, 0.3]
    assert document["notched"]
    assert document["eases"] == "try"
    assert document["time_s"]["printer"]["p50"] > 60
    assert (box / "project.toml").read_text() == PROJECT


def test_it_is_put_before_its_part(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Coupon and check are optional, the part waits for the check, the check eases the gate."""
    assert Started().run("coupon", box, "lid", "pin", "--add") == 0
    assert "added to the project" in capsys.readouterr().out
    project = read_project(box)
    lid, coupon = project.parts
    gate, check = project.gates
    assert lid.after == (check.id,)
    assert (coupon.needed, check.needed, check.after) == (False, False, (coupon.id,))
    assert (check.eases, check.redo) == (gate.id, (coupon.id,))
    assert check.shows + gate.chance * check.left == pytest.approx(gate.chance)
    assert check.chance == pytest.approx(0.2 * check.shows)  # another copy may fit
    assert (box / coupon.file).exists()


def test_it_is_put_in_once_and_taken_out_again(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A second coupon of the same dimension is refused; without it the project is as it was."""
    before = read_project(box)
    assert Started().run("coupon", box, "lid", "pin", "--add") == 0
    assert Started().run("coupon", box, "lid", "pin", "--add") == 2
    assert "lid-pin-coupon" in capsys.readouterr().err
    assert len(read_project(box).parts) == 2
    assert Started().run("coupon", box, "lid", "pin", "--remove") == 0
    assert read_project(box) == before
    assert Started().run("coupon", box, "lid", "pin", "--remove") == 2
    assert Started().run("coupon", box, "lid", "pin", "--remove", "--add") == 2


def test_what_is_not_there_is_told(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown dimension, part or ending ends with two and one line that names what there is."""
    for argv in (("lid", "slot"), ("lit", "pin"), ("lid", "pin", "--write", "a.docx")):
        assert Started().run("coupon", box, *argv) == 2
        err = capsys.readouterr().err
        assert err.count("\n") == 1
        assert any(word in err for word in ("pin", "lid", ".stl"))
