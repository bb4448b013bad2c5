"""Advice on the command line: with the command that carries it out, and the one that takes it back."""

import json
from pathlib import Path

import pytest

from fabsched.advise.counsel import Advice, Counsel, Early, Need, TakeOut, WithCoupon
from fabsched.cli.advice_text import advice_documents, commands, print_advice
from fabsched.model.errors import Fact
from fabsched.model.project import Part
from fabsched.session.bench import Bench
from tests.cli.made import Started
from tests.cli.test_coupon_verb import PROJECT, box

__all__ = ["box"]
PAINT = '[[work]]\nid = "paint"\nminutes = 30\nneeded = false\n'


def told(action: TakeOut | Need | Early | WithCoupon | None, subject: str = "paint") -> Advice:
    """Advice that wins a tenth."""
    facts: dict[str, Fact] = {"what": subject.title(), "seconds": 600.0}
    return Advice(
        code=Counsel.DROP, subject=subject, facts=facts, on_time=0.8, gain=0.1, action=action
    )


@pytest.fixture
def painted(box: Path) -> Path:
    """The lid, and paint that nobody needs."""
    (box / "project.toml").write_text(PROJECT + PAINT)
    return box


def test_what_is_dropped_comes_back(painted: Path) -> None:
    """Carried out, the log has dropped the paint; taken back, it has not."""
    do, undo = commands(told(TakeOut(items=("paint",))), Bench.open(painted))
    assert Started().run(*do[1:]) == 0
    assert Bench.open(painted).log.state.dropped == {"paint"}
    assert Started().run(*undo[1:]) == 0
    assert not Bench.open(painted).log.state.dropped


def test_a_coupon_is_taken_out_again(painted: Path) -> None:
    """The commands are those that put it in and take it out; the project ends as it began."""
    before = Bench.open(painted).project
    part = Part(id="lid-pin-coupon", name="Coupon", file="parts/c.stl", needed=False)
    action = WithCoupon(part="lid", coupon=part, look=None)
    do, undo = commands(told(action, "lid"), Bench.open(painted))
    assert Started().run(*do[1:]) == 0
    assert [each.id for each in Bench.open(painted).project.parts] == ["lid", "lid-pin-coupon"]
    assert Started().run(*undo[1:]) == 0
    assert Bench.open(painted).project == before


def test_a_gate_is_always_looked_at_and_left_to_the_planner_again(
    painted: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Carried out, the early look is needed; taken back, the file is what it was to the byte."""
    file = painted / "project.toml"
    early = '[[gate]]\nid = "early"\nminutes = 5\nneeded = false\nchance = 0.3\neases = "try"\n'
    file.write_text(PROJECT + early)
    do, undo = commands(told(Need(item="early"), "early"), Bench.open(painted))
    assert Started().run(*do[1:], "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"item": "early", "what": "Early", "always": True}
    assert [gate.needed for gate in Bench.open(painted).project.gates] == [True, True]
    assert Started().run(*undo[1:]) == 0
    assert file.read_text() == PROJECT + early
    capsys.readouterr()
    assert Started().run("need", painted, "late", "--always") == 2
    assert "early" in capsys.readouterr().err


def test_work_is_let_be_done_early_and_has_to_wait_again(
    painted: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Carried out, it may be done before; taken back, it may not; parts have no such word."""
    before = Bench.open(painted).project
    do, undo = commands(told(Early(item="paint")), Bench.open(painted))
    assert Started().run(*do[1:], "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"item": "paint", "what": "Paint", "early": True}
    assert [work.early for work in Bench.open(painted).project.works] == [True]
    assert Started().run(*undo[1:]) == 0
    assert "Waits for the weekend" in capsys.readouterr().out
    assert Bench.open(painted).project == before
    assert Started().run("need", painted, "lid", "--early") == 2
    assert "paint" in capsys.readouterr().err


def test_both_stand_under_the_sentence(painted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In words under the advice that has them, as lists of words in the document."""
    bench = Bench.open(painted)
    advice = (told(TakeOut(items=("paint",))), told(None))
    print_advice(advice, bench)
    out = capsys.readouterr().out
    assert f"do it: fabsched log {painted} drop paint; take it back: fabsched log" in out
    assert out.count("do it:") == 1
    first, second = advice_documents(advice, bench)
    assert first["command"] == ["fabsched", "log", str(painted), "drop", "paint"]
    assert first["undo"] == ["fabsched", "log", str(painted), "undo"]
    assert (second["command"], second["undo"]) == (None, None)
