"""What lies where on the beds and sheets of a plan."""

from collections.abc import Mapping
from dataclasses import dataclass

from fabsched.model.plan import Course, Kind
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.model.weekend import Run
from fabsched.nest.records import Placement
from fabsched.schedule.beds import BED_GAP_MM, Estimates
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import Size, on_bed
from fabsched.schedule.sheets import LaidSheet
from fabsched.schedule.structure import made


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLayout:
    """A bed or a sheet as the planner filled it.

    Attributes:
        run: what is made of it.
        machine: id of the machine that makes it in the plan.
        size_mm: width and depth of the bed or sheet.
        placements: where every copy lies; its id is the part's. Empty where the shape of a part is
            not known, so that only its time is, and where the file itself says where all lies.
    """

    run: Run
    machine: str
    size_mm: Size
    placements: tuple[Placement, ...] = ()


def layouts_of(
    project: Project, shop: Shop, estimates: Mapping[str, Estimates], course: Course
) -> tuple[RunLayout, ...]:
    """The layout of every run, by the same calls the weekend was made with.

    Args:
        project: what was planned.
        shop: what it was planned for.
        estimates: what it was planned with, by part id and machine id.
        course: of the plan; it says which machine takes which run. What it leaves out stays on the
            machine that is preferred.

    Raises:
        InputError: no machine can make a part, or it fits none.
    """
    taken = {b.activity: b.resource for b in course.blocks if b.kind is Kind.RUN}
    prints, sheets = made(project, shop, estimates, Namer(item.id for item in project.items))
    beds = [_bed(run, taken.get(run.id, run.choices[0].machine), shop, estimates) for run in prints]
    return (*beds, *(_sheet(sheet, taken) for sheet in sheets))


def _bed(run: Run, machine: str, shop: Shop, estimates: Mapping[str, Estimates]) -> RunLayout:
    (part, copies), *_ = run.cargo
    printer = next(printer for printer in shop.printers if printer.id == machine)
    x, y, _ = printer.bed_mm
    estimate = estimates.get(part, {}).get(machine)
    if estimate is None or estimate.whole_run:
        return RunLayout(run=run, machine=machine, size_mm=(x, y))
    placements = on_bed(estimate, (x, y), BED_GAP_MM, copies, part)
    return RunLayout(run=run, machine=machine, size_mm=(x, y), placements=placements)


def _sheet(sheet: LaidSheet, taken: Mapping[str, str]) -> RunLayout:
    machine = taken.get(sheet.run.id, sheet.run.choices[0].machine)
    return RunLayout(
        run=sheet.run, machine=machine, size_mm=sheet.size_mm, placements=sheet.placements
    )
