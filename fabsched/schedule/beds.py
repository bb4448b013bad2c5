"""Printed parts onto beds: which copies are printed together, and how long that takes."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from fabsched.estimate.raising import raised, times_failing
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import ONCE, Estimate
from fabsched.model.project import Part
from fabsched.model.references import where_of
from fabsched.model.shop import NEARBY, Printer, Shop
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S, minutes_s
from fabsched.model.weekend import Choice, Run
from fabsched.schedule.names import Namer, bed_names
from fabsched.schedule.nesting import Size, room
from fabsched.schedule.on_machines import run_on

Estimates = Mapping[str, Estimate]
"""Estimates of one part, by the id of the machine they hold for."""

Materials = Mapping[str, frozenset[str]]
"""Ids of filaments by the id of the printer that may be asked for them."""

NO_CHANGES: Materials = MappingProxyType({})
"""Where spools are never changed."""


def print_runs(
    part: Part,
    estimates: Estimates,
    shop: Shop,
    namer: Namer,
    materials: Materials = NO_CHANGES,
) -> tuple[Run, ...]:
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
        materials: filaments each printer is used for, by its id.

    Raises:
        InputError: no printer can make it, or it fits no bed.
    """
    able = able_printers(part, estimates, shop)
    if not able:
        raise InputError(Fault.NO_MACHINE, where_of(part, "route"), route=part.route.value)
    rooms = {printer.id: room_for(part, estimates.get(printer.id), printer) for printer in able}
    if not any(rooms.values()):
        x, y, _ = able[0].bed_mm
        raise too_large(part, estimates[able[0].id], (x, y), able[0].name)
    beds = shared_out(part.copies, max(rooms.values()))
    roomy = of_a_kind([printer for printer in able if rooms[printer.id] >= beds[0]])
    filling = Filling({part.id: estimates}, shop, materials)
    return tuple(
        filling.run(ident, name, [(part, copies)], roomy)
        for ident, name, copies in zip(
            namer.row(part.id, len(beds)),
            bed_names(part.name, beds, 0, part.copies),
            beds,
            strict=True,
        )
    )


def able_printers(part: Part, estimates: Estimates, shop: Shop) -> list[Printer]:
    """Printers that can make a part: those it was estimated for, or all if only its time is known."""
    return [p for p in shop.printers if p.id in estimates or (part.minutes and not estimates)]


def room_for(part: Part, estimate: Estimate | None, printer: Printer) -> int:
    """Copies a bed takes; one by one if nothing is known of the shape."""
    most = min(part.copies, part.per_run or part.copies)
    if estimate is None:
        return most if part.per_run else 1
    if estimate.whole_run:
        return 1
    return room(part, estimate, printer, most)


def too_large(part: Part, estimate: Estimate, bed_mm: Size, machine: str) -> InputError:
    """The error for a part that no bed or sheet has room for."""
    return InputError(
        Fault.PART_TOO_LARGE,
        where_of(part, "file"),
        size=" x ".join(f"{side:g}" for side in estimate.footprint_mm),
        machine=machine,
        bed=" x ".join(f"{side:g}" for side in bed_mm),
    )


def of_a_kind(printers: list[Printer]) -> list[Printer]:
    """Those that run alone; all of them if none does."""
    alone = [printer for printer in printers if printer.runs_alone]
    return alone or printers


Load = Sequence[tuple[Part, int]]
"""Parts on one bed, with how many copies of each."""


@dataclass(frozen=True, slots=True)
class Filling:
    """What runs are made with.

    Attributes:
        estimates: for one copy, by part and printer.
        shop: printers and spools.
        materials: filaments each printer is used for, by its id.
    """

    estimates: Mapping[str, Estimates]
    shop: Shop
    materials: Materials

    def run(self, ident: str, name: str, load: Load, printers: Sequence[Printer]) -> Run:
        """One bed.

        Each printer asks for hands and fails in its own way, more often as its riskiest part has it
        (`estimate.raising`): what comes off or breaks spoils the whole bed. Printers that take different filaments in one project, and beds heavier than
        the fullest spool, ask for hands that change spools. When a run is planned nobody knows what
        ran on its printer before: so a change is counted for each run of such a printer, which is
        one too many where runs of one filament follow each other.
        """
        choices = [
            Choice(
                p.id,
                self._seconds(load, p),
                start_s=minutes_s(p.start_minutes + self._changes(load, p) * p.change_minutes),
                clear_s=minutes_s(p.clear_minutes),
                watch_s=minutes_s(p.watch_minutes) if p.runs_alone else 0,
                stays=p.unattended == NEARBY,
                fail_start=raised(p.fail_start, times),
                fail_hour=p.fail_hour * times,
            )
            for p in printers
            for times in (self._times_failing(load, p),)
        ]
        return run_on(
            choices,
            id=ident,
            name=name,
            attended=not printers[0].runs_alone,
            cargo=tuple((part.id, copies) for part, copies in load),
            after=tuple(dict.fromkeys(need for part, _ in load for need in part.after)),
            needed=any(part.needed for part, _ in load),
        )

    def _seconds(self, load: Load, printer: Printer) -> Spread:
        beds = [(part, self._estimate(part, printer), copies) for part, copies in load]
        return all_together(beds)

    def _times_failing(self, load: Load, printer: Printer) -> float:
        return max(times_failing(self._estimate(part, printer)) for part, _ in load)

    def _estimate(self, part: Part, printer: Printer) -> Estimate | None:
        return self.estimates.get(part.id, {}).get(printer.id)

    def _changes(self, load: Load, printer: Printer) -> int:
        """How often hands change the spool for a bed."""
        several = len(self.materials.get(printer.id, ())) > 1
        material = load[0][0].material
        full_g = max((s.mass_g for s in self.shop.spools if s.material == material), default=0.0)
        masses = [
            copies * (estimate.mass_g or 0.0)
            for part, copies in load
            if (estimate := self._estimate(part, printer))
        ]
        spools = math.ceil(sum(masses) / full_g) if full_g else 1
        return several + max(0, spools - 1)


def materials_on(
    parts: Iterable[Part], estimates: Mapping[str, Estimates], shop: Shop
) -> Materials:
    """Filaments each printer may be asked for in a project, by its id."""
    found: dict[str, set[str]] = {printer.id: set() for printer in shop.printers}
    for part in parts:
        for printer in able_printers(part, estimates.get(part.id, {}), shop):
            found[printer.id].add(part.material)
    return {ident: frozenset(names) for ident, names in found.items()}


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
    return all_together([(part, estimate, copies)])


def all_together(beds: Sequence[tuple[Part, Estimate | None, int]]) -> Spread:
    """Machine seconds of several parts on one bed: the longest of what is done once, and the rest.

    Low figures are added to low ones and high ones to high ones, as if all went well or badly
    together, which is rather too wide than too narrow.

    Raises:
        ValueError: for a part neither minutes nor an estimate is given.
    """
    ones = [(_one(part, estimate), _once_s(part, estimate), n) for part, estimate, n in beds]
    once_s = max(once for _, once, _ in ones)
    rows = [
        [n * (figure - once) for figure in (one.low, one.likely, one.high)] for one, once, n in ones
    ]
    return some_time(once_s + sum(figures) for figures in zip(*rows, strict=True))


def _once_s(part: Part, estimate: Estimate | None) -> float:
    breakdown_s = estimate.breakdown_s if estimate else {}
    return min(_one(part, estimate).low, sum(breakdown_s.get(key, 0.0) for key in ONCE))


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
