"""What the window says."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.words import (
    block_text,
    cautions,
    error_text,
    field_text,
    half_text,
    next_text,
    odds_text,
    outlook_text,
    refusal_text,
    spare_text,
)
from fabsched.model.errors import Fault, InputError, WorkerLost
from fabsched.model.plan import Kind
from fabsched.model.windows import NEVER
from tests.desktop import made

ODDS = made.answer().odds


def test_the_odds_are_told_in_words_with_their_numbers() -> None:
    """A chance in words, a share, the deadline, and by when half and nine in ten are done."""
    assert odds_text(ODDS, made.DEADLINE, made.ZONE) == (
        "You will very likely be done: 93 in 100 simulated weekends are done by Sunday 21:00. "
        "Half of all are done by 09:40, nine in ten by 17:30."
    )


def test_another_day_is_named() -> None:
    """A half-way point on another day than the deadline is told with its day."""
    odds = replace(ODDS, p50_s=made.at(14, 22))
    assert "done by Saturday 22:00, nine in ten" in odds_text(odds, made.DEADLINE, made.ZONE)


@pytest.mark.parametrize(
    ("p50", "p90", "text"),
    [
        (None, None, "Half of all are not done within the time looked at."),
        (made.at(15, 12), None, "one in ten not within the time looked at."),
    ],
)
def test_what_is_not_in_sight_is_said_so(p50: int | None, p90: int | None, text: str) -> None:
    """Missing points of the distribution are no numbers, and are told."""
    odds = replace(ODDS, p50_s=p50, p90_s=p90)
    assert odds_text(odds, made.DEADLINE, made.ZONE).endswith(text)


def test_time_to_spare_and_time_missing_are_told() -> None:
    """A finish before the deadline leaves time, one after it is late, one never has no date."""
    answer, weekend = made.answer(), made.weekend()
    assert "1 d 3 h to spare" in spare_text(answer, weekend)
    late = replace(answer, course=replace(answer.course, finish_s=made.DEADLINE + 5400))
    assert "1 h 30 min too late" in spare_text(late, weekend)
    never = replace(answer, course=replace(answer.course, finish_s=NEVER))
    assert "even 1 days later the best is not done" in spare_text(never, weekend)


def test_odds_below_the_wanted_ones_are_told() -> None:
    """With less chance than the maker wants, that comes first."""
    answer, weekend = made.answer(), replace(made.weekend(), wanted_odds=0.95)
    assert spare_text(answer, weekend).startswith("That is less than the 95 in 100 you want.")


def test_a_block_tells_what_when_and_why() -> None:
    """Name, kind, times, length, lane and the reason for its start."""
    shown = scene(made.weekend(), made.answer())
    block = shown.block("bench")
    assert block is not None
    lines = block_text(shown, replace(block, last_start_s=made.at(14, 20))).splitlines()
    assert lines == [
        "Bench test of the wiring",
        "Check: Sat 13:15 \u2013 Sat 13:55, 40 min, Mira",
        "Wire the sensors has to be done first.",
        "Then: Assemble the station.",
        "To stay as sure as you want to be, start it by Sat 20:00.",
    ]


def test_a_block_without_a_last_start_tells_why() -> None:
    """Where no weekend is done in time what is still to do says so; what has happened does not."""
    answer = made.answer()
    shown = scene(made.weekend(), replace(answer, odds=replace(answer.odds, on_time=0.0)))
    block = shown.block("bench")
    assert block is not None
    assert "no simulated weekend is done in time" in block_text(shown, block)
    begun = replace(block, start_s=shown.begin_s - 60)
    assert "no simulated weekend" not in block_text(shown, begun)
    assert "no simulated weekend" not in block_text(scene(made.weekend(), answer), block)


def test_every_block_can_be_told() -> None:
    """No block of the weekend lacks a word; runs tell whether hands stay."""
    shown = scene(made.weekend(), made.answer())
    for block in made.blocks():
        text = block_text(shown, block)
        assert "(" not in text.replace("(6)", "").replace("(4)", "")
        assert ("alone" in text or "stay" in text) is (block.kind is Kind.RUN)


@pytest.mark.parametrize(
    ("ids", "told"),
    [
        ({"plates"}, ("Laser", "Heat and fumes")),
        ({"louvres", "feet"}, ("A print running alone", "Heat and fumes")),
        ({"code#1"}, ("Mains voltage",)),
        (set(), ()),
    ],
)
def test_cautions_follow_from_what_is_planned(ids: set[str], told: tuple[str, ...]) -> None:
    """A cut asks for somebody beside it, a print alone for a smoke alarm, and so on."""
    answer = made.answer()
    blocks = tuple(block for block in answer.course.blocks if block.id in ids)
    found = cautions(replace(answer, course=replace(answer.course, blocks=blocks)))
    assert len(found) == len(told)
    assert all(text.startswith(start) for text, start in zip(found, told, strict=True))


def test_errors_are_told_where_their_cause_is() -> None:
    """With the file where it is not clear which, by its name in the list, without it in its row."""
    error = InputError(Fault.FILE_EMPTY, "/far/away/lid.stl")
    assert error_text(error) == "/far/away/lid.stl: the file is empty; export it again"
    assert refusal_text(error) == "lid.stl: the file is empty; export it again"
    assert field_text([error]) == "The file is empty; export it again"


def test_faults_of_ours_are_owned_up_to() -> None:
    """A lost worker and a bug are told in a sentence, not as a traceback."""
    assert "memory" in error_text(WorkerLost())
    assert refusal_text(ZeroDivisionError("x")).startswith("Sorry, this is a fault in fabsched")


def test_zones_matter() -> None:
    """The same odds are told in the zone they are asked for in."""
    text = odds_text(ODDS, made.DEADLINE, ZoneInfo("UTC"))
    assert "Sunday 20:00" in text
    assert "by 08:40" in text


def test_what_is_done_days_after_the_deadline_is_told_with_its_date() -> None:
    """`Friday` alone would be taken for the one before the deadline."""
    odds = replace(made.answer().odds, p50_s=made.DEADLINE, p90_s=made.DEADLINE + 5 * 86_400)
    text = half_text(odds, made.DEADLINE, made.ZONE)
    assert "Friday 20 March 21:00" in text
    assert "15 March" not in text


@pytest.mark.parametrize(("early_h", "side"), [(3, "3 h before"), (-2, "2 h after")])
def test_what_is_done_is_told_with_its_moment_instead_of_odds(early_h: int, side: str) -> None:
    """Then no chance is told, nothing is missed, and what is left is optional."""
    answer, weekend = made.answer(), made.weekend()
    odds = replace(answer.odds, done_s=made.DEADLINE - early_h * 3600)
    done = replace(answer, odds=odds)
    text = outlook_text(done, weekend)
    assert text.startswith("Everything needed is done since ")
    assert text.endswith(f"{side} the deadline.")
    assert spare_text(done, weekend).endswith("what is left is optional.")
    empty = replace(done, plan=replace(done.plan, order=()))
    assert spare_text(empty, weekend) == "Nothing is left to do."
    assert outlook_text(answer, weekend) == odds_text(ODDS, made.DEADLINE, made.ZONE)


def test_what_comes_once_all_is_done_is_free_to_do() -> None:
    """What comes next is no duty then."""
    answer = made.answer()
    done = replace(answer, odds=replace(answer.odds, done_s=made.BEGIN))
    for told, start in ((answer, "Next, "), (done, "If you like, ")):
        shown = scene(made.weekend(), told)
        assert start in next_text(shown, made.BEGIN - 60)
