"""What is known of a part, as a small table. No Qt here."""

from collections.abc import Iterator
from html import escape

from fabsched.estimate.raising import raising, times_failing
from fabsched.model.estimates import Estimate
from fabsched.model.project import Part
from fabsched.model.shop import Machine
from fabsched.session.clock import duration
from fabsched.session.project_session import Session
from fabsched.session.wording import breakdown, money, phrase, pointed

LEAST_SHARE = 0.01
"""What takes less than this share of the time is not told (our own choice)."""


def facts_of(session: Session, part: Part) -> str:
    """A table for every machine that could make the part, as rich text; empty while unknown."""
    machines: tuple[Machine, ...] = (*session.shop.printers, *session.shop.lasers)
    names = {machine.id: machine.name for machine in machines}
    currency = session.shop.currency
    tables = []
    for ident, estimate in session.estimates.get(part.id, {}).items():
        rows = "".join(
            f"<tr><td>{escape(name)}&nbsp;&nbsp;</td><td>{escape(pointed(value))}</td></tr>"
            for name, value in _rows(estimate, currency)
        )
        tables.append(f"<p><b>{escape(names.get(ident, ident))}</b></p><table>{rows}</table>")
    return "".join(tables)


def _rows(estimate: Estimate, currency: str) -> Iterator[tuple[str, str]]:
    """Name and value of everything that applies."""
    seconds = estimate.seconds
    yield phrase("fact-time"), duration(seconds.likely)
    yield phrase("fact-range"), f"{duration(seconds.low)} \u2013 {duration(seconds.high)}"
    if estimate.known:
        runs = phrase("fact-known-runs", count=estimate.known, factor=f"{estimate.learnt:.2f}")
        yield phrase("fact-known"), runs
    yield from _spent(estimate)
    yield from _material(estimate, currency)
    yield from _geometry(estimate)


def _spent(estimate: Estimate) -> Iterator[tuple[str, str]]:
    total = sum(estimate.breakdown_s.values()) or 1.0
    for code, spent_s in sorted(estimate.breakdown_s.items(), key=lambda entry: -entry[1]):
        if spent_s / total >= LEAST_SHARE:
            yield f"\u2003{breakdown(code)}", f"{duration(spent_s)} ({spent_s / total:.0%})"


def _material(estimate: Estimate, currency: str) -> Iterator[tuple[str, str]]:
    if estimate.mass_g is not None:
        metres = "" if estimate.filament_mm is None else f", {estimate.filament_mm / 1000:.2f} m"
        yield phrase("fact-mass"), f"{estimate.mass_g:.1f} g{metres}"
    if estimate.cut_mm is not None:
        yield phrase("fact-cut"), f"{estimate.cut_mm / 1000:.2f} m"
    if estimate.pierces is not None:
        yield phrase("fact-pierces"), str(estimate.pierces)
    if estimate.cost is not None:
        yield phrase("fact-cost"), money(estimate.cost, currency)


def _geometry(estimate: Estimate) -> Iterator[tuple[str, str]]:
    heights = () if estimate.height_mm is None else (estimate.height_mm,)
    size = " \u00d7 ".join(f"{side:.1f}" for side in (*estimate.footprint_mm, *heights))
    yield phrase("fact-size"), f"{size} mm"
    if estimate.layers is not None:
        yield phrase("fact-layers"), str(estimate.layers)
    if estimate.contact_mm2 is not None:
        yield phrase("fact-contact"), f"{estimate.contact_mm2:.0f} mm\u00b2"
    if estimate.support_mm3:
        yield phrase("fact-support"), f"{estimate.support_mm3 / 1000:.1f} cm\u00b3"
    if estimate.smallest_mm is not None:
        yield phrase("fact-smallest"), f"{estimate.smallest_mm:.2f} mm"
    if (warp := estimate.warp) is not None:
        inputs = phrase("fact-warp-inputs", span=f"{warp.span_mm:.0f}", corners=warp.corners)
        yield phrase("fact-warp"), f"{phrase(f'warp-{warp.level}')} ({inputs})"
    if causes := raising(estimate):
        named = ", ".join(phrase(f"raising-{cause}") for cause in causes)
        yield (
            phrase("fact-failing"),
            phrase("fact-times-failing", times=f"{times_failing(estimate):.1f}", causes=named),
        )
