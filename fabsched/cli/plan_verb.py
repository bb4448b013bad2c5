"""`fabsched plan`: what to start when, and how sure that is."""

import json
from argparse import Namespace
from datetime import datetime
from pathlib import Path

from fabsched.cli.advice_text import advice_documents, advice_on, print_advice
from fabsched.cli.documents import Document, plan_document
from fabsched.cli.fit_text import (
    fit_documents,
    fits_on,
    obstacle_documents,
    print_fits,
    print_obstacles,
)
from fabsched.cli.plan_text import missed_text, print_plan
from fabsched.cli.planning import moment_of, planned, tell
from fabsched.cli.reason_text import explained, print_reasons
from fabsched.cli.stock_text import buy_lines, stock_document
from fabsched.cli.surroundings import Surroundings
from fabsched.model.errors import Fault, InputError
from fabsched.session.bench import Bench
from fabsched.session.checks import check_deadline
from fabsched.session.pool import Pool
from fabsched.session.requests import PlanResponse
from fabsched.session.wording import phrase

PICTURES = (".png", ".svg")
"""Endings of pictures that can be drawn."""


def plan(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Plan the project and print the plan.

    Returns:
        Whether it meets the deadline.

    Raises:
        InputError: a file is at fault, or the project cannot be carried out.
        WorkerLost: a worker process died.
    """
    _check_picture(arguments.picture)
    session = Bench.open(arguments.project)
    now = moment_of(arguments.now, session, surroundings)
    if not session.log.state.has_begun:
        check_deadline(session.project.deadline, now)
    with Pool() as pool:
        response = planned(session, now, arguments.seed, pool)
        advice = advice_on(session, response, now, arguments.seed, pool).advice
        fits, obstacles = fits_on(session, response, now, arguments.seed, pool)
    if not arguments.json:
        print_plan(session.project.name, response.weekend, response.answer, session.findings)
        print_reasons(response.weekend, response.answer)
        print_obstacles(obstacles)
        print_fits(response.weekend, fits, session)
        print_advice(() if fits else advice, session)
        for line in buy_lines(response.stock) if response.stock else ():
            print(line)  # noqa: T201 - the output
    if arguments.picture is not None:
        _draw(session, response, arguments.picture, surroundings, now)
    if arguments.json:  # last, so that it stays the only document whatever happens before
        document = _document(session, response, now)
        document["advice"] += advice_documents(advice, session)
        document["obstacles"] = obstacle_documents(obstacles)
        document["fits"] = fit_documents(response.weekend, fits, session)
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    missed = missed_text(response.weekend, response.answer)
    if missed:
        tell(missed)
    return not missed


def _check_picture(path: Path | None) -> None:
    """Refuse a picture nobody draws before any work is done for it."""
    if path is not None and path.suffix.lower() not in PICTURES:
        facts = {"ending": path.suffix.lower(), "known": ", ".join(PICTURES)}
        raise InputError(Fault.PICTURE_KIND_UNKNOWN, str(path), **facts)


def _draw(
    session: Bench, response: PlanResponse, path: Path, surroundings: Surroundings, now: datetime
) -> None:
    surroundings.draw(
        response.weekend,
        response.answer,
        path,
        title=session.project.name,
        now_s=int(now.timestamp()),
        state=session.log.state,
    )
    tell(phrase("picture", path=str(path)))


def _document(session: Bench, response: PlanResponse, now: datetime) -> Document:
    document = plan_document(
        response.weekend, response.answer, session.findings, now_s=int(now.timestamp())
    )
    document = explained(document, response.weekend, response.answer)
    document["stock"] = stock_document(response.stock) if response.stock else None
    return document
