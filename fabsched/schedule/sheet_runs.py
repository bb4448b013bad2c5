"""A sheet as a run of a laser: how long it takes where everything on it lies."""

from collections.abc import Mapping, Sequence

from fabsched.estimate.cut_sheet import Lying, added_s
from fabsched.model.estimates import Estimate
from fabsched.model.shop import Laser
from fabsched.model.spread import Spread
from fabsched.model.units import minutes_s
from fabsched.model.weekend import Choice, Run
from fabsched.nest.records import Placement
from fabsched.schedule.beds import some_time, together
from fabsched.schedule.on_machines import run_on
from fabsched.schedule.piles import Cutting, Pile
from fabsched.schedule.sheet_filling import Filled


def sheet_run(cutting: Cutting, pile: Pile, filled: Filled, ident: str, name: str) -> Run:
    """The run that cuts a sheet; somebody stands beside it, whatever the shop says.

    Args:
        cutting: parts, their estimates and the shop.
        pile: what the parts on it have in common.
        filled: the sheet.
        ident: of the run.
        name: of the run.
    """
    choices = [
        Choice(
            laser.id,
            _sheet_s(cutting, filled, laser),
            start_s=minutes_s(laser.start_minutes),
            clear_s=minutes_s(laser.after_minutes),
            fail_start=laser.fail_start,
            fail_hour=0.0,
        )
        for laser in cutting.lasers(pile)
    ]
    return run_on(
        choices,
        id=ident,
        name=name,
        attended=True,
        cargo=tuple(sorted(filled.cargo.items())),
        after=tuple(sorted(pile.after)),
        needed=any(cutting.part(part).needed for part in filled.cargo),
    )


def _sheet_s(cutting: Cutting, filled: Filled, laser: Laser) -> Spread:
    """Machine seconds of a sheet: those of its copies, and what lies between them."""
    known = {ident: cutting.estimates.get(ident, {}).get(laser.id) for ident in filled.cargo}
    rows = [
        together(cutting.part(ident), known[ident], copies)
        for ident, copies in filled.cargo.items()
    ]
    more_s = _more_s({i: each for i, each in known.items() if each}, filled.placements, laser)
    return some_time(
        sum(figures) + more_s
        for figures in zip(*((row.low, row.likely, row.high) for row in rows), strict=True)
    )


def _more_s(known: Mapping[str, Estimate], placements: Sequence[Placement], laser: Laser) -> float:
    """What ways between copies add to their own times, with what is known of the laser put to it."""
    parts = lying_on(known, placements)
    learnt = next((part.estimate.learnt for part in parts), 1.0)
    return learnt * added_s(parts, laser)


def lying_on(known: Mapping[str, Estimate], placements: Sequence[Placement]) -> tuple[Lying, ...]:
    """The copies on a sheet as they lie there.

    Args:
        known: estimates of one copy by part, on the laser that cuts them.
        placements: where the copies lie; those without an estimate are left out.
    """
    return tuple(
        Lying(estimate=known[p.id], x_mm=p.x_mm, y_mm=p.y_mm, turn_deg=p.turn_deg)
        for p in placements
        if p.id in known
    )
