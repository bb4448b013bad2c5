"""The requests behind the page of the odds: pure, and the same as asked for one by one."""

import pickle

import pytest

from fabsched.model.errors import Cancelled
from fabsched.model.log import Entry, Event, Meant, Sort
from fabsched.model.spread import Spread
from fabsched.model.state import state_of
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Weekend
from fabsched.odds.outlook import outlooks as course_outlooks
from fabsched.odds.sample import Sample
from fabsched.schedule.chains import gains
from fabsched.schedule.isolation import isolated
from fabsched.schedule.planner import make_plan
from fabsched.schedule.under_way import under_way
from fabsched.session.foresight_request import BearingRequest, CourseRequest
from fabsched.session.knowledge import knowledge_of
from fabsched.session.odds_request import OddsRequest
from tests.cli.made import answer, weekend
from tests.model.made import H, printing, task
from tests.model.made import weekend as made_weekend
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


def test_the_picture_agrees_with_the_odds_told_under_way() -> None:
    """A print goes on and a sensor may be late: the picture begins with the odds told.

    Simulated from there on luck of its own, it is the same within what so few weekends can tell.
    """
    week = under_way_weekend()
    truths = knowledge_of(()).truths
    found = make_plan(week, seed=3, truths=truths)
    outlooks = CourseRequest(weekend=week, answer=found, seed=4).run().outlooks
    told = OddsRequest(weekend=week, answer=found, seed=4).run().told
    odds, begin_s = found.odds, week.begin_s
    for first in (outlooks[0], told.outlooks[0]):
        ends = [None if s is None else begin_s + s for s in (first.p10_s, first.p50_s, first.p90_s)]
        assert ends == [odds.p10_s, odds.p50_s, odds.p90_s]
        assert first.on_time == told.odds.on_time == odds.on_time
        assert first.left_s == week.deadline_s - begin_s
    sample = Sample(seed=5, scenarios=4000, truths=truths)
    (anew,) = course_outlooks(week, found.plan, found.course, [begin_s], sample)
    # Four standard errors of a difference of two shares.
    assert abs(anew.on_time - odds.on_time) < 4 * (2 * 0.25 / 4000) ** 0.5
    assert anew.p50_s is not None
    assert odds.p50_s is not None
    assert abs(begin_s + anew.p50_s - odds.p50_s) < HOUR_S / 2


def under_way_weekend() -> Weekend:
    """A print that has run for an hour, wiring that waits for a sensor told to come later."""
    lid = printing("lid", Spread(3 * H, 4 * H, 6 * H), fail_start=0.05, fail_hour=0.02)
    week = made_weekend(
        lid,
        task("code", Spread(H, 3 * H, 6 * H)),
        task("wire", Spread(H, 2 * H, 4 * H), after=("lid", "code"), earliest_s=3 * H),
        deadline_s=11 * H,
    )
    begun = Meant(name="Lid", sort=Sort.RUN, machine="printer", seconds=Spread(3 * H, 4 * H, 6 * H))
    sensor = Meant(name="Sensor", items=(("wire", 1),))
    entries = (
        Entry(id=1, moment_s=0, noted_s=0, kind=Event.STARTED, subject="lid", meant=begun),
        Entry(
            id=2,
            moment_s=H,
            noted_s=H,
            kind=Event.DELAYED,
            subject="sensor",
            meant=sensor,
            until_s=4 * H,
        ),
    )
    return under_way(week, state_of(entries), H, late=Spread(0, H, 4 * H)).weekend


@pytest.mark.parametrize("kind", [CourseRequest, BearingRequest])
def test_it_stops_when_asked(kind: type[CourseRequest | BearingRequest]) -> None:
    """Whoever watches may say so."""
    with pytest.raises(Cancelled):
        kind(weekend=weekend(), answer=answer()).run(Impatient())
