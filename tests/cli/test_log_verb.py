"""`fabsched log` and `fabsched replan`: what happened, and what becomes of the rest."""

import json
import math
import shlex
from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import trimesh

from fabsched.files.experience_sqlite import default_file
from fabsched.files.stl import write_stl
from tests.advise.bodies import bracket
from tests.cli.made import NOW, Started, cube
from tests.cli.test_plan_verb import SHOP
from tests.estimate.bodies import box as solid

HOURS = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Plans and estimates of a test stay its own."""
    monkeypatch.setattr(
        "fabsched.session.project_session.default_folder", lambda: tmp_path / "cache" / "estimates"
    )


@pytest.fixture
def box(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A project with one printed cube and something to solder."""
    deadline = (NOW + 48 * HOURS).isoformat()
    lid = cube(tmp_path / "lid.stl")
    assert Started().run("new", tmp_path / "box", lid, "--deadline", deadline) == 0
    with (tmp_path / "box" / "project.toml").open("a") as file:
        file.write('\n[[work]]\nid = "solder"\nname = "Solder"\nminutes = [30, 60, 90]\n')
    capsys.readouterr()
    return tmp_path / "box"


def after(hours: float) -> datetime:
    """So long after the beginning."""
    return NOW + hours * HOURS


def moment(text: str) -> datetime:
    """A moment out of a document."""
    return datetime.fromisoformat(text)


