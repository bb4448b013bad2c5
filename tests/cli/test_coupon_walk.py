"""A coupon from the advice to the part that is made after it, through the command line."""

import io
import json
import math
import shutil
from collections.abc import Sequence
from contextlib import redirect_stdout
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from fabsched.files.parts import read_part
from fabsched.files.project_toml import read_project
from fabsched.model.shapes import Mesh
from tests.cli.made import NOW, Started
from tests.coupon_project import write_vane

COUPON, CHECK = "housing-bearing-coupon", "housing-bearing-check"


def at(minutes: float) -> datetime:
    """So long after the beginning."""
    return NOW + timedelta(minutes=minutes)


def document(verb: str, box: Path, minutes: float = 0.0) -> Any:
    """What a verb prints as its document; a plan that is sure of nothing ends with one."""
    out, moment = io.StringIO(), at(minutes)
    with redirect_stdout(out):
        code = Started().run(verb, box, "--json", "--now", moment.isoformat(), now=moment)
    assert code in {0, 1}
    return json.loads(out.getvalue())


def starts(plan: Any) -> dict[str, str]:
    """When each block starts."""
    return {block["id"]: block["start"] for block in plan["blocks"]}


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project without a coupon."""
    return write_vane(tmp_path_factory.mktemp("walk") / "vane")


@pytest.fixture(scope="module")
def told(box: Path) -> Any:
    """What bears on its odds."""
    return document("odds", box)


@pytest.fixture(scope="module")
def advised(told: Any) -> Any:
    """The first piece of advice."""
    return told["advice"][0]


@pytest.fixture(scope="module")
def followed(box: Path, advised: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project, the advice carried out by the command it came with."""
    folder = tmp_path_factory.mktemp("followed") / "vane"
    shutil.copytree(box, folder)
    command = [str(folder) if word == str(box) else word for word in advised["command"][1:]]
    with redirect_stdout(io.StringIO()):
        assert Started().run(*command) == 0
    return folder


@pytest.fixture(scope="module")
def planned(followed: Path) -> Any:
    """Its plan."""
    return document("plan", followed)


def tell(box: Path, said: Sequence[tuple[float, str, str]]) -> None:
    """Tell the log what happened, at what minute."""
    for minutes, verb, block in said:
        with redirect_stdout(io.StringIO()):
            assert Started().run("log", box, verb, block, now=at(minutes)) == 0


def test_advice_proposes_it_with_its_number(told: Any, advised: Any) -> None:
    """A fault found on Saturday is too late: of 45 in 100 faults a coupon shows three quarters."""
    assert advised["code"] == "coupon"
    assert advised["on_time"] - told["odds"]["on_time"] == pytest.approx(advised["gain"], abs=0.03)
    assert 0.15 < advised["gain"] < 0.45 * 0.75
    assert f"{100 * advised['on_time']:.0f} in 100" in advised["text"]
    (coupon,) = told["coupons"]
    assert coupon["gain"] == advised["gain"]
    assert 10 * 60 < coupon["machine_s"] < 60 * 60


def test_it_is_made_and_added(followed: Path, box: Path) -> None:
    """Its file is a clean solid of the feature's usual depth; where nobody asked there is none."""
    part = next(each for each in read_project(followed).parts if each.id == COUPON)
    shape, findings = read_part(followed / part.file, part.unit)
    assert not findings
    assert isinstance(shape, Mesh)
    assert shape.size_mm[2] == pytest.approx(6.0, abs=0.01)
    assert not (box / part.file).exists()


def test_the_plan_tries_it_before_the_part(planned: Any) -> None:
    """Coupon, then trying it, then the part, then its own test fit."""
    found = starts(planned)
    gate = next(ident for ident in found if ident.startswith("seat"))
    moments = [found[ident] for ident in (COUPON, CHECK, "housing", gate, "wire")]
    assert moments == sorted(moments)


def test_the_chance_goes_up_by_what_was_told(told: Any, advised: Any, planned: Any) -> None:
    """Within three points: both are counted on some thousand weekends, of which none is shared."""
    chance = planned["odds"]["on_time"]
    assert chance == pytest.approx(advised["on_time"], abs=0.03)
    assert chance > told["odds"]["on_time"] + 0.15


