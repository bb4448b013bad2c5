"""`fabsched export`: a plan as files for machines, calendar and paper."""

import json
from argparse import Namespace
from collections.abc import Sequence
from datetime import datetime

from fabsched.cli.documents import export_document
from fabsched.cli.plan_text import missed_text, odds_lines
from fabsched.cli.planning import moment_of, planned, tell
from fabsched.cli.progress import run_in
from fabsched.cli.surroundings import Surroundings
from fabsched.cli.tables import console
from fabsched.session.bench import Bench
from fabsched.session.calendar import turns_of
from fabsched.session.checks import check_deadline, check_target
from fabsched.session.export_records import Written, left_over
from fabsched.session.export_request import ExportRequest
from fabsched.session.pool import Pool
from fabsched.session.requests import PlanResponse
from fabsched.session.wording import caution, phrase


def export(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Plan the project and write everything that is needed to carry the plan out.

    Returns:
        Whether the plan meets the deadline.

    Raises:
        InputError: a file is at fault, the project cannot be carried out, or a file cannot be
            written.
        WorkerLost: a worker process died.
    """
    check_target(arguments.to)
    session = Bench.open(arguments.project)
    now = moment_of(arguments.now, session, surroundings)
    if not session.log.state.has_begun:
        check_deadline(session.project.deadline, now)
    with Pool() as pool:
        plan = planned(session, now, arguments.seed, pool)
        request = _request(session, plan, now, arguments)
        (done,) = run_in(pool, [request])
    drawn = surroundings.illustrate(
        plan.weekend,
        plan.answer,
        done.run_sheet,
        request.target,
        now_s=request.now_s,
        state=session.log.state,
    )
    files = (*done.written, *drawn)
    stale = left_over(request.target, files)
    if arguments.json:
        document = export_document(request, files, done.shapeless, stale)
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    else:
        _print(plan, arguments, files)
    for path in stale:
        tell(phrase("left-over", file=str(path)))
    return _met(plan, done.shapeless)


def _request(
    session: Bench, plan: PlanResponse, now: datetime, arguments: Namespace
) -> ExportRequest:
    return ExportRequest(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        weekend=plan.weekend,
        answer=plan.answer,
        folder=session.folder,
        target=arguments.to,
        now_s=int(now.timestamp()),
        turns=turns_of(session.log.state),
    )


def _print(plan: PlanResponse, arguments: Namespace, files: Sequence[Written]) -> None:
    """Print how sure the plan is, what was written, and the caution that is due with cut files."""
    out = console()
    out.print(odds_lines(plan.weekend, plan.answer.odds)[0])
    out.print(phrase("exported", count=len(files), folder=str(arguments.to)))
    for file in files:
        out.print(f"  {file.path.relative_to(arguments.to).as_posix()}")
    if any(file.kind == "sheet" for file in files):
        out.print(f"- {caution('laser')}")


def _met(plan: PlanResponse, shapeless: Sequence[str]) -> bool:
    """Say what has no files and whether the deadline is missed."""
    for name in shapeless:
        tell(phrase("shapeless", what=name))
    missed = missed_text(plan.weekend, plan.answer)
    if missed:
        tell(missed)
    return not missed
