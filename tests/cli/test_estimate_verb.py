"""`fabsched estimate`: one document or table; a bad file stops no other."""

import json
from pathlib import Path
from typing import Any

import pytest

from fabsched.files.parts import PART_ENDINGS
from fabsched.files.routes import ROUTES
from fabsched.session.wording import templates
from tests.cli.made import Started, cube, square

KEYS = {
    "file",
    "name",
    "route",
    "machine",
    "stock",
    "time_s",
    "breakdown_s",
    "volume_mm3",
    "mass_g",
    "filament_mm",
    "cost",
    "footprint_mm",
    "height_mm",
    "layers",
    "contact_mm2",
    "support_mm3",
    "warp",
    "cut_mm",
    "pierces",
    "smallest_mm",
    "times_failing",
    "findings",
    "poses",
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own to stand in, with a cache of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path


def _estimated(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> Any:
    assert Started().run("estimate", *argv, "--json") == code
    return json.loads(capsys.readouterr().out)


def test_each_part_has_the_keys_of_the_contract(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Prints and cuts carry the same keys; those that do not apply are null."""
    cube(folder / "lid.stl")
    square(folder / "base.svg")
    lid, base = _estimated(capsys, "lid.stl", "base.svg")["parts"]
    assert set(lid) >= KEYS
    assert set(base) >= KEYS
    assert (lid["route"], lid["machine"], lid["stock"]) == ("print", "printer", "PLA")
    assert (base["route"], base["machine"], base["stock"]) == ("cut", "laser", "plywood")
    assert lid["time_s"]["p10"] <= lid["time_s"]["p50"] <= lid["time_s"]["p90"]
    assert sum(lid["breakdown_s"].values()) == pytest.approx(lid["time_s"]["p50"])
    assert set(lid["breakdown_s"]) | set(base["breakdown_s"]) <= set(templates()["breakdown"])
    assert lid["volume_mm3"] == pytest.approx(20 * 20 * 10)
    assert lid["footprint_mm"] == pytest.approx([20, 20])
    assert set(lid["warp"]) == {"score", "reason"}
    assert base["cut_mm"] == pytest.approx(4 * 40, rel=0.01)  # and the kerf
    assert [base[key] for key in ("mass_g", "layers", "warp", "height_mm")] == [None] * 4
    assert [lid["cut_mm"], lid["pierces"]] == [None, None]


TWO_LAYERS = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">
<g id="outline"><rect x="5" y="5" width="50" height="50"/></g>
<g id="text"><rect x="20" y="20" width="10" height="10"/></g></svg>"""


def test_layers_are_given_their_operation(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a word all is cut and the layers are listed; a name the file lacks is refused."""
    (folder / "base.svg").write_text(TWO_LAYERS)
    (plain,) = _estimated(capsys, "base.svg")["parts"]
    assert set(plain["breakdown_s"]) == {"cutting", "piercing", "travel"}
    (told,) = (f for f in plain["findings"] if f["code"] == "layers-found")
    assert "outline (cut), text (cut)" in told["text"]
    (marked,) = _estimated(capsys, "base.svg", "--layer", "Text=engrave")["parts"]
    assert marked["breakdown_s"]["engraving"] > 0
    assert marked["cut_mm"] == pytest.approx(4 * 50, rel=0.01)
    refused = _estimated(capsys, "base.svg", "--layer", "txt=engrave", code=2)["rejected"]
    assert [r["code"] for r in refused] == ["name-unknown"]
    assert refused[0]["text"].startswith("base.svg: layers: 'txt' is not defined")
    assert Started().run("estimate", "base.svg", "--layer", "text=burn") == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_bad_files_stop_no_others(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rejected files are told in the document and on stderr, one line each; the code is 2."""
    cube(folder / "lid.stl")
    (folder / "half.stl").write_bytes((folder / "lid.stl").read_bytes()[:300])
    (folder / "note.txt").write_text("x")
    argv = ("half.stl", "lid.stl", "note.txt", "gone.stl")
    assert Started().run("estimate", *argv, "--json") == 2
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert [part["file"] for part in document["parts"]] == ["lid.stl"]
    assert [(entry["file"], entry["code"]) for entry in document["rejected"]] == [
        ("half.stl", "file-truncated"),
        ("note.txt", "file-kind-unknown"),
        ("gone.stl", "file-missing"),
    ]
    assert err.splitlines() == [entry["text"] for entry in document["rejected"]]


def test_options_change_the_estimate(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Material, thickness and unit are obeyed."""
    square(folder / "base.svg")
    cube(folder / "lid.stl", scale=0.1)
    argv = ("base.svg", "--material", "acrylic", "--thickness", "6")
    (base,) = _estimated(capsys, *argv)["parts"]
    (thin,) = _estimated(capsys, "base.svg")["parts"]
    assert base["stock"] == "acrylic"
    assert base["time_s"]["p50"] > thin["time_s"]["p50"]
    (lid,) = _estimated(capsys, "lid.stl", "--material", "PETG", "--unit", "cm")["parts"]
    assert (lid["stock"], lid["footprint_mm"]) == ("PETG", pytest.approx([20, 20]))


def test_the_same_again_comes_from_the_cache(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A second run computes nothing and says the same."""
    cube(folder / "lid.stl")
    first = _estimated(capsys, "lid.stl")
    monkeypatch.setattr("fabsched.session.requests.EstimateRequest.run", None)
    assert _estimated(capsys, "lid.stl") == first


@pytest.mark.parametrize(
    ("argv", "text"),
    [
        (["--machine", "oven"], "--machine: 'oven' is not defined; use one of printer, laser"),
        (["--material", "cheese"], "--material: 'cheese' is not in the material tables"),
        (["--material", "PVC"], "--material: 'PVC' is not in the material tables; use one of PLA"),
        (["--machine", "laser", "--material", "Vinyl"], "--material: 'Vinyl' must not be cut"),
        (["--thickness", "-3"], "--thickness: -3 is outside"),
        (["--unit", "league"], "--unit: the unit 'league' is not known"),
        (["--shop", "gone.toml"], "gone.toml: no such file"),
        (
            ["--machine", "laser", "--material", "pvc"],
            "lid.stl: 'pvc' must not be cut with a laser",
        ),
        (["--machine", "laser", "--material", "PLA"], "lid.stl: 'PLA' is not in the material tab"),
        (["--machine", "laser"], "lid.stl: it holds a solid, which one cannot cut; take another"),
    ],
)
def test_wrong_options_are_told(
    argv: list[str], text: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line names the option, or the file it does not suit."""
    cube(folder / "lid.stl")
    assert Started().run("estimate", "lid.stl", *argv) == 2
    out, err = capsys.readouterr()
    assert err.startswith(text)
    assert (out, err.count("\n")) == ("", 1)


def test_poses_are_listed_when_asked_for(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A block of 20 x 20 x 10 lies or stands; drawings have no poses, and none are made unasked."""
    cube(folder / "lid.stl")
    square(folder / "base.svg")
    (plain,) = _estimated(capsys, "lid.stl")["parts"]
    lid, base = _estimated(capsys, "lid.stl", "base.svg", "--poses")["parts"]
    assert (plain["poses"], base["poses"]) == (None, [])
    assert {**lid, "poses": None} == plain
    first, second = lid["poses"]
    assert (first["turn_deg"], first["size_mm"]) == ([0, 0, 0], pytest.approx([20, 20, 10]))
    assert (second["turn_deg"], second["size_mm"]) == ([90, 0, 0], pytest.approx([20, 10, 20]))
    assert first["time_s"] == lid["time_s"]
    assert (first["fits"], first["rough"], first["support_mm3"]) == (True, False, 0)
    assert set(first["warp"]) == {"score", "reason"}
    assert Started().run("estimate", "lid.stl", "--poses") == 0
    assert "90°, 0°, 0°" in capsys.readouterr().out


def test_what_does_not_fit_is_told_how_it_would(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A block too high for the printer is rejected with the turn that fits, and its poses listed."""
    cube(folder / "lid.stl")
    (folder / "shop.toml").write_text(
        '[[place]]\nid = "home"\n[[printer]]\nid = "flat"\nplace = "home"\nbed_mm = [30, 30, 15]\n'
    )
    (folder / "post.obj").write_text(
        "\n".join(f"v {20 * x} {10 * y} {20 * z}" for x in (0, 1) for y in (0, 1) for z in (0, 1))
        + "\nf 1 2 4 3\nf 5 7 8 6\nf 1 5 6 2\nf 3 4 8 7\nf 1 3 7 5\nf 2 6 8 4\n"
    )
    document = _estimated(capsys, "post.obj", "--poses", code=2)
    (post,) = document["rejected"]
    assert post["code"] == "part-fits-turned"
    assert "turn_deg = [90, 0, 0]" in post["text"]
    lying, standing = post["poses"]
    assert (lying["turn_deg"], lying["fits"], lying["rough"]) == ([90, 0, 0], True, False)
    assert (standing["turn_deg"], standing["fits"], standing["rough"]) == ([0, 0, 0], False, True)
    assert Started().run("estimate", "post.obj", "--poses") == 2
    assert "does not fit" in capsys.readouterr().out


def test_the_table_names_parts_times_and_remarks(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """People get one row per part, on a screen of no width as well."""
    cube(folder / "top-lid.stl")
    assert Started().run("estimate", "top-lid.stl") == 0
    out = capsys.readouterr().out
    assert "Top lid" in out
    assert "20.0 \u00d7 20.0 \u00d7 10.0" in out
    assert "Traceback" not in out


def test_what_becomes_a_part_is_what_can_be_read() -> None:
    """Routes are known for exactly the endings that are read."""
    assert set(ROUTES) == set(PART_ENDINGS)
