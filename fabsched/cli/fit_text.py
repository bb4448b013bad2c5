"""What would make a weekend fit, in words and as documents."""

import shlex
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from fabsched.advise.fits import OF_LOG, Fit, Lever, Obstacle
from fabsched.cli.documents import Document
from fabsched.cli.progress import run_in
from fabsched.cli.tables import console
from fabsched.model.weekend import Weekend
from fabsched.session.bench import Bench
from fabsched.session.clock import iso
from fabsched.session.fit_files import LineChange, line_changes
from fabsched.session.fit_records import is_short
from fabsched.session.fit_request import fit_request
from fabsched.session.fit_words import fit_text, obstacle_text
from fabsched.session.pool import Pool
from fabsched.session.requests import PlanResponse
from fabsched.session.wording import phrase

OBSTACLES = 2
"""So many things that stand in the way are told in a terminal."""

TOLD = 4
"""So many changes are told in a terminal, beside all that are enough; the document has the rest."""

DROPS = (Lever.DROP, Lever.DROP_NEEDED)
"""What is left out is told to the log, which keeps the file as it is."""


def fits_on(
    bench: Bench, response: PlanResponse, now: datetime, seed: int, pool: Pool
) -> tuple[tuple[Fit, ...], tuple[Obstacle, ...]]:
    """What would make a weekend fit, and what stands in the way; nothing where it fits.

    Raises:
        WorkerLost: a worker process died.
    """
    if not is_short(response.weekend, response.answer):
        return (), ()
    entries = bench.log.entries
    request = fit_request(bench, response.weekend, response.answer, now, seed, entries=entries)
    (done,) = run_in(pool, [request])
    return done.fits, done.obstacles


def print_fits(weekend: Weekend, told: Sequence[Fit], bench: Bench) -> None:
    """Print the first of them, each with how to carry it out."""
    if told:
        console().print("\n" + phrase("fit-title"), style="bold")
    for each in (*told[:TOLD], *(each for each in told[TOLD:] if each.enough)):
        console().print(f"- {fit_text(weekend, each)}")
        for command in commands(each, bench):
            console().print(f"    {shlex.join(command)}", soft_wrap=True, markup=False)
        for change in lines_of(each, weekend, bench):
            _print_lines(change)


def _print_lines(change: LineChange) -> None:
    """Where in a file something changes, and the lines themselves."""
    code = "fit-lines-copied" if change.copied else "fit-lines"
    where = phrase(code, file=str(change.file), line=change.line, copied=str(change.copied or ""))
    console().print(f"    {where}", soft_wrap=True, markup=False, highlight=False)
    marked = (*(f"- {line}" for line in change.old), *(f"+ {line}" for line in change.new))
    for line in marked:
        console().print(f"      {line}", soft_wrap=True, markup=False, highlight=False)


def commands(fit: Fit, bench: Bench) -> list[list[str]]:
    """What a change leaves out or has come sooner, told to the log.

    `fabsched log PROJECT undo` undoes each.
    """
    log, zone = ["fabsched", "log", str(bench.folder)], bench.project.zone
    gone = [[*log, "drop", each.subject] for each in fit.each if each.code in DROPS]
    come = [each for each in fit.each if each.code in OF_LOG]
    sooner = (["delay", each.subject, "--until", iso(each.from_s, zone)] for each in come)
    return [*gone, *([*log, *told] for told in sooner)]


def lines_of(fit: Fit, weekend: Weekend, bench: Bench) -> tuple[LineChange, ...]:
    """The lines of the files that change for all else."""
    rest = tuple(each for each in fit.each if each.code not in {*DROPS, *OF_LOG})
    if not rest:
        return ()
    return line_changes(bench, weekend, rest[0] if len(rest) == 1 else replace(fit, parts=rest))


def print_obstacles(told: Sequence[Obstacle]) -> None:
    """Print the first things that alone take longer than there is time."""
    if told:
        console().print("\n" + phrase("obstacles-title"), style="bold")
    for each in told[:OBSTACLES]:
        console().print(f"- {obstacle_text(each)}")


def obstacle_documents(told: Sequence[Obstacle]) -> list[Document]:
    """All of them."""
    return [
        {
            "code": str(each.code),
            "text": obstacle_text(each),
            "what": each.name,
            "takes_s": each.takes_s,
            "left_s": each.left_s,
        }
        for each in told
    ]


def fit_documents(weekend: Weekend, told: Sequence[Fit], bench: Bench) -> list[Document]:
    """All of them, those that are enough first, each with how to carry it out."""
    return [
        {
            **_document(weekend, each),
            "commands": commands(each, bench),
            "lines": [_line_document(change) for change in lines_of(each, weekend, bench)],
        }
        for each in told
    ]


def _line_document(change: LineChange) -> Document:
    return {
        "file": str(change.file),
        "copied_from": str(change.copied) if change.copied else None,
        "line": change.line,
        "old": list(change.old),
        "new": list(change.new),
    }


def _document(weekend: Weekend, each: Fit) -> Document:
    zone = ZoneInfo(weekend.zone)
    return {
        "code": str(each.code),
        "text": fit_text(weekend, each),
        "subject": each.subject or None,
        "size_s": each.size_s,
        "from": iso(each.from_s, zone) if each.from_s else None,
        "until": iso(each.until_s, zone) if each.until_s else None,
        "copies": each.copies[0] or None,
        "on_time": each.on_time,
        "gain": each.gain,
        "standard_error": each.error,
        "enough": each.enough,
        "parts": [_document(weekend, part) for part in each.parts],
    }
