"""What is told of a change that would make it fit is what planning says once it is carried out."""

from dataclasses import replace
from datetime import datetime
from math import sqrt

from fabsched.advise.fits import Lever
from fabsched.session.fit_request import fit_request
from fabsched.session.fit_taking import take_fit
from fabsched.session.project_session import Session
from fabsched.session.requests import PlanResponse
from tests.session.made import BERLIN, NOW
from tests.session.test_fit_taking import EXTRA, OTHER, WORK, session

__all__ = ["session"]

COMES = datetime(2026, 10, 24, 15, 30, tzinfo=BERLIN)
"""Half an hour before the lab closes, for an hour's work there."""


def planned(session: Session) -> PlanResponse:
    """The plan of the project as it is."""
    for request in session.estimate_requests():
        session.accept(request.run())
    return session.plan_request(NOW).run()


def test_each_change_gives_the_chance_that_was_told(session: Session) -> None:
    """Carried out and planned again, within three standard errors of both samples."""
    late = replace(WORK, not_before=COMES)
    session.change("edit", lambda now: replace(now, works=(late, EXTRA, OTHER)))
    first = planned(session)
    fits = fit_request(session, first.weekend, first.answer, NOW).run().fits
    assert {fit.code for fit in fits} >= {Lever.HOURS, Lever.ARRIVAL}
    for fit in fits:
        assert take_fit(session, first.weekend, fit)
        odds = planned(session).answer.odds
        told, got = fit.on_time, odds.on_time
        error = sqrt(told * (1 - told) / 2000 + got * (1 - got) / odds.scenarios)
        assert abs(got - told) <= 3 * error + 1e-3
        session.undo()
