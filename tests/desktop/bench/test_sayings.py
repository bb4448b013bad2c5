"""What can be said of a block, as things stand."""

from dataclasses import replace

import pytest

from fabsched.desktop.bench.now import doing, hands_between, next_hands_s
from fabsched.desktop.bench.sayings import (
    BROKEN_OFF,
    DELAYED,
    DONE,
    FAILED,
    FOUND,
    LEFT_OUT,
    STARTED,
    TAKEN_OFF,
    Say,
    how_far,
    sayings,
    until_s,
)
from fabsched.desktop.timeline.scene import scene
from fabsched.model.log import Event, Meant
from fabsched.model.plan import Block
from fabsched.model.spread import Spread
from fabsched.model.state import State, Stint
from tests.desktop import made

LOUVRES = Stint(
    subject="louvres",
    meant=Meant(name="Louvre plates", machine="large", seconds=Spread.exactly(7200)),
    start_s=made.BEGIN,
)
GOING = State(going={"louvres": LOUVRES})
STOPPED = State(uncleared={"large": replace(LOUVRES, outcome=Event.FINISHED, end_s=1)})
SPOILT = State(uncleared={"large": replace(LOUVRES, outcome=Event.FAILED, end_s=1)})


def block(ident: str) -> Block:
    """A block of the plan."""
    return next(block for block in made.blocks() if block.id == ident)


@pytest.mark.parametrize(
    ("ident", "state", "expected"),
    [
        ("louvres", State(), (STARTED, DONE, FAILED, LEFT_OUT, DELAYED)),
        ("louvres.start", State(), (STARTED, FAILED, LEFT_OUT, DELAYED)),
        ("louvres", GOING, (DONE, FAILED, BROKEN_OFF, DELAYED)),
        ("louvres.clear", GOING, (TAKEN_OFF, FAILED, DELAYED)),
        ("louvres", STOPPED, (TAKEN_OFF, FAILED, DELAYED)),
        ("louvres.start", SPOILT, (STARTED, FAILED, LEFT_OUT, DELAYED)),
        ("bench", State(), (STARTED, DONE, FOUND, LEFT_OUT, DELAYED)),
        ("code#2", State(), (STARTED, DONE, LEFT_OUT, DELAYED)),
        ("mira.travel.1", State(), ()),
    ],
)
def test_only_what_makes_sense_can_be_said(
    ident: str, state: State, expected: tuple[Say, ...]
) -> None:
    """What has begun can end; what lies there can be taken off; only gates find faults."""
    assert sayings(block(ident), state) == expected


def test_how_far_goes_by_the_estimate_of_what_goes_on() -> None:
    """An hour of two is half of it; without a start, the plan's own times count; never below or above."""
    assert how_far(block("louvres"), GOING, made.BEGIN + 3600) == (0.5, 7200)
    assert how_far(block("louvres"), GOING, made.BEGIN + 9999) == (1.0, 7200)
    assert how_far(block("louvres"), State(), made.BEGIN) == (0.0, 745 * 60)


def test_a_delay_is_half_an_hour_beyond_what_was_planned() -> None:
    """For what has still to begin from its start, for what should be under way from its end."""
    assert until_s(block("funnel"), made.BEGIN) == made.at(14, 8, 46)
    assert until_s(block("louvres"), made.at(13, 19)) == made.at(14, 7, 5)


def test_what_to_do_now_and_next() -> None:
    """The first open thing of each person if its time has come, what runs alone, and what follows."""
    shown = scene(made.weekend(), made.answer())
    found = doing(shown, GOING, made.at(13, 18, 5))
    assert [step.block.id for step in found.hands] == ["louvres.start"]
    assert [step.block.id for step in found.machines] == ["louvres"]
    assert found.then is not None
    assert found.then.block.id == "cradle.start"
    assert doing(shown, State(), made.BEGIN - 1).hands == ()


def test_hands_are_needed_at_the_start_of_their_blocks() -> None:
    """Only people's blocks count, each once, between two moments."""
    shown = scene(made.weekend(), made.answer())
    found = hands_between(shown, made.at(13, 18, 0), made.at(13, 18, 20))
    assert [step.block.id for step in found] == ["cradle.start", "code#1"]
    assert next_hands_s(shown, made.at(13, 18, 0)) == made.at(13, 18, 10)
    assert next_hands_s(shown, made.at(14, 16, 37)) is None
