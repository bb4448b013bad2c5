"""What bears on the odds, in sentences."""

import pytest

from fabsched.model.weekend import Turn
from fabsched.odds.told import Decision
from fabsched.session.odds_words import decision_text
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
