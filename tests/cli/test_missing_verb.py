"""`fabsched missing`: what is not in hand, by when to buy it, and what stands in the way."""

import io
import json
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from tests.cli.made import NOW, Started, cube
from tests.cli.test_plan_verb import SHOP

PROJECT = """\
zone = "Europe/Berlin"
deadline = 2026-10-25T18:00:00
[[part]]
id = "lid"
file = "parts/lid.stl"
unit = "mm"
minutes = 300
[[work]]
id = "wire"
minutes = 60
after = ["lid"]
[[component]]
id = "sensor"
name = "Sensor"
needed_by = ["wire"]
delivery_days = 2
note = "pin 1 is the square pad"
[[component]]
id = "screws"
name = "M3 screws"
count = 8
spares = 2
have = 9
needed_by = ["wire"]
[[component]]
id = "switch"
have = 1
"""


@pytest.fixture
def box(tmp_path: Path) -> Path:
    """A project that lacks a sensor, a spare screw and filament."""
    (tmp_path / "parts").mkdir()
    cube(tmp_path / "parts" / "lid.stl")
    (tmp_path / "project.toml").write_text(PROJECT)
    (tmp_path / "shop.toml").write_text(SHOP)
    return tmp_path


def _document(code: int, *argv: str | Path) -> Any:
    out = io.StringIO()
    with redirect_stdout(out):
        assert Started().run("missing", *argv, "--json", "--now", NOW.isoformat()) == code
    return json.loads(out.getvalue())


def test_what_is_missing_is_a_list_to_buy_with_the_latest_moment(box: Path) -> None:
    """What wiring takes is due when wiring starts, less its delivery; what is there is not listed.

    The sensor comes on Tuesday if it is ordered on Friday night, two days after the deadline.
    """
    document = _document(0, box)
    found = {each["id"]: each for each in document["buy"]}
    assert set(found) == {"sensor", "screws", "PLA"}
    assert not document["ready"]
    assert (found["sensor"]["buy"], found["screws"]["buy"]) == (1, 1)
    assert (found["sensor"]["essential"], found["screws"]["essential"]) == (True, False)
    assert found["sensor"]["by"] == "2026-10-21T18:00:00+02:00"  # the deadline is a Sunday, 18:00
    assert found["sensor"]["too_late"]
    assert found["PLA"]["unit"] == "g"
    assert document["mixed_up"] == [
        {"id": "sensor", "what": "Sensor", "note": "pin 1 is the square pad"}
    ]


def test_what_comes_in_time_is_due_by_the_work_that_takes_it(box: Path) -> None:
    """With the sensor in hand wiring starts after five hours of printing, for which the screws are due."""
    text = PROJECT.replace("delivery_days = 2\n", "delivery_days = 2\nhave = 1\n")
    (box / "project.toml").write_text(text)
    found = {each["id"]: each for each in _document(0, box)["buy"]}
    assert "2026-10-23T23:00" < found["screws"]["by"] < "2026-10-24T00:00"
    assert "sensor" not in found


