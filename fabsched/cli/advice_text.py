"""Advice, in words and as documents."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from fabsched.advise.counsel import Advice
from fabsched.cli.documents import Document
from fabsched.cli.progress import run_in
from fabsched.cli.tables import console
from fabsched.session.advice_request import advice_request
from fabsched.session.advice_words import advice_text
from fabsched.session.bench import Bench
from fabsched.session.pool import Pool
from fabsched.session.requests import PlanResponse
from fabsched.session.wording import phrase

TOLD = 3
"""So many pieces of advice are told in a terminal; the document has all."""


def advice_on(
    bench: Bench, response: PlanResponse, now: datetime, seed: int, pool: Pool
) -> tuple[Advice, ...]:
    """Advice on a plan.

    Raises:
        WorkerLost: a worker process died.
    """
    request = advice_request(bench, response.weekend, response.answer, now, seed)
    (done,) = run_in(pool, [request])
    return done.advice


def print_advice(told: Sequence[Advice]) -> None:
    """Print what would win most."""
    if told:
        console().print("\n" + phrase("advice-title"), style="bold")
    for each in told[:TOLD]:
        console().print(f"- {advice_text(each)}")


def advice_documents(told: Sequence[Advice]) -> list[Document]:
    """All of it, what wins most first."""
    return [
        {
            "code": str(each.code),
            "text": advice_text(each),
            "subject": each.subject,
            "gain": each.gain,
            "standard_error": each.error,
            "on_time": each.on_time,
            "action": _action(each),
        }
        for each in told
    ]


def _action(each: Advice) -> Document | None:
    """The step that carries it out, in short."""
    if each.action is None:
        return None
    kind = type(each.action).__name__
    names = {"TakeOut": "take-out", "Need": "make-needed", "WithCoupon": "add-coupon"}
    if each.file:
        return {"step": names[kind], "file": each.file, "part": each.subject}
    return {"step": names[kind], **asdict(each.action)}