def test_nobody_is_told_to_try_what_is_left_out(followed: Path, planned: Any) -> None:
    """Trying a coupon that is not there shows nothing; leaving it out is not advised."""
    told = document("odds", followed)
    assert [each["code"] for each in told["advice"] if each["subject"] == COUPON] == []
    (check,) = told["checks"]
    assert check["planned"]
    assert check["on_time"] == pytest.approx(planned["odds"]["on_time"], abs=0.03)


def test_a_failed_try_plans_again(followed: Path, tmp_path: Path) -> None:
    """It is printed and tried once more before the part; going on without it costs chance."""
    box = tmp_path / "vane"
    shutil.copytree(followed, box)
    said = ((10, "start", COUPON), (35, "finish", COUPON), (40, "clear", COUPON))
    tell(box, [*said, (45, "found", CHECK)])
    again = document("replan", box, 50)
    found = starts(again)
    assert at(50).isoformat() <= found[COUPON] < found[CHECK] < found["housing"]
    chances = {each["id"]: each["odds"]["on_time"] for each in again["options"]}
    assert chances.keys() == {"again", "drop"}  # no coupon of a coupon, and none that is mended
    assert chances["drop"] < chances["again"] - 0.03


def test_a_passed_try_lets_the_part_start(followed: Path, planned: Any, tmp_path: Path) -> None:
    """Nothing of the coupon is left; the chance is no worse than before it was known."""
    box = tmp_path / "vane"
    shutil.copytree(followed, box)
    said = ((10, "start", COUPON), (35, "finish", COUPON), (40, "clear", COUPON))
    tell(box, [*said, (45, "finish", CHECK)])
    after = document("replan", box, 50)
    assert not {COUPON, CHECK} & starts(after).keys()
    assert after["odds"]["on_time"] > planned["odds"]["on_time"] - 0.02


def test_one_step_takes_it_back(followed: Path, box: Path, advised: Any, tmp_path: Path) -> None:
    """The command that was told beside it leaves the project as it was."""
    folder = tmp_path / "vane"
    shutil.copytree(followed, folder)
    command = [str(folder) if word == str(box) else word for word in advised["undo"][1:]]
    with redirect_stdout(io.StringIO()):
        assert Started().run(*command) == 0
    assert read_project(folder) == read_project(box)


def test_a_copy_that_fits_saves_the_second_coupon(followed: Path, tmp_path: Path) -> None:
    """After a failed try another copy of the ladder fits: the part is drawn like it and made next."""
    box = tmp_path / "vane"
    shutil.copytree(followed, box)
    said = ((10, "start", COUPON), (35, "finish", COUPON), (40, "clear", COUPON))
    tell(box, [*said, (45, "found", CHECK)])
    assert COUPON in starts(document("replan", box, 46))
    out = io.StringIO()
    with redirect_stdout(out):
        assert Started().run("coupon", box, "housing", "bearing", "--fits", "4", now=at(48)) == 0
    assert "is drawn like copy 4 now, +0.20 mm of play" in out.getvalue()
    after = document("replan", box, 50)
    assert not {COUPON, CHECK} & starts(after).keys()
    assert {"housing", "wire"} <= starts(after).keys()
    part = next(each for each in read_project(box).parts if each.id == "housing")
    shape, findings = read_part(box / part.file, part.unit)
    was, _ = read_part(followed / "parts/housing.stl", "mm")
    assert not findings
    assert isinstance(shape, Mesh)
    assert isinstance(was, Mesh)
    # A bore of 16 mm and 30 mm deep gets 0.2 mm wider: pi / 4 (16.2^2 - 16^2) 30 (annulus).
    lost_mm3 = math.pi / 4 * (16.2**2 - 16.0**2) * 30
    assert was.volume_mm3 - shape.volume_mm3 == pytest.approx(lost_mm3, rel=0.01)
    assert part.fits[0].fitting_mm == 0.0
