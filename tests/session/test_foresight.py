"""The requests behind the page of the odds: pure, and the same as asked for one by one."""

import pickle

import pytest

from fabsched.model.errors import Cancelled
from fabsched.schedule.chains import gains
from fabsched.schedule.isolation import isolated
from fabsched.session.foresight_request import BearingRequest, CourseRequest
from fabsched.session.odds_request import OddsRequest
from tests.cli.made import answer, weekend
from tests.odds.test_decisions import Impatient


def test_a_glance_shows_the_whole_course() -> None:
    """Moments go from the beginning on; less time is left at each, and the same request says the same."""
    request = CourseRequest(weekend=weekend(), answer=answer(), seed=3)
    there = pickle.loads(pickle.dumps(request))  # noqa: S301 - what we have just written
    outlooks = request.run().outlooks
    assert there.run().outlooks == outlooks
    assert outlooks[0].moment_s == weekend().begin_s
    left = [each.left_s for each in outlooks]
    assert left == sorted(left, reverse=True)


def test_everything_is_what_each_question_says_alone() -> None:
    """Odds as told by their own request; gains and what is kept apart as the planner sees them."""
    given = {"weekend": weekend(), "answer": answer(), "seed": 3}
    found = BearingRequest(**given).run()  # type: ignore[arg-type]  # fields by name
    assert found.told == OddsRequest(**given).run().told  # type: ignore[arg-type]  # likewise
    plan, course = answer().plan, answer().course
    assert found.gains == gains(weekend(), plan, course)
    assert found.isolated == isolated(weekend(), plan)


@pytest.mark.parametrize("kind", [CourseRequest, BearingRequest])
def test_it_stops_when_asked(kind: type[CourseRequest | BearingRequest]) -> None:
    """Whoever watches may say so."""
    with pytest.raises(Cancelled):
        kind(weekend=weekend(), answer=answer()).run(Impatient())
