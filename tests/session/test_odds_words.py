"""What bears on the odds, in sentences."""

from dataclasses import replace

import pytest

from fabsched.model.weekend import Turn
from fabsched.odds.told import Danger, Decision
from fabsched.session.odds_words import danger_text, decision_lines, decision_text
from tests.model.made import H, printing, task, weekend


@pytest.mark.parametrize(
    ("kind", "end"),
    [
        (Turn.DROP, "Leave Paint out then, and 90 in 100 are."),
        (Turn.ROUTE, "How it is made: Paint"),
    ],
)
def test_a_decision_hour_says_what_to_do(kind: Turn, end: str) -> None:
    """What is left out is named in the sentence; another way after it."""
    week = weekend(printing("lid"), task("paint", needed=False))
    decision = Decision(
        id="lid",
        by_s=9 * H,
        not_done=0.2,
        on_time=0.3,
        swap="x",
        instead=0.9,
        turn=kind,
        other="Paint",
    )
    told = decision_text(decision, {"lid": "Lid"}, week)
    assert told.startswith("If Lid is not done by ")
    assert told.endswith(end)


def test_what_to_ask_is_said_once() -> None:
    """Of several hours that name no other way; where all name one it is not said."""
    week = weekend(printing("lid"), printing("box"), task("paint", needed=False))
    one = Decision(id="lid", by_s=9 * H, not_done=0.2, on_time=0.3)
    *hours, last = decision_lines([one, replace(one, id="box")], {"lid": "Lid", "box": "Box"}, week)
    assert [line.split(" is not")[0] for line in hours] == ["If Lid", "If Box"]
    assert all(line.endswith("only 30 in 100 weekends are done in time.") for line in hours)
    assert last.startswith("Where nothing is named to do then, ask")
    named = replace(one, swap="x", instead=0.9, turn=Turn.DROP, other="Paint")
    assert len(list(decision_lines([named], {"lid": "Lid"}, week))) == 1


@pytest.mark.parametrize(("cost", "said"), [(0.012, "1 point of"), (0.12, "12 points of")])
def test_one_point_is_one(cost: float, said: str) -> None:
    """A single point has no plural."""
    danger = Danger(id="lid", cost=cost, wrong=0.1, wrong_if_late=None)
    assert f"rise by {said} a hundred" in danger_text([danger], {"lid": "Lid"})
