"""Whether everything is in hand before a weekend begins: for the window and the command line."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from math import ceil, floor, prod

from fabsched.advise.fits import Obstacle
from fabsched.advise.ready import Lack, lacks, runs_ahead, starts_of
from fabsched.advise.wiring import WiringRoom, wiring_room
from fabsched.model.deliveries import order_by
from fabsched.model.errors import InputError
from fabsched.model.project import Channel, Component, Part
from fabsched.model.state import State
from fabsched.model.weekend import Run
from fabsched.session.bench import Bench
from fabsched.session.fit_records import is_short
from fabsched.session.requests import PlanResponse
from fabsched.session.stock_records import FilamentStock, SheetStock, Stock
from fabsched.session.wording import figure, phrase, sides_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """What is known before a weekend begins.

    Attributes:
        lacks: what is not in hand, the most pressing first.
        faults: files that cannot be read or made, hours that never meet, ways that are missing.
        mixed_up: components that go in only one way round, with their notes.
        wirings: channels, each with the room in it.
        obstacles: what alone takes longer than there is time, however it is ordered.
        counted: whether there is a plan, so that filament and sheets are among the lacks.
    """

    lacks: tuple[Lack, ...]
    faults: tuple[InputError, ...]
    mixed_up: tuple[Component, ...]
    wirings: tuple[tuple[Channel, WiringRoom], ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    counted: bool = False

    @property
    def open_points(self) -> int:
        """How much has still to be put right; spares that are missing do not stand in the way."""
        essential = sum(lack.essential for lack in self.lacks)
        crowded = sum(not room.fits for _, room in self.wirings)
        return essential + crowded + len(self.faults) + len(self.obstacles)

    @property
    def is_ready(self) -> bool:
        """Whether nothing stands in the way."""
        return not self.open_points


def readiness(
    bench: Bench, response: PlanResponse | None, fault: InputError | None, now_s: int
) -> Readiness:
    """What stands in the way of a weekend.

    Args:
        bench: the open project; estimated as far as that is possible.
        response: its plan; None if there is none.
        fault: why there is no plan.
        now_s: the present moment, from which it begins unless the project says otherwise.
    """
    project, state = bench.project, bench.log.state
    start_s = int(project.start.timestamp()) if project.start else now_s
    begin_s = max(now_s, start_s)
    starts = starts_of(response.weekend, response.answer) if response else {}
    done = _done(state) - starts.keys()
    found = [
        *lacks(project, begin_s, starts, state.earliest_s, done),
        *(_of_stock(bench, response) if response else ()),
    ]
    problems = [error for errors in bench.problems.values() for error in errors]
    told = {str(error): error for error in (*problems, *((fault,) if fault else ()))}
    return Readiness(
        lacks=tuple(sorted(found, key=lambda lack: (lack.by_s, not lack.essential))),
        faults=tuple(told.values()),
        mixed_up=tuple(component for component in project.components if component.note),
        wirings=tuple(
            (each, wiring_room(each.cables_mm, each.size_mm)) for each in project.channels
        ),
        obstacles=_obstacles(response) if response else (),
        counted=response is not None,
    )


def _done(state: State) -> frozenset[str]:
    """Items something of which is done."""
    return frozenset(item for stint in state.done.values() for item, _ in stint.meant.items)


def _obstacles(response: PlanResponse) -> tuple[Obstacle, ...]:
    """What no order can mend; nothing where the plan is sure enough."""
    from fabsched.advise.obstacles import obstacles  # noqa: PLC0415 - the planner comes with it

    if not is_short(response.weekend, response.answer):
        return ()
    return obstacles(response.weekend, response.answer.plan)


def _of_stock(bench: Bench, response: PlanResponse) -> Iterator[Lack]:
    """Filament and sheets that what is still to be made takes and that are not there."""
    parts = {part.id: part for part in bench.project.parts}
    runs = [
        _Taking(run, parts[run.cargo[0][0]], start_s)
        for run, start_s in runs_ahead(response.weekend, response.answer)
        if run.cargo and run.cargo[0][0] in parts
    ]
    stock = response.stock or Stock()
    for filament in stock.filaments:
        mine = [each for each in runs if each.part.material == filament.material]
        if mine and filament.buy_g > 0:
            yield _filament(bench, filament, mine)
    kinds = Counter((each.material, each.thickness_mm) for each in stock.sheets)
    for sheet in stock.sheets:
        kind = (sheet.material, sheet.thickness_mm)
        mine = [each for each in runs if (each.part.material, each.part.thickness_mm) == kind]
        if mine and sheet.buy:
            yield _sheet(bench, sheet, mine, alone=kinds[kind] == 1)


@dataclass(frozen=True, slots=True)
class _Taking:
    """A run with the first of its parts, all of which are of one material, and its beginning."""

    run: Run
    part: Part
    start_s: int


def _filament(bench: Bench, found: FilamentStock, mine: Sequence[_Taking]) -> Lack:
    """A filament that runs out; it has to be there for the first run it no longer suffices for."""
    takes_g = [_grams(bench, each.run) for each in mine]
    buy_g = min(found.buy_g, sum(takes_g)) or found.buy_g
    reaches_g = sum(takes_g) - buy_g
    enough = sum(reached <= reaches_g for reached in accumulate(takes_g))
    first = mine[min(enough, len(mine) - 1)]
    return Lack(
        id=found.material,
        what=found.material,
        buy=ceil(buy_g),
        unit="g",
        have=floor(found.have_g),
        by_s=order_by(first.start_s, 0, bench.project.zone),
        first=first.part.id,
        is_stock=True,
    )


def _grams(bench: Bench, run: Run) -> float:
    """How much filament a run takes, at the most."""
    known = [(copies, bench.estimates.get(part, {}).values()) for part, copies in run.cargo]
    return sum(copies * max((e.mass_g or 0.0 for e in all_), default=0.0) for copies, all_ in known)


def _sheet(bench: Bench, found: SheetStock, mine: Sequence[_Taking], *, alone: bool) -> Lack:
    """Sheets of a kind that run out.

    Args:
        bench: the open project.
        found: how many are short.
        mine: what is cut of that material and thickness, in order.
        alone: whether all of that lies on sheets of this kind; else it is not told apart what takes
            which, and the first counts.
    """
    buy = min(found.buy, len(mine))
    first = mine[len(mine) - buy if alone else 0]
    return Lack(
        id=found.stock or found.material,
        what=_sheet_text(bench, found, mine),
        buy=buy,
        have=found.have,
        by_s=order_by(first.start_s, 0, bench.project.zone),
        first=first.part.id,
        is_stock=True,
    )


def _sheet_text(bench: Bench, found: SheetStock, mine: Sequence[_Taking]) -> str:
    """Material, thickness and size; of what is not in the shop file, the size of the largest part."""
    thick = "" if found.thickness_mm is None else f" {figure(found.thickness_mm)} mm"
    what = f"{found.material}{thick}"
    if found.stock:
        return phrase("lack-sheet", what=f"{what}, {sides_text(found.size_mm)} mm")
    parts = {part for each in mine for part, _ in each.run.cargo}
    known = [e.footprint_mm for part in parts for e in bench.estimates.get(part, {}).values()]
    if not known:
        return phrase("lack-sheet", what=what)
    return phrase("lack-sheet-least", what=what, size=sides_text(max(known, key=prod), 0))
