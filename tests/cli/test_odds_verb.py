"""`fabsched odds`: the odds of `plan`, with what bears on them."""

import io
import json
import shutil
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from tests.cli.made import NOW, Started, cube, square
from tests.cli.test_plan_verb import SHOP

PROJECT = """\
name = "Box"
zone = "Europe/Berlin"
deadline = 2026-10-23T22:30:00
wanted_odds = 0.2
[[part]]
id = "lid"
file = "parts/lid.stl"
unit = "mm"
minutes = [60, 90, 200]
[[part]]
id = "base"
file = "parts/base.svg"
route = "cut"
material = "acrylic"
thickness_mm = 3
[[work]]
id = "join"
minutes = [60, 90, 240]
after = ["fit"]
[[gate]]
id = "fit"
minutes = [5, 10, 20]
after = ["lid", "base"]
chance = 0.3
redo = ["lid"]
"""


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project whose lid may have to be printed twice, due at half past ten."""
    root = tmp_path_factory.mktemp("odds")
    (root / "parts").mkdir()
    cube(root / "parts" / "lid.stl")
    square(root / "parts" / "base.svg")
    (root / "project.toml").write_text(PROJECT)
    (root / "shop.toml").write_text(SHOP)
    return root


def _beside(box: Path, folder: Path, project: str) -> Path:
    """Another project with the same parts and the same shop."""
    shutil.copytree(box / "parts", folder / "parts")
    shutil.copy(box / "shop.toml", folder / "shop.toml")
    (folder / "project.toml").write_text(project)
    return folder


def _document(*argv: str | Path) -> Any:
    out = io.StringIO()
    with redirect_stdout(out):
        assert Started().run(*argv, "--json", "--now", NOW.isoformat()) == 0
    return json.loads(out.getvalue())


@pytest.fixture(scope="module")
def told(box: Path) -> Any:
    """The document."""
    return _document("odds", box)


def test_the_odds_are_those_of_the_plan(box: Path, told: Any) -> None:
    """Same project, moment and seed: the same chance and the same moments, with their range."""
    planned = _document("plan", box)
    kept = {key: told["odds"][key] for key in planned["odds"]}
    assert kept == planned["odds"]
    assert 0 <= told["odds"]["low"] <= told["odds"]["high"] <= 1


def test_setbacks_are_ranked_by_what_they_cost(told: Any) -> None:
    """The costliest comes first, each with its chance and words; so does the most dangerous block."""
    costs = [each["cost"] for each in told["setbacks"]]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > 0.02
    fault = next(each for each in told["setbacks"] if each["kind"] == "fault")
    assert fault["chance"] == pytest.approx(0.3, abs=0.03)
    assert fault["text"] == "Fit finds a fault"
    assert told["most_dangerous"]["id"] == told["dangers"][0]["id"]


def test_how_right_it_was_is_told_beside(told: Any) -> None:
    """A user with no project behind has nothing to judge: no times, no score."""
    assert told["calibration"] == {"times": [], "odds": None}


def test_the_course_ends_with_nothing_left_to_do(told: Any) -> None:
    """Time left falls from moment to moment, and so does the time needed, down to none."""
    left = [each["left_s"] for each in told["course"]]
    assert left == sorted(left, reverse=True)
    assert told["course"][0]["needed_s"]["p50"] > 3 * 3600
    assert told["course"][-1]["needed_s"]["p90"] == 0
    assert told["course"][-1]["on_time"] == 1.0


def test_decisions_name_their_hour(told: Any) -> None:
    """Whoever has no lid late at night hears that it will hardly be done."""
    assert told["decisions"]
    for decision in told["decisions"]:
        assert told["now"] < decision["by"] <= told["deadline"]
        assert decision["on_time"] < told["odds"]["on_time"]
        assert decision["what"] in decision["text"]


def test_early_checks_are_told_with_cost_and_gain(box: Path, told: Any, tmp_path: Path) -> None:
    """There is none in this project; one that eases the fit is weighed with what it takes."""
    assert told["checks"] == []
    look = (
        '[[gate]]\nid = "measure"\nminutes = 5\nafter = ["base"]\nneeded = false\n'
        'chance = 0.2\nredo = ["base"]\neases = "fit"\nleft = 0.3\n'
    )
    eager = _beside(box, tmp_path / "eager", PROJECT + look)
    (check,) = _document("odds", eager)["checks"]
    assert check["what"] == "Measure"
    assert check["hands_s"] == pytest.approx(300)
    assert check["gain"] == pytest.approx(check["on_time"] - check["without"])
    assert check["standard_error"] > 0


def test_people_read_it_in_a_few_lines(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Odds, setbacks, decisions and the course, in at most a screen or so."""
    assert Started().run("odds", box, "--now", NOW.isoformat()) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert "finds a fault" in out
    assert "Time needed against time left" in out
    assert out.count("\n") < 60


def test_a_folder_without_project_ends_with_two(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line says what is wrong; the document says so as well."""
    assert Started().run("odds", tmp_path, "--json") == 2
    out, err = capsys.readouterr()
    assert json.loads(out)["error"]["code"] == "not-a-project"
    assert err.count("\n") == 1


WAYS = """\
name = "Box"
zone = "Europe/Berlin"
deadline = 2026-10-24T00:30:00
[[part]]
id = "lid"
file = "parts/lid.stl"
unit = "mm"
minutes = [230, 240, 260]
[[part]]
id = "plate"
file = "parts/base.svg"
route = "cut"
material = "acrylic"
thickness_mm = 3
[[work]]
id = "join"
minutes = [30, 40, 60]
after = ["lid"]
[[fork]]
id = "top"
name = "Lid"
chosen = "print"
[[fork.way]]
id = "print"
name = "print it"
items = ["lid"]
[[fork.way]]
id = "cut"
name = "cut it"
items = ["plate"]
"""


def test_a_way_that_was_not_chosen_is_what_to_fall_back_on(box: Path, tmp_path: Path) -> None:
    """A print that fails has no time for another: cut it then. No plan takes that by itself."""
    root = _beside(box, tmp_path / "ways", WAYS)
    found = _document("odds", root)
    (decision,) = found["decisions"]
    assert decision["id"] == "lid"
    assert decision["swap"] == "instead-top-cut"
    assert decision["instead"] > 0.9 > decision["on_time"]
    assert decision["text"].endswith("How it is made: Lid: cut it")
    plan = _document("plan", root)
    assert "plate" not in json.dumps(plan)
    # Under way it is so still.
    assert Started().run("log", root, "start", "lid", "--at", NOW.isoformat()) == 0
    later = _document("odds", root)["decisions"]
    assert [each["swap"] for each in later] == ["instead-top-cut"]
