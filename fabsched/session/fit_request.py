"""The request for changes that would make a weekend fit."""

from dataclasses import dataclass, field
from datetime import datetime

from fabsched.advise.fits import Fit, Obstacle
from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.weekend import Weekend
from fabsched.session.fit_records import FitInput
from fabsched.session.inputs import PlanInput
from fabsched.session.project_session import Session
from fabsched.session.requests import next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class FitResponse:
    """Changes that would help.

    Attributes:
        id: of the request.
        fits: those that are enough first, the smallest of these before others; none if the plan is
            as sure as wanted.
        obstacles: what alone takes longer than there is time.
    """

    id: int
    fits: tuple[Fit, ...]
    obstacles: tuple[Obstacle, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRequest(FitInput):
    """Find out what would make a weekend fit.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> FitResponse:
        """Plan each change anew with little effort.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.fitting import fits_for, obstacles_for  # noqa: PLC0415 - heavy

        return FitResponse(id=self.id, fits=fits_for(self, watch), obstacles=obstacles_for(self))


def fit_request(
    session: Session, weekend: Weekend, answer: Answer, now: datetime, seed: int = 0
) -> FitRequest:
    """Ask what would make a weekend fit.

    Args:
        session: the open project.
        weekend: what was planned.
        answer: the plan.
        now: the present moment.
        seed: of the random draws.
    """
    given = PlanInput(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        now_s=int(now.timestamp()),
        seed=seed,
        seen=session.experiences.light,
    )
    return FitRequest(given=given, weekend=weekend, answer=answer)
