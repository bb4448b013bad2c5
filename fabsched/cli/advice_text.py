"""Advice, in words and as documents."""

import shlex
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from fabsched.advise.counsel import (
    Advice,
    Counselled,
    Early,
    Look,
    Need,
    TakeOut,
    WithCoupon,
    coupon_id,
)
from fabsched.cli.documents import Document
from fabsched.cli.progress import run_in
from fabsched.cli.tables import console, print_table
from fabsched.session.advice_request import advice_request
from fabsched.session.advice_words import advice_text
from fabsched.session.bench import Bench
from fabsched.session.clock import duration
from fabsched.session.compare_request import part_named
from fabsched.session.odds_words import points
from fabsched.session.pool import Pool
from fabsched.session.requests import PlanResponse
from fabsched.session.wording import phrase

TOLD = 3
"""So many pieces of advice are told in a terminal; the document has all."""


def advice_on(
    bench: Bench,
    response: PlanResponse,
    now: datetime,
    seed: int,
    pool: Pool,
    *,
    thorough: bool = False,
) -> Counselled:
    """Advice on a plan.

    Raises:
        WorkerLost: a worker process died.
    """
    request = advice_request(bench, response, now, seed, thorough=thorough)
    (done,) = run_in(pool, [request])
    return done.told


def print_advice(told: Sequence[Advice], bench: Bench) -> None:
    """Print what would win most, with the commands that carry it out and take it back."""
    if told:
        console().print("\n" + phrase("advice-title"), style="bold")
    for each in told[:TOLD]:
        console().print(f"- {advice_text(each)}")
        do, undo = commands(each, bench)
        if do:
            line = phrase("advice-command", do=shlex.join(do), undo=shlex.join(undo))
            console().print(f"  {line}", soft_wrap=True)


def commands(told: Advice, bench: Bench) -> tuple[list[str], list[str]]:
    """The command that carries a piece of advice out, and the one that takes it back.

    Empty where there is none: then it is for hands, or for `project.toml`.
    """
    folder = str(bench.folder)
    if isinstance(told.action, TakeOut) and len(told.action.items) == 1:
        log = ["fabsched", "log", folder]
        return [*log, "drop", told.action.items[0]], [*log, "undo"]
    if isinstance(told.action, Need):
        need = ["fabsched", "need", folder, told.action.item]
        return [*need, "--always"], [*need, "--free"]
    if isinstance(told.action, Early):
        need = ["fabsched", "need", folder, told.action.item]
        return [*need, "--early"], [*need, "--not-early"]
    if isinstance(told.action, WithCoupon):
        ident, part = told.action.coupon.id, part_named(bench.project, told.action.part)
        for fit in part.fits:
            if coupon_id(part, fit) == ident:
                coupon = ["fabsched", "coupon", folder, part.id, fit.id]
                return [*coupon, "--add"], [*coupon, "--remove"]
    return [], []


def advice_documents(told: Sequence[Advice], bench: Bench) -> list[Document]:
    """All of it, what wins most first."""
    return [_document(each, *commands(each, bench)) for each in told]


def _document(each: Advice, do: list[str], undo: list[str]) -> Document:
    return {
        "code": str(each.code),
        "text": advice_text(each),
        "subject": each.subject,
        "gain": each.gain,
        "standard_error": each.error,
        "on_time": each.on_time,
        "action": _action(each),
        "command": do or None,
        "undo": undo or None,
    }


def _action(each: Advice) -> Document | None:
    """The step that carries it out, in short."""
    if each.action is None:
        return None
    kind = type(each.action).__name__
    names = {
        "TakeOut": "take-out",
        "Need": "make-needed",
        "Early": "allow-early",
        "WithCoupon": "add-coupon",
    }
    if each.file:
        return {"step": names[kind], "file": each.file, "part": each.subject}
    return {"step": names[kind], **asdict(each.action)}


def print_looks(told: Counselled) -> None:
    """Print what test prints and gates that may be skipped are worth."""
    if not (told.looks or told.coupons):
        return
    console().print("\n" + phrase("looks-title"), style="bold")
    rows = [
        (
            look.name,
            phrase("look-planned" if look.taken else "look-open"),
            points(look.gain.gain),
            duration(max(0.0, look.hands_s)),
            duration(max(0.0, look.machine_s)),
        )
        for look in (*told.looks, *told.coupons)
    ]
    print_table(("what", "", ">wins", ">hands", ">machine"), rows)


def look_documents(looks: Sequence[Look]) -> list[Document]:
    """What looking early costs and wins."""
    return [
        {
            "swap": look.swap,
            "what": look.name,
            "planned": look.taken,
            "hands_s": look.hands_s,
            "machine_s": look.machine_s,
            "without": look.without,
            "on_time": look.gain.on_time,
            "gain": look.gain.gain,
            "standard_error": look.gain.error,
        }
        for look in looks
    ]
