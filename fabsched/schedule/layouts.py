"""What lies where on the beds and sheets of a plan."""

from collections.abc import Mapping
from dataclasses import dataclass

from fabsched.model.plan import Course, Kind, Plan
from fabsched.model.project import Part, Project
from fabsched.model.shop import Border, Shop
from fabsched.model.weekend import Run
from fabsched.nest.records import Placement
from fabsched.schedule.beds import Estimates
from fabsched.schedule.decisions import Candidates
from fabsched.schedule.items import Items
from fabsched.schedule.making import made
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import Size, together_on_bed
from fabsched.schedule.sheets import LaidSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLayout:
    """A bed or a sheet as the planner filled it.

    Attributes:
        run: what is made of it.
        machine: id of the machine that makes it in the plan.
        size_mm: width and depth of the bed or sheet.
        placements: where every copy lies; its id is the part's. Empty where the shape of a part is
            not known, so that only its time is, and where the file itself says where all lies.
        stock: id of the kind of sheet it is; empty for beds, and for sheets of which there are none.
        outline: border of a sheet that is no rectangle.
        keep_out: areas that stay free.
    """

    run: Run
    machine: str
    size_mm: Size
    placements: tuple[Placement, ...] = ()
    stock: str = ""
    outline: Border = ()
    keep_out: tuple[Border, ...] = ()


def layouts_of(
    project: Project,
    shop: Shop,
    estimates: Mapping[str, Estimates],
    course: Course,
    plan: Plan | None = None,
) -> tuple[RunLayout, ...]:
    """The layout of every run that is carried out, by the same calls the weekend was made with.

    Args:
        project: what was planned.
        shop: what it was planned for.
        estimates: what it was planned with, by part id and machine id.
        course: of the plan; it says which machine takes which run. What it leaves out stays on the
            machine that is preferred.
        plan: what is carried out; of a weekend under way that is what is left of it. None where
            nothing was decided, so that all beds and sheets are as usual.

    Raises:
        InputError: no machine can make a part, or it fits none.
    """
    taken = {b.activity: b.resource for b in course.blocks if b.kind is Kind.RUN}
    items = Items(project)
    namer = Namer(item.id for item in project.items)
    found = made(items.spelled_out, shop, estimates, namer)
    if plan is None:
        carried = Candidates.of(items, found, shop, namer).usual
    else:
        carried = frozenset(plan.order) - plan.dropped
    sheets = {sheet.run.id: sheet for sheet in found.all_sheets()}
    parts = {part.id: part for part in project.parts}
    return tuple(
        _sheet(sheets[run.id], taken)
        if run.id in sheets
        else _bed(run, taken.get(run.id, run.choices[0].machine), shop, (parts, estimates))
        for run in found.runs()
        if run.id in carried
    )


def _bed(
    run: Run,
    machine: str,
    shop: Shop,
    given: tuple[Mapping[str, Part], Mapping[str, Estimates]],
) -> RunLayout:
    parts, estimates = given
    printer = next(printer for printer in shop.printers if printer.id == machine)
    x, y, _ = printer.bed_mm
    known = {part: estimates.get(part, {}).get(machine) for part, _ in run.cargo}
    shapes = {part: each for part, each in known.items() if each and not each.whole_run}
    if len(shapes) < len(known):
        return RunLayout(run=run, machine=machine, size_mm=(x, y))
    load = [(parts[ident], copies) for ident, copies in run.cargo]
    placements = together_on_bed(load, shapes, printer)
    return RunLayout(
        run=run,
        machine=machine,
        size_mm=(x, y),
        placements=placements,
        keep_out=printer.keep_out,
    )


def _sheet(sheet: LaidSheet, taken: Mapping[str, str]) -> RunLayout:
    machine = taken.get(sheet.run.id, sheet.run.choices[0].machine)
    return RunLayout(
        run=sheet.run,
        machine=machine,
        size_mm=sheet.size_mm,
        placements=sheet.placements,
        stock=sheet.stock,
        outline=sheet.outline,
        keep_out=sheet.keep_out,
    )
