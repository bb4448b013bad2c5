"""From a part's file to its estimates. Heavy: imported when a request runs."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from fabsched.estimate.cutting import estimate_cut
from fabsched.estimate.poses import poses
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.program import estimate_program
from fabsched.files.parts import read_part
from fabsched.files.routes import ROUTES
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Pose
from fabsched.model.findings import Finding, Remark
from fabsched.model.materials import Filament, SheetMaterial
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Drawing, Mesh, Program, Shape
from fabsched.model.shop import Laser, Machine, Printer
from fabsched.session.inputs import EstimateInput
from fabsched.session.warming import make_ready

SHAPES: Mapping[type[Shape], str] = {
    Mesh: "solid",
    Drawing: "drawing",
    Program: "prepared print",
}
"""What a file may hold, in words."""

Outcome = tuple[dict[str, Estimate], tuple[InputError, ...]]
"""Estimates by machine id, and what was in the way of others."""


def estimate_part(given: EstimateInput, watch: Watch) -> Outcome:
    """Read a part's file and estimate it on every machine.

    Returns:
        The estimates, and the faults of the file or of machines that cannot make the part.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "reading")
    estimates: dict[str, Estimate] = {}
    errors: list[InputError] = []
    try:
        shape, findings = read_part(given.path, given.part.unit, given.part.layers)
    except InputError as error:
        return {}, (_renamed(error, given),)
    for machine in given.machines:
        check(watch)
        try:
            estimate = _estimate(given, shape, machine, watch)
        except InputError as error:
            errors.append(_renamed(error, given))
        else:
            found = _shown(_once(findings, estimate.findings), given)
            estimates[machine.id] = replace(estimate, findings=found)
    asked = () if estimates else _unit_meant(findings, given)
    return estimates, asked or tuple(errors)


def _unit_meant(findings: Iterable[Finding], given: EstimateInput) -> tuple[InputError, ...]:
    """The question for the unit, where its being another one explains why nothing can make a part."""
    suspect = next((f for f in findings if f.code is Remark.UNIT_SUSPECT), None)
    return (InputError(Fault.UNIT_MEANT, given.where, **suspect.facts),) if suspect else ()


def poses_of_part(given: EstimateInput, watch: Watch) -> tuple[Pose, ...]:
    """Read a part's file and find the best ways to print it on the first machine, best first.

    Raises:
        InputError: the file is at fault.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "reading")
    shape, _ = read_part(given.path, given.part.unit)
    match shape, given.machines[0], given.material:
        case Mesh(), Printer() as printer, Filament() as filament:
            return poses(shape, printer, filament, where=given.where, watch=watch)
        case _:
            return ()


def _estimate(given: EstimateInput, shape: Shape, machine: Machine, watch: Watch) -> Estimate:
    match shape, machine, given.material:
        case Mesh(), Printer(), Filament():
            turn_deg = given.part.turn_deg
            return estimate_print(
                shape, machine, given.material, where=given.where, turn_deg=turn_deg, watch=watch
            )
        case Program(), Printer(), Filament():
            return estimate_program(shape, machine, given.material, where=given.where, watch=watch)
        case Drawing(), Laser(), SheetMaterial():
            return estimate_cut(
                shape,
                machine,
                given.material,
                _thickness_mm(given),
                where=given.where,
                sheet=given.sheet,
                turns_deg=given.part.lay_deg,
            )
        case _:
            raise _misrouted(given, shape)


def _misrouted(given: EstimateInput, shape: Shape) -> InputError:
    """The error for a file that is nothing for its part's route."""
    route = given.part.route
    kind = SHAPES[type(shape)]
    known = ", ".join(ending for ending, usual in ROUTES.items() if usual is route)
    facts = {"shape": kind, "route": str(route), "known": known}
    return InputError(Fault.ROUTE_UNFIT, given.where, **facts)


def _thickness_mm(given: EstimateInput) -> float:
    if given.part.thickness_mm is None:
        where = f"project.toml: part '{given.part.id}': thickness_mm"
        raise InputError(Fault.FIELD_MISSING, where, example="thickness_mm = 3.0")
    return given.part.thickness_mm


def _renamed(error: InputError, given: EstimateInput) -> InputError:
    """The error with the file as the user knows it."""
    where = error.where.replace(str(given.path), given.where)
    return InputError(error.code, where, **error.facts)


def _once(read: tuple[Finding, ...], more: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """What was noticed in a file, and beside that what its estimate noticed."""
    codes = {finding.code for finding in read}
    return (*read, *(finding for finding in more if finding.code not in codes))


def _shown(findings: tuple[Finding, ...], given: EstimateInput) -> tuple[Finding, ...]:
    """The findings with the file as the user knows it."""
    return tuple(
        replace(finding, where=finding.where.replace(str(given.path), given.where))
        for finding in findings
    )
