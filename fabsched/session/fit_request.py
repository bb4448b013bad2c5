"""The request for changes that would make a weekend fit."""

from dataclasses import dataclass, field, replace
from datetime import datetime

from fabsched.advise.fits import Fit, Obstacle
from fabsched.model.log import Entry
from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED, Watch, tell
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

        Whoever takes what is found on the way is told the single changes before sets are looked for.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.fitting import fits_for, obstacles_for  # noqa: PLC0415 - heavy

        first = FitResponse(id=self.id, fits=(), obstacles=obstacles_for(self))
        return replace(first, fits=fits_for(self, _Telling(watch, first)))


@dataclass(frozen=True, slots=True)
class _Telling:
    """A watch that hands on the changes found so far as a response.

    Attributes:
        watch: the one that asked.
        response: what is known already.
    """

    watch: Watch
    response: FitResponse

    def report(self, done: float, stage: str) -> None:
        """Pass a report on."""
        self.watch.report(done, stage)

    def stopped(self) -> bool:
        """Pass the question on."""
        return self.watch.stopped()

    def tell(self, what: object) -> None:
        """Hand on changes as a response."""
        if isinstance(what, tuple):
            tell(self.watch, replace(self.response, fits=what))

    def enough(self) -> bool:
        """All of them are wanted."""
        return False


def fit_request(
    session: Session,
    weekend: Weekend,
    answer: Answer,
    now: datetime,
    seed: int = 0,
    *,
    entries: tuple[Entry, ...] = (),
) -> FitRequest:
    """Ask what would make a weekend fit.

    Args:
        session: the open project.
        weekend: what was planned.
        answer: the plan.
        now: the present moment.
        seed: of the random draws.
        entries: what the project's log tells.
    """
    given = PlanInput(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        now_s=int(now.timestamp()),
        seed=seed,
        seen=session.experiences.light,
        entries=entries,
    )
    return FitRequest(given=given, weekend=weekend, answer=answer)
