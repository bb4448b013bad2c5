"""What would make a weekend fit, in words and as documents."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from fabsched.advise.fits import Fit, Obstacle
from fabsched.cli.documents import Document
from fabsched.cli.progress import run_in
from fabsched.cli.tables import console
from fabsched.model.weekend import Weekend
from fabsched.session.bench import Bench
from fabsched.session.clock import iso
from fabsched.session.fit_records import is_short
from fabsched.session.fit_request import fit_request
from fabsched.session.fit_words import fit_text, obstacle_text
from fabsched.session.pool import Pool
from fabsched.session.requests import PlanResponse
from fabsched.session.wording import phrase

OBSTACLES = 2
"""So many things that stand in the way are told in a terminal."""

TOLD = 4
"""So many changes are told in a terminal; the document has all."""


def fits_on(
    bench: Bench, response: PlanResponse, now: datetime, seed: int, pool: Pool
) -> tuple[tuple[Fit, ...], tuple[Obstacle, ...]]:
    """What would make a weekend fit, and what stands in the way; nothing where it fits.

    Raises:
        WorkerLost: a worker process died.
    """
    if not is_short(response.weekend, response.answer):
        return (), ()
    request = fit_request(bench, response.weekend, response.answer, now, seed)
    (done,) = run_in(pool, [request])
    return done.fits, done.obstacles


def print_fits(weekend: Weekend, told: Sequence[Fit]) -> None:
    """Print the first of them."""
    if told:
        console().print("\n" + phrase("fit-title"), style="bold")
    for each in told[:TOLD]:
        console().print(f"- {fit_text(weekend, each)}")


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


def fit_documents(weekend: Weekend, told: Sequence[Fit]) -> list[Document]:
    """All of them, those that are enough first."""
    return [_document(weekend, each) for each in told]


def _document(weekend: Weekend, each: Fit) -> Document:
    zone = ZoneInfo(weekend.zone)
    return {
        "code": str(each.code),
        "text": fit_text(weekend, each),
        "subject": each.subject or None,
        "size_s": each.size_s,
        "from": iso(each.from_s, zone) if each.from_s else None,
        "until": iso(each.until_s, zone) if each.until_s else None,
        "on_time": each.on_time,
        "gain": each.gain,
        "standard_error": each.error,
        "enough": each.enough,
        "parts": [_document(weekend, part) for part in each.parts],
    }
