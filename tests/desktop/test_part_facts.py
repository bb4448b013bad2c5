"""What the window tells of a part."""

from dataclasses import replace
from pathlib import Path

from fabsched.desktop.part_facts import facts_of
from fabsched.model.estimates import Warp, WarpLevel
from tests.logged_runs import log_runs
from tests.session import made


def test_what_the_log_taught_is_told(tmp_path: Path) -> None:
    """How many runs a time rests on, and what they made of it; nothing where nothing was logged."""
    session = made.estimated(made.session_of(tmp_path, "lid.stl"))
    (part,) = session.project.parts
    assert "logged runs" not in facts_of(session, part)
    log_runs(10, 1.4)
    again = made.estimated(made.reopened(session))
    assert "10 logged runs (1.39 times what was computed)" in facts_of(again, part)


def test_what_makes_it_fail_more_often_is_told(tmp_path: Path) -> None:
    """By how much, why, and that the factor is assumed; nothing of a part that has no such cause."""
    session = made.session_of(tmp_path, "lid.stl")
    (part,) = session.project.parts
    (request,) = session.estimate_requests()
    plain = made.response_to(request)
    warp = Warp(level=WarpLevel.HIGH, span_mm=150, contact_mm2=900, thickness_mm=4, corners=4)
    curling = {
        machine: replace(each, warp=warp, contact_mm2=900.0, height_mm=10.0)
        for machine, each in plain.estimates.items()
    }
    assert session.accept(replace(plain, estimates=curling))
    told = facts_of(session, part)
    assert "2.5 times as often as others (may curl off the bed; factor assumed)" in told
    other = made.estimated(made.session_of(tmp_path / "other", "lid.stl"))
    assert "times as often" not in facts_of(other, other.project.parts[0])
