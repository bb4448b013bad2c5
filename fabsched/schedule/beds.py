"""Printed parts onto beds: which copies are printed together, and how long that takes."""

import math
from collections.abc import Iterable, Mapping

from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate
from fabsched.model.project import Part
from fabsched.model.references import where_of
from fabsched.model.shop import Printer, Shop
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S, minutes_s
from fabsched.model.weekend import Choice, Run
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import Size, room

BED_GAP_MM = 5.0
"""Room between two parts on a bed, so that the nozzle clears both (common practice)."""

ONCE = ("heating", "cooling")
"""What a bed takes once, however many parts lie on it; keys of `Estimate.breakdown_s`."""

Estimates = Mapping[str, Estimate]
"""Estimates of one part, by the id of the machine they hold for."""


def print_runs(part: Part, estimates: Estimates, shop: Shop, namer: Namer) -> tuple[Run, ...]:
    """The runs that make all copies of a printed part.

    A bed holds as many copies as the roomiest printer takes, or `per_run` if that is less; the
    copies are shared out evenly. Printers that cannot take such a bed are left out, and so are
    attended ones beside printers that run alone.

    Args:
        part: what is printed.
        estimates: for one copy, by printer; where there are none, `part.minutes` holds for every
            printer.
        shop: machines to choose from.
        namer: gives the ids.

    Raises:
        InputError: no printer can make it, or it fits no bed.
    """
    able = [p for p in shop.printers if p.id in estimates or (part.minutes and not estimates)]
    if not able:
        raise InputError(Fault.NO_MACHINE, where_of(part, "route"), route=part.route.value)
    rooms = {printer.id: _room(part, estimates.get(printer.id), printer) for printer in able}
    if not any(rooms.values()):
        x, y, _ = able[0].bed_mm
        raise too_large(part, estimates[able[0].id], (x, y), able[0].name)
    beds = shared_out(part.copies, max(rooms.values()))
    printers = _of_a_kind([printer for printer in able if rooms[printer.id] >= beds[0]])
    return tuple(
        _bed(part, ident, copies, estimates, printers, numbered(part.name, i, len(beds)))
        for i, (ident, copies) in enumerate(zip(namer.row(part.id, len(beds)), beds, strict=True))
    )


def _room(part: Part, estimate: Estimate | None, printer: Printer) -> int:
    """Copies a bed takes; one by one if nothing is known of the shape."""
    most = min(part.copies, part.per_run or part.copies)
    if estimate is None:
        return most if part.per_run else 1
    if estimate.whole_run:
        return 1
    x, y, _ = printer.bed_mm
    return room(estimate, (x, y), BED_GAP_MM, most)


def too_large(part: Part, estimate: Estimate, bed_mm: Size, machine: str) -> InputError:
    """The error for a part that no bed or sheet has room for."""
    return InputError(
        Fault.PART_TOO_LARGE,
        where_of(part, "file"),
        size=" x ".join(f"{side:g}" for side in estimate.footprint_mm),
        machine=machine,
        bed=" x ".join(f"{side:g}" for side in bed_mm),
    )


def _of_a_kind(printers: list[Printer]) -> list[Printer]:
    alone = [printer for printer in printers if printer.unattended]
    return alone or printers


def _bed(
    part: Part,
    ident: str,
    copies: int,
    estimates: Estimates,
    printers: list[Printer],
    name: str,
) -> Run:
    choices = [Choice(p.id, together(part, estimates.get(p.id), copies)) for p in printers]
    return Run(
        id=ident,
        name=name,
        choices=tuple(sorted(choices, key=lambda choice: choice.seconds.likely)),
        attended=not printers[0].unattended,
        start_s=minutes_s(max(p.start_minutes for p in printers)),
        clear_s=minutes_s(max(p.clear_minutes for p in printers)),
        fail_start=max(p.fail_start for p in printers),
        fail_hour=max(p.fail_hour for p in printers),
        cargo=((part.id, copies),),
        after=part.after,
        needed=part.needed,
    )


def shared_out(copies: int, most: int) -> tuple[int, ...]:
    """Copies on each bed: as few beds as possible, evenly filled, the fuller ones first.

    >>> shared_out(7, 3)
    (3, 2, 2)
    """
    beds = math.ceil(copies / most)
    return tuple(copies // beds + (i < copies % beds) for i in range(beds))


def numbered(name: str, i: int, count: int) -> str:
    """The name shown for one of several.

    >>> numbered("Louvre", 0, 2), numbered("Funnel", 0, 1)
    ('Louvre 1/2', 'Funnel')
    """
    return name if count == 1 else f"{name} {i + 1}/{count}"


def together(part: Part, estimate: Estimate | None, copies: int) -> Spread:
    """Machine seconds of `copies` on one bed: what is done once, and the rest times the copies.

    A time known from elsewhere (`Part.minutes`) replaces the estimate's.

    Raises:
        ValueError: neither is given.
    """
    one = _one(part, estimate)
    breakdown_s = estimate.breakdown_s if estimate else {}
    once_s = min(one.low, sum(breakdown_s.get(key, 0.0) for key in ONCE))
    return some_time(once_s + copies * (s - once_s) for s in (one.low, one.likely, one.high))


def some_time(figures: Iterable[float]) -> Spread:
    """Three ascending figures in seconds, none below one: planning knows nothing that takes no time.

    >>> some_time([0.0, 0.0, 90.0])
    Spread(low=1.0, likely=1.0, high=90.0)
    """
    return Spread(*(max(1.0, figure) for figure in figures))


def _one(part: Part, estimate: Estimate | None) -> Spread:
    if part.minutes is not None:
        return part.minutes.scaled(MINUTE_S)
    if estimate is None:
        raise ValueError(part.id)
    return estimate.seconds
