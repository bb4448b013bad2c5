"""What verbs that plan a project have in common."""

import sys
from collections.abc import Callable
from datetime import datetime
from functools import partial

from fabsched.cli.contentment import content_when_interrupted
from fabsched.cli.progress import run_all, run_here, run_in
from fabsched.cli.surroundings import Surroundings
from fabsched.session.clock import parse_moment
from fabsched.session.pool import Pool
from fabsched.session.project_session import Session
from fabsched.session.requests import EstimateRequest, EstimateResponse, PlanResponse


def moment_of(text: str | None, session: Session, surroundings: Surroundings) -> datetime:
    """The moment to plan from: what `--now` says, else the present one.

    Raises:
        InputError: what it says is no moment.
    """
    if text is None:
        return surroundings.clock()
    return parse_moment(text, session.project.zone, "--now")


def planned(session: Session, now: datetime, seed: int, pool: Pool) -> PlanResponse:
    """Estimate what is not known yet, then plan, all in worker processes.

    They can be ended while a library computes, which this process could not.

    Raises:
        InputError: a file is at fault, or the project cannot be carried out.
        WorkerLost: a worker process died.
    """
    _estimate(session, partial(run_in, pool))
    request = session.plan_request(now, seed)
    with content_when_interrupted(pool, request.id, tell):
        (answer,) = run_in(pool, [request])
    session.accept(answer)
    return answer


def estimate_here(session: Session) -> None:
    """Estimate in this process what is not known yet; most often that is nothing.

    Raises:
        InputError: a file is at fault.
    """
    _estimate(session, run_here)


def estimate_all(session: Session) -> None:
    """Estimate the quickest way what is not known yet.

    Raises:
        InputError: a file is at fault.
        WorkerLost: a worker process died.
    """
    _estimate(session, run_all)


def _estimate(
    session: Session, run: Callable[[tuple[EstimateRequest, ...]], list[EstimateResponse]]
) -> None:
    requests = session.estimate_requests()
    for response in run(requests) if requests else ():
        session.accept(response)


def tell(text: str) -> None:
    """Say something on stderr."""
    print(text, file=sys.stderr)  # noqa: T201 - this is what stderr is for