def document(capsys: pytest.CaptureFixture[str]) -> Mapping[str, Any]:
    """What was printed on stdout: exactly one JSON document."""
    found: Mapping[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_what_is_told_is_listed(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each entry with its moment, what it means, and what the maker makes of it."""
    started = Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert "Lid: started" in capsys.readouterr().out
    told = ("fail", "lid", "--why", "came loose", "--share", "0.5")
    assert started.run("log", box, *told, "--json", now=after(2)) == 0
    (entry,) = document(capsys)["told"]
    assert entry["kind"] == "failed"
    assert moment(entry["at"]) == after(2)
    assert entry["items"] == [{"id": "lid", "copies": 1}]
    assert (entry["share"], entry["why"], entry["holds"]) == (0.5, "came loose", True)
    assert started.run("log", box) == 0
    listed = capsys.readouterr().out
    assert "Lid: failed (50 % of the way)" in listed
    assert "came loose" in listed


def test_who_did_it_together_is_told(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Work for two, by those who are named; the list names them, and a correction changes them."""
    people = "".join(
        f'[[person]]\nid = "{name.lower()}"\nname = "{name}"\nhours = "Mo-Su 00:00-24:00"\n'
        f'base = "home"\n'
        for name in ("Ada", "Bo", "Cy")
    )
    before, _, rest = SHOP.partition("[[person]]")
    (box / "shop.toml").write_text(f"{before}{people}{rest[rest.index('[[') :]}")
    with (box / "project.toml").open("a") as file:
        file.write('\n[[work]]\nid = "lift"\nname = "Lift"\nminutes = [30, 60, 90]\n')
        file.write("people_needed = 2\n")
    started = Started()
    told = ("start", "lift", "--by", "ada", "--with", "Bo")
    assert started.run("log", box, *told, "--json", now=after(1)) == 0
    (entry,) = document(capsys)["told"]
    assert (entry["person"], entry["helpers"]) == ("ada", ["bo"])
    assert started.run("log", box, "correct", str(entry["id"]), "--with", "cy", now=after(2)) == 0
    assert "Lift (Ada, Cy): started" in capsys.readouterr().out
    assert started.run("log", box) == 0
    assert "Lift (Ada, Bo): started" in capsys.readouterr().out


def test_what_was_never_told_to_have_begun_is_said(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It counts as done, and one line says what it does not teach; none where the start was told."""
    assert Started().run("log", box, "finish", "solder", now=after(1)) == 0
    assert "teaches no time" in capsys.readouterr().err
    assert Started().run("log", box, "start", "lid", now=after(1)) == 0
    assert Started().run("log", box, "finish", "lid", now=after(2)) == 0
    assert "teaches no time" not in capsys.readouterr().err


def test_nothing_told_is_an_empty_list(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Listing makes no file."""
    assert Started().run("log", box, "--json") == 0
    assert document(capsys) == {"told": None, "entries": []}
    assert Started().run("log", box) == 0
    assert "Nothing was told yet." in capsys.readouterr().out
    assert not (box / "log.sqlite").exists()


def test_undo_and_redo(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last thing told is taken back and brought back, across calls."""
    started = Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert started.run("log", box, "undo", now=after(1.1)) == 0
    assert "no longer holds" in capsys.readouterr().out
    assert started.run("log", box, "undo", now=after(1.2)) == 2
    assert started.run("log", box, "redo", now=after(1.3)) == 0
    assert started.run("log", box, "redo", now=after(1.4)) == 2
    capsys.readouterr()
    assert started.run("log", box, "--json") == 0
    assert [e["holds"] for e in document(capsys)["entries"] if e["kind"] == "started"] == [True]


def _figures(lid: Path, capsys: pytest.CaptureFixture[str]) -> Mapping[str, Any]:
    capsys.readouterr()
    assert Started().run("estimate", lid, "--json") == 0
    part: Mapping[str, Any] = document(capsys)["parts"][0]
    return part


def _width(figures: Mapping[str, Any]) -> float:
    return math.log(figures["time_s"]["p90"] / figures["time_s"]["p10"])


@pytest.mark.parametrize("planned", [False, True])
def test_what_is_told_moves_the_next_estimate(
    box: Path, capsys: pytest.CaptureFixture[str], planned: bool
) -> None:
    """Ten prints 40 % late: the next estimate is within 5 % of 1.4 and its range is narrower.

    A time told by a plan of before holds nothing learnt, those told later hold ever more: neither
    teaches the same lesson twice.
    """
    lid, began, started = box.parent / "lid.stl", NOW, Started()
    before = _figures(lid, capsys)
    takes = timedelta(seconds=1.4 * before["time_s"]["p50"])
    if planned:
        assert started.run("plan", box, "--json") == 0
    for _ in range(10):
        assert started.run("log", box, "start", "lid", now=began) == 0
        assert started.run("log", box, "finish", "lid", now=began + takes) == 0
        began += takes + timedelta(minutes=10)
    after = _figures(lid, capsys)
    assert after["known_prints"] == 10
    assert after["time_s"]["p50"] / before["time_s"]["p50"] == pytest.approx(1.4, rel=0.05)
    assert _width(after) < 0.5 * _width(before)
    assert sum(after["breakdown_s"].values()) == pytest.approx(after["time_s"]["p50"])


def test_what_is_taken_back_is_unlearnt(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A run that did not happen after all teaches nothing, and teaches again once it did."""
    lid, started = box.parent / "lid.stl", Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert started.run("log", box, "finish", "lid", now=after(2)) == 0
    assert _figures(lid, capsys)["known_prints"] == 1
    assert started.run("log", box, "undo", now=after(2)) == 0
    assert _figures(lid, capsys)["known_prints"] == 0
    assert started.run("log", box, "redo", now=after(2)) == 0
    assert _figures(lid, capsys)["known_prints"] == 1


def test_a_damaged_memory_stops_no_log(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was learnt is damaged: one line says so, it is made anew, and what happened is written."""
    assert Started().run("log", box, "start", "lid", now=after(1)) == 0
    assert Started().run("log", box, "finish", "lid", now=after(2)) == 0
    default_file().write_bytes(b"no database at all " * 99)
    capsys.readouterr()
    assert Started().run("log", box, "clear", "lid", now=after(2)) == 0
    said = capsys.readouterr()
    assert "taken off" in said.out
    (line,) = [line for line in said.err.splitlines() if "damaged" in line]
    assert "experience.damaged-1.sqlite" in line
    assert _figures(box.parent / "lid.stl", capsys)["known_prints"] == 1


def test_a_memory_that_cannot_be_written_stops_no_log(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file stands where the folder should be: one line says so, and what happened is written."""
    default_file().parent.parent.mkdir(parents=True, exist_ok=True)
    default_file().parent.write_text("in the way")
    assert Started().run("log", box, "start", "lid", now=after(1)) == 0
    assert Started().run("log", box, "finish", "lid", now=after(2)) == 0
    said = capsys.readouterr()
    assert "Lid: finished" in said.out
    assert "cannot be written" in said.err


def test_corrected_times(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An entry with another moment stands for the wrong one; both can be read."""
    started = Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    capsys.readouterr()
    assert started.run("log", box, "--json") == 0
    (entry,) = (e for e in document(capsys)["entries"] if e["kind"] == "started")
    at = ("--at", after(0.5).isoformat())
    assert started.run("log", box, "correct", str(entry["id"]), *at, now=after(2)) == 0
    capsys.readouterr()
    assert started.run("log", box, "--json") == 0
    both = [e for e in document(capsys)["entries"] if e["kind"] == "started"]
    assert [e["holds"] for e in both] == [False, True]
    assert moment(both[1]["at"]) == after(0.5)


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (("start", "lit"), "lit"),
        (("start",), "BLOCK"),
        (("begin", "lid"), "begin"),
        (("start", "lid", "--at", "yesterday"), "--at"),
        (("start", "lid", "--at", "2030-01-01T00:00"), "not come yet"),
        (("fail", "lid", "--share", "2"), "--share"),
        (("delay", "lid"), "--until"),
        (("lose", "oven", "--until", "2030-01-01T00:00"), "oven"),
        (("withdraw", "7"), "7"),
        (("correct", "seven", "--why", "so"), "seven"),
        (("choose", "again"), "nothing to choose"),
        (("undo",), "log.sqlite"),
    ],
)
def test_what_makes_no_sense_is_one_line(
    box: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], word: str
) -> None:
    """The input is at fault: exit code 2, one line that says what, one document if asked for."""
    assert Started().run("log", box, *arguments) == 2
    said = capsys.readouterr()
    assert word in said.err
    assert len(said.err.strip().splitlines()) == 1
    assert Started().run("log", box, *arguments, "--json") == 2
    assert "error" in document(capsys)


def test_the_log_of_no_project(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder without a project is refused as by every verb."""
    assert Started().run("log", tmp_path) == 2
    assert Started().run("replan", tmp_path) == 2
    assert len(capsys.readouterr().err.strip().splitlines()) == 2


def test_replan_before_anything_has_happened_is_a_plan(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same document as a plan, with no changes and nothing to choose."""
    assert Started().run("replan", box, "--json") == 0
    found = document(capsys)
    assert found["changes"] == found["options"] == found["done"] == []
    assert {"odds", "blocks", "order", "chain", "moves_most", "isolated"} <= found.keys()
    assert all({"reason", "then", "window"} <= block.keys() for block in found["blocks"])


def test_a_failure_is_one_look_and_one_line(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Plan, a failed print, the rest with its choices; one is taken, and taken back."""
    started = Started()
    assert started.run("plan", box) == 0
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert started.run("log", box, "fail", "lid", now=after(1.1)) == 0
    told = capsys.readouterr().err
    assert f"goes by the clock; if it was otherwise: fabsched log {box} correct 3 --share" in told
    assert started.run("replan", box, "--json", now=after(1.2)) == 0
    found = document(capsys)
    assert found["failed"] == "lid"
    assert all(moment(block["start"]) >= after(1.2) for block in found["blocks"])
    options = {option["id"]: option for option in found["options"]}
    assert {"again", "slower", "repair", "drop"} <= options.keys()
    assert options["again"]["odds"]["scenarios"] > 0
    assert options["again"]["mass_g"] > options["drop"]["mass_g"] == 0
    told_later = ("choose", "drop", "--at", after(1.25).isoformat())
    assert started.run("log", box, *told_later, now=after(1.2)) == 2
    assert "has not come yet" in capsys.readouterr().err
    assert started.run("log", box, *told_later, now=after(1.3)) == 0
    assert "chosen: Leave Lid out" in capsys.readouterr().out
    assert started.run("replan", box, "--json", now=after(1.4)) == 0
    chosen = document(capsys)
    assert chosen["options"] == []
    assert "lid" not in chosen["order"]
    assert started.run("log", box, "undo", now=after(1.5)) == 0
    capsys.readouterr()
    assert started.run("replan", box, now=after(1.6)) == 0
    said = capsys.readouterr()
    assert "What can be done about it" in said.out
    assert "choose CHOICE" in said.err
    assert "fabsched compare" not in said.err  # a cube has no plates
    assert "are gone whichever you choose" in said.out


def test_plates_and_pieces_are_a_choice_with_its_command(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A bracket that failed may be cut and printed in pieces: planned for the rest, taken by what is told."""
    write_stl(box / "parts" / "lid.stl", bracket())
    started = Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert started.run("log", box, "fail", "lid", now=after(2)) == 0
    capsys.readouterr()
    assert started.run("replan", box, "--json", now=after(2.1)) == 0
    *others, option = document(capsys)["options"]
    assert (option["id"], option["part"]) == (None, "lid")
    assert {other["plates"] for other in others} == {None}
    scenarios = {other["odds"]["scenarios"] for other in others}
    assert scenarios == {option["odds"]["scenarios"]}
    assert option["sheets"]
    assert moment(option["finish"]) > after(2.1)
    assert option["mass_g"] < others[0]["mass_g"]
    assert started.run("replan", box, now=after(2.1)) == 0
    said = capsys.readouterr()
    assert "Of cut plates and printed pieces" in said.out
    told = next(line for line in said.err.splitlines() if line.startswith("take it with: "))
    name, *words = shlex.split(told.removeprefix("take it with: "))
    plates = ",".join(map(str, option["plates"]))
    assert (name, words) == (
        "fabsched",
        ["compare", str(box), "lid", "--plates", plates, "--take"],
    )
    assert f"fabsched compare {box} lid" in said.err.splitlines()[-1]
    assert started.run(*words, now=after(2.2)) == 0
    capsys.readouterr()
    assert started.run("replan", box, "--json", now=after(2.3)) == 0
    found = document(capsys)
    assert found["failed"] is None
    assert found["odds"]["on_time"] == pytest.approx(option["odds"]["on_time"], abs=0.05)


def test_another_pose_is_taken_by_its_name(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A tower that failed may lie down: the choice names the turn, and is taken and taken back by it."""
    write_stl(box / "parts" / "lid.stl", solid(12, 40, 90))
    started = Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert started.run("log", box, "fail", "lid", now=after(2)) == 0
    capsys.readouterr()
    assert started.run("replan", box, "--json", now=after(2.1)) == 0
    found = document(capsys)
    options = {option["id"]: option for option in found["options"]}
    (name, *_) = (ident for ident in options if ident.startswith("pose:lid:"))
    assert options[name]["size_mm"][2] == pytest.approx(12)
    assert options[name]["machine_s"] < options["again"]["machine_s"]
    assert started.run("log", box, "choose", "pose:lid:1,2,3", now=after(2.2)) == 2
    assert name in capsys.readouterr().err
    assert started.run("log", box, "choose", name, now=after(2.2)) == 0
    assert started.run("export", box, "--to", tmp_path / "out", now=after(2.3)) == 0
    assert _height_mm(tmp_path / "out" / "beds" / "lid.stl") == pytest.approx(12)
    assert started.run("log", box, "undo", now=after(2.4)) == 0
    assert started.run("export", box, "--to", tmp_path / "back", now=after(2.5)) == 0
    assert _height_mm(tmp_path / "back" / "beds" / "lid.stl") == pytest.approx(90)


def _height_mm(bed: Path) -> float:
    """That of a bed put out, as another library reads it."""
    return float(trimesh.load(bed).extents[2])


def test_too_late_is_planned_and_said(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After the deadline there is still a plan, and exit code 3."""
    started = Started()
    assert started.run("log", box, "start", "solder", now=after(1)) == 0
    capsys.readouterr()
    assert started.run("replan", box, "--json", now=after(50)) == 3
    assert document(capsys)["odds"]["on_time"] == 0


def test_a_damaged_log_is_told_and_gone_on_with(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is kept under another name, and the project opens."""
    (box / "log.sqlite").write_bytes(b"no database " * 200)
    assert Started().run("log", box, "start", "lid", now=after(1)) == 0
    assert "log.damaged-1.sqlite" in capsys.readouterr().err
    assert (box / "log.damaged-1.sqlite").exists()


def test_what_is_told_bears_the_names_shown(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Machines and work are listed as the maker calls them, and days long past with their date."""
    started = Started()
    until = after(9).isoformat()
    assert started.run("log", box, "lose", "printer", "--until", until, now=after(1)) == 0
    assert "Printer: not to be had" in capsys.readouterr().out
    long_ago = (NOW - 240 * HOURS).isoformat()
    assert started.run("log", box, "start", "solder", "--at", long_ago, now=after(1)) == 0
    assert "Tuesday 13 October 16:00: Solder" in capsys.readouterr().out


def test_a_correction_keeps_the_moment_unless_told(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """To say why it failed does not move when it failed; to correct nothing is refused."""
    started = Started()
    assert started.run("log", box, "start", "lid", now=after(1)) == 0
    assert started.run("log", box, "correct", "1", now=after(2)) == 2
    capsys.readouterr()
    assert started.run("log", box, "correct", "1", "--why", "in haste", "--json", now=after(2)) == 0
    (entry,) = document(capsys)["told"]
    assert (moment(entry["at"]), entry["why"]) == (after(1), "in haste")


def test_what_was_learnt_can_be_asked_for(box: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Before anything is finished it says so; afterwards, what was foretold against what happened."""
    started = Started()
    assert started.run("log", box, "learnt") == 0
    out = capsys.readouterr().out
    assert "Nothing has been learnt yet" in out
    assert "Nothing that was foretold has been finished yet" in out
    assert started.run("plan", box) in {0, 3}
    for told, hours in (("start", 1), ("finish", 2)):
        assert started.run("log", box, told, "solder", now=after(hours)) == 0
    capsys.readouterr()
    assert started.run("log", box, "learnt", "--json", now=after(100)) == 0
    found = document(capsys)
    assert [pace["kind"] for pace in found["learnt"]["work"]] == [None, "work"]
    (times,) = found["calibration"]["times"]
    assert (times["of"], times["count"], times["verdict"]) == ("work", 1, "few")
    assert times["inside_p10_p90"] == 1
    odds = found["calibration"]["odds"]
    assert (odds["count"], odds["in_time"], odds["few"]) == (1, 0, True)
    assert odds["brier"] == pytest.approx(odds["told"] ** 2)
    assert started.run("log", box, "learnt", now=after(100)) == 0
    assert "Resting on 1, this says hardly anything yet." in capsys.readouterr().out


def test_what_was_learnt_of_a_kind_of_work_is_unlearnt_and_learnt_again(
    box: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It stays unlearnt when the log is read again, a second time there is nothing, and it comes back."""
    started = Started()
    assert started.run("plan", box) in {0, 3}
    for told, hours in (("start", 1), ("finish", 2)):
        assert started.run("log", box, told, "solder", now=after(hours)) == 0
    capsys.readouterr()
    assert started.run("log", box, "learnt", "--json", now=after(3)) == 0
    known = document(capsys)
    assert started.run("log", box, "unlearn", "work", "--json", now=after(3)) == 0
    off = document(capsys)
    assert (known["learnt"]["work"] != [], off["learnt"]["work"]) == (True, [])
    assert started.run("log", box, "learnt", "--json", now=after(4)) == 0
    assert document(capsys)["learnt"] == off["learnt"]
    assert started.run("log", box, "unlearn", "work", now=after(4)) == 2
    assert "nothing to unlearn of 'work'" in capsys.readouterr().err
    assert started.run("log", box, "relearn", "work", "--json", now=after(4)) == 0
    assert document(capsys)["learnt"] == known["learnt"]


def test_replan_tells_what_would_win_most(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Under way and short of time, the advice of the page stands under the plan, the best first."""
    deadline, folder = (NOW + 25 * HOURS).isoformat(), tmp_path / "box"
    started = Started()
    assert started.run("new", folder, cube(tmp_path / "lid.stl"), "--deadline", deadline) == 0
    with (folder / "project.toml").open("a") as file:
        for ident, minutes in (("solder", 30), ("code", 200), ("paint", 160)):
            file.write(f'\n[[work]]\nid = "{ident}"\nminutes = [{minutes}, {minutes}, 300]\n')
    assert started.run("log", folder, "start", "lid", now=after(0.1)) == 0
    capsys.readouterr()
    assert started.run("replan", folder, "--json", now=after(0.2)) in {0, 3}
    told = [each for each in document(capsys)["advice"] if "gain" in each]
    gains = [each["gain"] for each in told]
    assert {each["code"] for each in told} >= {"drop-needed"}
    assert gains == sorted(gains, reverse=True)
    assert all(each["text"] for each in told)
    started.run("replan", folder, now=after(0.2))
    out = capsys.readouterr().out
    assert "What decides the finish" in out
    title = out.index("What would win most")
    assert told[0]["text"][:30] in out[title:]
    assert out[title:].count("\n") <= 5
