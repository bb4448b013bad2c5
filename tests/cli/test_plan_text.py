"""A plan in words and as a document, from a plan made by hand."""

import json
from dataclasses import replace

import pytest

from fabsched.cli.documents import cautions, plan_document
from fabsched.cli.plan_text import last_text, missed_text, print_plan, spare_line
from fabsched.model.units import HOUR_S
from fabsched.model.windows import NEVER
from tests.cli.made import NOW_S, answer, crewed, weekend

BLOCK_KEYS = {
    "id",
    "kind",
    "what",
    "resource",
    "place",
    "start",
    "end",
    "attended",
    "needs",
    "reason",
    "last_start",
    "last_start_cost",
}


def test_the_document_keeps_the_contract() -> None:
    """Every key of the contract is there, times with offset, durations in seconds."""
    document = plan_document(weekend(), answer(), (), now_s=NOW_S)
    assert document["now"] == "2026-10-23T18:00:00+02:00"
    assert document["deadline"] == "2026-10-24T18:00:00+02:00"
    assert document["finish"] == "2026-10-23T20:15:00+02:00"
    assert document["spare_s"] == 24 * HOUR_S - 8100
    assert document["odds"]["on_time"] == 0.87
    assert document["odds"]["scenarios"] == 1000
    assert document["odds"]["finish"] == {
        "p10": "2026-10-23T20:13:20+02:00",
        "p50": "2026-10-23T20:15:00+02:00",
        "p90": None,
    }
    assert [set(block) >= BLOCK_KEYS for block in document["blocks"]] == [True] * 3
    assert document["blocks"][1]["reason"] == "waits for Lid to finish"
    assert document["solver"] == {"status": "optimal", "bound_s": 8100, "gap": 0.0}
    (run,) = document["runs"]
    assert (run["machine"], run["start"]) == ("printer", "2026-10-23T18:10:00+02:00")
    assert run["parts"] == [{"part": "lid", "copies": 2}]
    assert {"code", "text"} <= set(document["advice"][0])
    assert json.loads(json.dumps(document)) == document


def test_a_finish_that_never_comes_is_null() -> None:
    """Neither a finish nor spare time is made up."""
    document = plan_document(weekend(), answer(finish_s=NEVER), (), now_s=NOW_S)
    assert (document["finish"], document["spare_s"]) == (None, None)


def test_cautions_suit_the_plan() -> None:
    """A print alone is cautioned about; a laser only where there is one."""
    assert cautions(answer()) == ("unattended", "fumes")


def test_people_read_odds_blocks_and_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    """The sentence comes first, then a line for each block, then what to beware of."""
    print_plan("Box", weekend(), answer(), ())
    out = capsys.readouterr().out
    assert out.startswith(
        "Box\nYou will very likely be done: 87 in 100 simulated weekends are done by "
        "Saturday 18:00.\n"
    )
    assert "Half of all are done by Friday 20:15; one in ten not within" in out
    assert "If all goes as expected, it is done Friday 20:15, with 21 h 45 min to spare." in out
    assert "Friday 23 October 2026" in out
    assert "waits for Lid to finish" in out
    assert "smoke alarm" in out
    assert max(map(len, out.splitlines())) <= 160


def test_common_work_names_all_who_do_it(capsys: pytest.CaptureFixture[str]) -> None:
    """People read with whom; programs find the ids."""
    week, told = crewed()
    print_plan("Box", week, told, ())
    out = capsys.readouterr().out
    assert "Ada, with Bo" in out
    assert "Bo, with Ada" in out
    blocks = plan_document(week, told, (), now_s=NOW_S)["blocks"]
    assert {tuple(b["others"]) for b in blocks if b["activity"] == "lift"} == {("ada",), ("bo",)}
    assert all(b["others"] == [] for b in blocks if b["activity"] != "lift")


def test_names_are_shown_as_they_are(capsys: pytest.CaptureFixture[str]) -> None:
    """Brackets and colons in a name are text, never a style, a picture or a crash."""
    odd = "[/b] :bomb: [red]x"
    (run,) = weekend().activities
    course = answer().course
    blocks = tuple(replace(block, what=odd) for block in course.blocks)
    print_plan(
        odd,
        replace(weekend(), activities=(replace(run, name=odd),)),
        replace(answer(), course=replace(course, blocks=blocks)),
        (),
    )
    assert capsys.readouterr().out.count(odd) == 1 + len(blocks)