def test_a_file_that_cannot_be_read_is_told_beside_the_rest(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The list is made all the same, and the exit code says that the input is at fault."""
    (box / "parts" / "lid.stl").write_text("no mesh")
    (box / "project.toml").write_text(PROJECT.replace("minutes = 300\n", ""))
    document = _document(2, box)
    assert [fault["where"] for fault in document["faults"]] == ["parts/lid.stl"]
    assert {each["id"] for each in document["buy"]} == {"sensor", "screws"}
    assert "parts/lid.stl" in capsys.readouterr().err


def test_hours_that_never_meet_are_told(box: Path) -> None:
    """Whoever sleeps while the printer may run cannot start it."""
    (box / "shop.toml").write_text(
        SHOP.replace('hours = "24/7"', 'hours = "Mo-Fr 09:00-12:00"').replace(
            'kit = "medium"', 'kit = "medium"\nhours = "Sa,Su 00:00-24:00"'
        )
    )
    document = _document(2, box)
    assert [fault["code"] for fault in document["faults"]] == ["hours-never-meet"]


def test_people_read_it_as_a_list(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What, how many, by when and for what; then what is easily mixed up, and room for wires."""
    argv = ("missing", box, "--now", NOW.isoformat(), "--cables", "2,2,2,2,2,2")
    assert Started().run(*argv, "--channel", "10x4") == 0
    out = capsys.readouterr().out
    assert "Sensor" in out
    assert "too late" in out
    assert "pin 1 is the square pad" in out
    assert "47 %: too crowded" in out  # six of pi mm2 in 40
    assert "give them 47.1 mm²" in out


def test_channels_of_the_project_are_told_with_their_fill(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A crowded duct stands in the way of being ready; a roomy hole does not."""
    duct = (
        '[[channel]]\nid = "duct"\nname = "Duct"\nwidth_mm = 10\nheight_mm = 4\n'
        "cables_mm = [2, 2, 2, 2, 2, 2]\n"
    )
    hole = '[[channel]]\nid = "hole"\ncables_mm = [2]\nwidth_mm = 5\n'
    (box / "project.toml").write_text(PROJECT.replace("delivery_days = 2\n", "have = 1\n") + hole)
    calm = _document(0, box)
    (box / "project.toml").write_text(PROJECT + hole + duct)
    found = _document(0, box)
    assert [(each["id"], each["fits"]) for each in found["channels"]] == [
        ("hole", True),
        ("duct", False),
    ]
    assert calm["channels"][0]["fill"] == pytest.approx(4 / 25)
    assert not found["ready"]
    assert Started().run("missing", box, "--now", NOW.isoformat()) == 0
    out = capsys.readouterr().out
    assert "- Duct: Wires (6) take 18.8 mm² of 40 mm², 47 %: too crowded" in out
    assert "US National Electrical Code" in out


@pytest.mark.parametrize("argv", [("--cables", "2"), ("--cables", "x", "--channel", "3")])
def test_wires_are_read_with_their_channel(argv: tuple[str, ...], tmp_path: Path) -> None:
    """One without the other, or no number, is a slip of the command line."""
    assert Started().run("missing", tmp_path, *argv) == 2


def test_whether_it_may_begin_stands_first(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is open is counted, with how to tell that it is there; once all is, it is ready."""
    assert Started().run("missing", box, "--now", NOW.isoformat()) == 0
    out = capsys.readouterr().out
    assert "Not ready to begin yet; still to be put right: 2." in out
    assert "fabsched log PROJECT arrive NAME" in out
    (box / "project.toml").write_text(PROJECT.replace("delivery_days = 2\n", "have = 1\n"))
    spool = '[[spool]]\nid = "grey"\nmaterial = "PLA"\nmass_g = 500\n'
    (box / "shop.toml").write_text(SHOP + spool)
    document = _document(0, box)
    assert document["ready"]  # a spare screw is still wanted
    assert [each["id"] for each in document["buy"]] == ["screws"]
    assert Started().run("missing", box, "--now", NOW.isoformat()) == 0
    assert "Ready to begin: nothing stands in the way." in capsys.readouterr().out


def test_what_is_on_its_way_leaves_the_list_when_it_arrives(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The log tells that it comes, and that it has come."""
    told = (box, "--at", NOW.isoformat())
    coming = "2026-10-24T09:00:00+02:00"
    assert Started().run("log", told[0], "delay", "sensor", *told[1:], "--until", coming) == 0
    found = {each["id"]: each for each in _document(0, box)["buy"]}
    assert found["sensor"]["expected"] == coming
    assert not found["sensor"]["too_late"]
    assert found["screws"]["expected"] is None
    capsys.readouterr()
    assert Started().run("missing", box, "--now", NOW.isoformat()) == 0
    assert "- On its way, here Saturday 09:00: 1 \u00d7 Sensor." in capsys.readouterr().out
    assert Started().run("log", told[0], "arrive", "sensor", *told[1:]) == 0
    assert "sensor" not in {each["id"] for each in _document(0, box)["buy"]}


def test_a_machine_that_is_closed_till_the_deadline_stands_in_the_way(box: Path) -> None:
    """Its hours come, but too late: nothing is unreadable, and it is not ready all the same."""
    late = 'kit = "medium"\nhours = "2026 Oct 26-2026 Oct 27 00:00-24:00"'
    (box / "shop.toml").write_text(SHOP.replace('kit = "medium"', late))
    document = _document(0, box)
    assert "machine" in {each["code"] for each in document["obstacles"]}
    assert not document["ready"]
