"""`fabsched replan`: keep what happened, plan the rest, and put choices after a failure side by side."""

import json
import shlex
import sys
from argparse import Namespace
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from fabsched.advise.options import Option
from fabsched.cli.advice_text import advice_documents, advice_on, print_advice
from fabsched.cli.documents import Document, plan_document
from fabsched.cli.log_documents import choice_name, replan_document
from fabsched.cli.log_text import option_text, print_changes, print_options
from fabsched.cli.plan_text import missed_text, print_plan
from fabsched.cli.planning import moment_of, planned, tell
from fabsched.cli.progress import run_in
from fabsched.cli.reason_text import explained, print_reasons
from fabsched.cli.stock_text import buy_lines, stock_document
from fabsched.cli.surroundings import Surroundings
from fabsched.session.asking_poses import pieces_requests, plates_possible, pose_requests
from fabsched.session.bench import Bench
from fabsched.session.checks import check_deadline
from fabsched.session.log_requests import (
    OptionResponse,
    PiecesResponse,
    PoseResponse,
    ReplanResponse,
)
from fabsched.session.log_words import gone_lines, left_out_line, names_of
from fabsched.session.noticed import say
from fabsched.session.pool import Failed, Finished, Pool, events
from fabsched.session.requests import PlanResponse, Request
from fabsched.session.wording import phrase, share


def replan(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Plan the rest of the weekend and print it, with what changed, what would win most, and choices.

    Returns:
        Whether it meets the deadline.

    Raises:
        InputError: a file is at fault, or the project cannot be carried out.
        WorkerLost: a worker process died.
    """
    bench = Bench.open(arguments.project)
    now = moment_of(arguments.now, bench, surroundings)
    if not bench.log.state.has_begun:
        check_deadline(bench.project.deadline, now)
    with Pool() as pool:
        response = planned(bench, now, arguments.seed, pool)
        if not arguments.json:
            _print_rest(bench, response)
        advice = advice_on(bench, response, now, arguments.seed, pool).advice
        if not arguments.json:
            print_advice(advice, bench)
        options = _options(bench, pool, as_json=arguments.json)
        if not arguments.json and options:
            _print_choices(bench, options, arguments.project, now)
        pieces = run_in(pool, pieces_requests(bench, bench.replanned)) if options else []
    now_s = int(now.timestamp())
    if arguments.json:
        document = plan_document(response.weekend, response.answer, bench.findings, now_s=now_s)
        document = explained(document, response.weekend, response.answer)
        document["advice"] += advice_documents(advice, bench)
        document["stock"] = stock_document(response.stock) if response.stock else None
        more = _more(response, options, pieces)
        print(json.dumps(document | more, indent=2))  # noqa: T201 - the output
    elif options:
        _print_pieces(bench, pieces, arguments.project, now)
    return _told_if_missed(bench, response)


def _print_choices(bench: Bench, options: list[Option], folder: Path, now: datetime) -> None:
    """Print the choices as soon as all but plates and pieces are known: looking for these takes longer."""
    if bench.replanned is not None:
        _print_gone(bench, bench.replanned)
    named = [(choice_name(option.remedy), option) for option in options]
    print_options(named, bench.project.zone, int(now.timestamp()))
    tell(phrase("choose", project=shlex.quote(str(folder))))


def _print_pieces(bench: Bench, found: list[PiecesResponse], folder: Path, now: datetime) -> None:
    """Print the ways of plates and pieces, how they are taken, and how more of them are compared."""
    known = [each.pieces for each in found if each.pieces]
    if known:
        named = [("", each.option) for each in known]
        print_options(named, bench.project.zone, int(now.timestamp()), "options-pieces")
    project = shlex.quote(str(folder))
    for each in known:
        plates = ",".join(str(number + 1) for number in each.way.pick)
        ident = shlex.quote(each.part)
        tell(phrase("choose-pieces", project=project, part=ident, plates=plates))
    alone = {each.part for each in found if not each.more}
    for part in plates_possible(bench, bench.replanned):
        if part.id not in alone:
            name = shlex.quote(part.id)
            tell(phrase("choose-plates", what=part.name, project=project, part=name))


def _print_rest(bench: Bench, response: PlanResponse) -> None:
    print_plan(bench.project.name, response.weekend, response.answer, bench.findings)
    if isinstance(response, ReplanResponse):
        rest = response.rest
        print_changes(rest.changes, bench.project.zone, rest.kept_on_time)
        names = names_of(bench.project, bench.shop)
        out = left_out_line(bench.log.entries, bench.log.state, names)
        buy = buy_lines(response.stock) if response.stock else ()
        for line in (*([out] if out else ()), *buy):
            print(line)  # noqa: T201 - the output
    print_reasons(response.weekend, response.answer)


def _print_gone(bench: Bench, response: ReplanResponse) -> None:
    """Tell what a failure has cost already, before the choices."""
    trouble = response.rest.trouble
    if trouble is None:
        return
    past, mass_g = bench.log.state.past, response.ground.mass_g
    for line in gone_lines(past, trouble.subject, mass_g, response.stock):
        print(line)  # noqa: T201 - the output


def _options(bench: Bench, pool: Pool, *, as_json: bool) -> list[Option]:
    """Every choice, planned; each is told as soon as it is there, if somebody waits for it.

    Raises:
        WorkerLost: a worker process died.
    """
    requests: list[Request[Any]] = [*bench.option_requests()]
    requests += pose_requests(bench, bench.replanned)
    found: dict[int, tuple[Option, ...]] = {}
    for event in events(pool, requests) if requests else ():
        match event:
            case Finished(ident, response):
                found[ident] = _taken_in(bench, response)
                if not as_json and sys.stderr.isatty():
                    for option in found[ident]:
                        tell(_line(option))
            case Failed(_, error):
                raise error
            case _:
                pass
    return [option for request in requests for option in found[request.id]]


def _taken_in(bench: Bench, response: OptionResponse | PoseResponse) -> tuple[Option, ...]:
    if isinstance(response, OptionResponse):
        return (response.option,)
    bench.accept_poses(response)
    return response.options


def _line(option: Option) -> str:
    return phrase("option", what=option_text(option), share=share(option.answer.odds.on_time))


def _more(response: PlanResponse, options: list[Option], pieces: list[PiecesResponse]) -> Document:
    """What a plan of a weekend under way says beside the plan."""
    if isinstance(response, ReplanResponse):
        known = [each.pieces for each in pieces if each.pieces]
        return replan_document(response, options, ZoneInfo(response.weekend.zone), known)
    nothing: Document = {"done": [], "going": [], "kept_on_time": None}
    return {**nothing, "changes": [], "failed": None, "options": []}


def _told_if_missed(bench: Bench, response: PlanResponse) -> bool:
    if bench.log_error is not None:
        tell(say(bench.log_error))
    missed = missed_text(response.weekend, response.answer)
    if missed:
        tell(missed)
    return not missed