def test_a_certain_plan_says_when_most_are_done(capsys: pytest.CaptureFixture[str]) -> None:
    """Where nine in ten are done within the time looked at, that moment is told."""
    print_plan("Box", weekend(), answer(on_time=0.99), ())
    out = capsys.readouterr().out
    assert "nine in ten by Friday 23:34" in out
    assert "less than" not in out


def test_less_than_wanted_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Odds below the wanted ones are told as such."""
    print_plan("Box", weekend(), answer(on_time=0.5), ())
    assert "That is less than the 80 in 100 you want." in capsys.readouterr().out


def test_no_moment_is_said_to_be_over_before_it_is() -> None:
    """Odd seconds make a finish later and what is spare shorter, never the other way round."""
    late = missed_text(weekend(deadline_h=2), answer(finish_s=NOW_S + 2 * HOUR_S + 20))
    assert "the best is done Friday 20:01, 1 min too late" in late
    line = spare_line(weekend(deadline_h=2), answer(finish_s=NOW_S + 2 * HOUR_S - 80))
    assert "it is done Friday 19:59, with 1 min to spare" in line


def test_a_day_far_ahead_is_told_with_its_date() -> None:
    """The name of a day alone would mean the next one of that name."""
    late = missed_text(weekend(deadline_h=24), answer(finish_s=NOW_S + 7 * 24 * HOUR_S))
    assert "meets the deadline Saturday 18:00: the best is done Friday 30 October 17:00" in late


def test_a_latest_start_far_ahead_is_told_with_its_date(capsys: pytest.CaptureFixture[str]) -> None:
    """On another day it names the day, in another week the date."""
    (start, lid, clear) = answer().course.blocks
    start = replace(start, last_start_s=NOW_S + 24 * HOUR_S)
    lid = replace(lid, last_start_s=NOW_S + 8 * 24 * HOUR_S)
    course = replace(answer().course, blocks=(start, lid, clear))
    print_plan("Box", weekend(), replace(answer(), course=course), ())
    out = capsys.readouterr().out
    assert "Sat 18:00" in out
    assert "Sat 31 Oct 17:00" in out


def test_the_hour_that_comes_twice_is_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    """On the night the clocks go back, moments in that hour name the time that holds."""
    later_s = NOW_S + 32 * HOUR_S  # 02:00 on Sunday, summer time
    (start, lid, clear) = answer().course.blocks
    lid = replace(lid, start_s=later_s, end_s=later_s + HOUR_S)
    course = replace(answer().course, blocks=(start, lid, clear))
    print_plan("Box", weekend(), replace(answer(), course=course), ())
    assert "02:00 CEST   02:00 CET" in capsys.readouterr().out


def test_a_missed_deadline_is_told_by_how_much() -> None:
    """By how much, when it is done instead, and what chance is left; a met one is not mentioned."""
    assert missed_text(weekend(), answer()) == ""
    late = missed_text(weekend(deadline_h=2), answer(on_time=0.1))
    assert late == (
        "no plan was found that meets the deadline Friday 20:00: the best is done Friday 20:15, "
        "15 min too late, if all goes as expected; 10 in 100 simulated weekends are done in time"
    )
    never = missed_text(weekend(), answer(finish_s=NEVER, on_time=0.0))
    assert "even 15 days later the best is not done; 0 in 100 simulated weekends" in never


def test_what_at_the_latest_means_below_the_wanted_odds() -> None:
    """The points that starting last may cost are told; that there is no last start, too."""
    usual = answer()
    first, *rest = usual.course.blocks
    dear = replace(first, last_start_s=NOW_S + 24 * HOUR_S, last_cost=0.02)
    risky = replace(usual, course=replace(usual.course, blocks=(dear, *rest)))
    assert "costs more than 2 points of the chance" in last_text(risky)
    hopeless = replace(usual, odds=replace(usual.odds, on_time=0.0))
    assert "no simulated weekend is done in time" in last_text(hopeless)
    assert not last_text(usual)


def test_what_is_done_is_told_instead_of_odds(capsys: pytest.CaptureFixture[str]) -> None:
    """When it was done and how long before the deadline; one that came too late is missed still."""
    done = answer()
    done = replace(done, odds=replace(done.odds, done_s=NOW_S))
    print_plan("Box", weekend(), done, ())
    told = capsys.readouterr().out
    assert "Everything needed is done since Friday 18:00, 1 d before the deadline." in told
    assert "simulated weekends" not in told
    assert not missed_text(weekend(), done)
    late = replace(done, course=replace(done.course, finish_s=NOW_S))
    assert "after the deadline" in missed_text(weekend(deadline_h=-1), late)
