"""What `compare` says: the ways side by side, and the verdict."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fabsched.advise.plates.comparing import Comparison
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.joint_list import joint_rows
from fabsched.advise.plates.variants import Variant
from fabsched.cli.tables import console, print_table
from fabsched.session.project_session import Session
from fabsched.session.wording import (
    adopting,
    caution,
    glued,
    near,
    phrase,
    say,
    share,
    verdict,
)

if TYPE_CHECKING:  # brings in the equations' solver
    from fabsched.advise.plates.bending import Give

COLUMNS = (
    "Way",
    ">In time",
    ">A failure costs",
    ">9 in 10 below",
    ">Printing",
    ">Cutting",
    ">Hands",
    ">Plastic",
    ">Cost",
    ">Gives",
    ">Trips",
    "Warp",
)
"""Headings of the table."""
LEAST_TOLD_MM3 = 0.05
"""Smaller pieces that are left out are rounding."""


def print_comparison(session: Session, comparison: Comparison, press: Press) -> None:
    """Print the plates that were found, the ways side by side, and the verdict."""
    out = console()
    for line in _plates(comparison):
        out.print(line)
    rows = [_row(session, variant) for variant in comparison.variants if variant.tally]
    print_table(COLUMNS, rows)
    for line in (
        *_remarks(comparison, press),
        verdict(comparison.verdict.code, comparison.verdict.facts),
    ):
        out.print(line)


def _plates(comparison: Comparison) -> Iterator[str]:
    for number, slab in enumerate(comparison.found.slabs, start=1):
        area = round(slab.area_mm2)
        yield phrase("plate-line", number=number, sheet=slab.sheet_mm, area=area)
    for miss, known in comparison.found.numbered:
        why, size = near(miss.reason, miss.facts), round(miss.slab.area_mm2)
        if known is None:
            yield phrase("near-line", size=size, why=why)
        else:
            yield phrase("adoptable-line", number=known, size=size, why=why)


def _row(session: Session, variant: Variant) -> tuple[str, ...]:
    tally, exposure = variant.tally, variant.exposure
    if tally is None or exposure is None:
        return (name_of(variant), *("" for _ in COLUMNS[1:]))
    sags = [give.worst.sag_mm for give in variant.gives]
    cost = "" if tally.cost is None else f"{tally.cost:.2f} {session.shop.currency}"
    return (
        name_of(variant),
        share(variant.on_time),
        _time(exposure.mean_s),
        _time(exposure.p90_s),
        _time(tally.printing_s),
        _time(tally.cutting_s),
        _time(tally.hands_s),
        f"{tally.mass_g:.0f} g",
        cost,
        f"{max(sags):.1f} mm" if sags else "",
        str(tally.trips),
        phrase(f"warp-{tally.warp}") if tally.warp else "",
    )


def name_of(variant: Variant) -> str:
    """What a way is called in the table."""
    if not variant.pick:
        return phrase("variant-whole")
    return phrase("variant-plates", numbers=_numbers(variant))


def _numbers(variant: Variant) -> str:
    return ", ".join(str(number + 1) for number in variant.pick)


def _time(seconds: float) -> str:
    """Hours and minutes.

    >>> _time(5430), _time(0)
    ('1:31', '0:00')
    """
    minutes = int(seconds / 60 + 0.5)
    return f"{minutes // 60}:{minutes % 60:02d}"


def _remarks(comparison: Comparison, press: Press) -> Iterator[str]:
    """Screws and deflections of the way taken apart, and why others cannot be made."""
    for variant in comparison.variants:
        if variant.hindered is not None:
            yield f"{name_of(variant)}: {say(variant.hindered)}"
        if variant.split and variant.split.balance.crumbs > LEAST_TOLD_MM3:
            lost = round(variant.split.balance.crumbs, 1)
            yield f"{name_of(variant)}: {phrase('crumbs-line', volume=lost)}"
        for _, change in variant.changes:
            yield f"{name_of(variant)}: {adopting(change.reason, change.facts)}"
    shown = comparison.parted
    if shown.made and shown.made.screws[1]:
        screw, count = shown.made.screws
        yield phrase("joints-line", count=count, screw=screw)
    yield from _glued(shown)
    for give in shown.gives:
        yield _gives(shown, give, press)
    if shown.gives:
        yield caution("deflection")


def _glued(variant: Variant) -> Iterator[str]:
    """Why some pieces are only glued, each reason once."""
    rows = joint_rows(variant.split) if variant.split else ()
    for why in sorted({row.why for row in rows if row.why}):
        pieces = ", ".join(str(row.piece) for row in rows if row.why == why)
        yield phrase("glued-line", pieces=pieces, why=glued(why))


def _gives(variant: Variant, give: "Give", press: Press) -> str:
    """How far a plate gives, and where a boss would help."""
    text = phrase(
        "gives-line",
        numbers=_numbers(variant),
        plate=variant.pick[give.plate] + 1,
        sag=f"{give.worst.sag_mm:.2f}",
        force=f"{press.force_n:g}",
    )
    if give.loaded:
        text = f"{text}, {phrase('gives-loaded', sag=f'{give.loaded.sag_mm:.2f}')}"
    if not give.bosses:
        return f"{text}."
    places = ", ".join(f"{boss.at_mm[0]:.0f} x {boss.at_mm[1]:.0f}" for boss in give.bosses)
    more = phrase("bosses-line", places=places, sag=f"{give.bosses[-1].sag_mm:.2f}")
    return f"{text}; {more}."
