"""What is said of the parts, put together from the program's wording. No Qt here."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fabsched.desktop.words import error_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.project import Part
from fabsched.model.shop import Machine
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S
from fabsched.session.clock import duration
from fabsched.session.cures import Cure, cure_for
from fabsched.session.noticed import say, text_of
from fabsched.session.project_session import Session
from fabsched.session.wording import phrase, route

TRIED = frozenset({Remark.FIRST_GUESS, Fault.CUT_UNKNOWN, Fault.DISPUTED_UNSET})
"""What a test cut would tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noticed:
    """Something about a part.

    Attributes:
        text: what.
        cure: the step that puts it right; None if there is none.
        tries: whether a test cut would tell.
    """

    text: str
    cure: Cure | None = None
    tries: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PartWords:
    """What is said of a part.

    Attributes:
        time: machine time of one copy, on the quickest machine; empty while unknown.
        waiting: what to say while it is: a first figure, called rough, or that it is worked out.
        route: how it is made.
        tip: more about it, in lines.
        errors: why it cannot be made.
        findings: what was noticed.
    """

    time: str
    waiting: str
    route: str
    tip: str
    errors: tuple[Noticed, ...] = ()
    findings: tuple[Noticed, ...] = ()


def parts_words(
    session: Session, lost: Mapping[str, Exception], *, stopped: bool
) -> dict[str, PartWords]:
    """What is said of every part, by id.

    Args:
        session: the open project.
        lost: why estimates broke off, by part id.
        stopped: whether nothing is being estimated, though it should be.
    """
    estimates, problems, roughs = session.estimates, session.problems, session.roughs
    small = {f.where: f for f in session.findings if f.code is Remark.SHEET_SMALL}
    told: dict[str, PartWords] = {}
    for part in session.project.parts:
        known = estimates.get(part.id, {})
        errors = _noticed(part, problems.get(part.id, ()))
        broken = (Noticed(text=error_text(lost[part.id])),) if part.id in lost else ()
        found = [f for estimate in known.values() for f in estimate.findings]
        found += [small[part.file]] if part.file in small else []
        told[part.id] = PartWords(
            time=_time_text(part, known),
            waiting=_waiting_text(part, roughs.get(part.id), stopped=stopped),
            route=route(part.route),
            tip=_part_tip(session, part, known),
            errors=(*errors, *broken),
            findings=_noticed(part, found),
        )
    return told


def shortage_texts(session: Session) -> tuple[str, ...]:
    """What is not in stock, a line each."""
    return tuple(say(f) for f in session.findings if f.code is Remark.STOCK_SHORT)


def _noticed(part: Part, found: Iterable[InputError | Finding]) -> tuple[Noticed, ...]:
    """Everything once, whatever machine it came up with."""
    told = {text_of(one): _notice(part, one) for one in found}
    return tuple(told.values())


def _notice(part: Part, one: InputError | Finding) -> Noticed:
    return Noticed(text=text_of(one), cure=cure_for(part, one), tries=one.code in TRIED)


def _time_text(part: Part, estimates: Mapping[str, Estimate]) -> str:
    if part.minutes is not None:
        return _each(part, part.minutes.likely * MINUTE_S)
    if not estimates:
        return ""
    return _each(part, min(estimate.seconds.likely for estimate in estimates.values()))


def _waiting_text(part: Part, guess: Spread | None, *, stopped: bool) -> str:
    if guess is not None:
        return phrase("rough", time=_each(part, guess.likely))
    return phrase("not-estimated" if stopped else "estimating")


def _each(part: Part, seconds: float) -> str:
    return phrase("time-each", time=duration(seconds)) if part.copies > 1 else duration(seconds)


def _part_tip(session: Session, part: Part, estimates: Mapping[str, Estimate]) -> str:
    """File and material, then time and material of one copy on every machine, a line each."""
    machines: tuple[Machine, ...] = (*session.shop.printers, *session.shop.lasers)
    names = {machine.id: machine.name for machine in machines}
    lines = [f"{part.file}, {part.material}"]
    lines += [
        f"{names.get(ident, ident)}: {_range(estimate.seconds)}{_material(estimate)}"
        for ident, estimate in estimates.items()
    ]
    return "\n".join(lines)


def _range(seconds: Spread) -> str:
    return f"{duration(seconds.low)} \u2013 {duration(seconds.high)}"


def _material(estimate: Estimate) -> str:
    if estimate.route is Route.PRINT and estimate.mass_g is not None:
        return f", {estimate.mass_g:.0f} g"
    if estimate.cut_mm is not None:
        return f", {phrase('metres-to-cut', metres=round(estimate.cut_mm / 1000, 1))}"
    return ""
