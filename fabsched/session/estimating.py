"""From a part's file to its estimates. Heavy: imported when a request runs."""

from collections.abc import Mapping
from dataclasses import replace

from fabsched.estimate.cutting import estimate_cut
from fabsched.estimate.printing import estimate_print
from fabsched.files.parts import read_part
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Drawing, Mesh, Shape
from fabsched.model.shop import Filament, Laser, Machine, Printer, SheetMaterial
from fabsched.session.requests import EstimateRequest, EstimateResponse

KINDS: Mapping[Route, str] = {Route.PRINT: "mesh", Route.CUT: "drawing"}
"""What a route needs its file to be, in words."""


def estimate_part(request: EstimateRequest, watch: Watch) -> EstimateResponse:
    """Read a part's file and estimate it on every machine of the request.

    Faults of the file, and machines that cannot make the part, come back inside the response.

    Raises:
        Cancelled: the watch said stop.
    """
    watch.report(0.0, "reading")
    estimates: dict[str, Estimate] = {}
    errors: list[InputError] = []
    try:
        shape, findings = read_part(request.path, request.part.unit)
    except InputError as error:
        return _response(request, {}, [error])
    for machine in request.machines:
        check(watch)
        try:
            estimate = _estimate(request, shape, machine, watch)
        except InputError as error:
            errors.append(error)
        else:
            found = _shown((*findings, *estimate.findings), request)
            estimates[machine.id] = replace(estimate, findings=found)
    return _response(request, estimates, errors)


def _estimate(request: EstimateRequest, shape: Shape, machine: Machine, watch: Watch) -> Estimate:
    match shape, machine, request.material:
        case Mesh(), Printer(), Filament():
            return estimate_print(
                shape, machine, request.material, where=request.where, watch=watch
            )
        case Drawing(), Laser(), SheetMaterial():
            thickness_mm = request.part.thickness_mm
            return estimate_cut(
                shape,
                machine,
                request.material,
                _given(thickness_mm, request),
                where=request.where,
                sheet=request.sheet,
            )
        case _:
            raise InputError(Fault.FILE_NOT_OF_KIND, request.where, kind=KINDS[request.part.route])


def _given(thickness_mm: float | None, request: EstimateRequest) -> float:
    if thickness_mm is None:
        where = f"project.toml: part '{request.part.id}': thickness_mm"
        raise InputError(Fault.FIELD_MISSING, where, example="thickness_mm = 3.0")
    return thickness_mm


def _response(
    request: EstimateRequest, estimates: dict[str, Estimate], errors: list[InputError]
) -> EstimateResponse:
    return EstimateResponse(
        id=request.id,
        part=request.part.id,
        key=request.key,
        estimates=estimates,
        errors=tuple(_renamed(error, request) for error in errors),
    )


def _renamed(error: InputError, request: EstimateRequest) -> InputError:
    """The error with the file as the user knows it."""
    where = error.where.replace(str(request.path), request.where)
    return InputError(error.code, where, **error.facts)


def _shown(findings: tuple[Finding, ...], request: EstimateRequest) -> tuple[Finding, ...]:
    """The findings with the file as the user knows it."""
    return tuple(
        replace(finding, where=finding.where.replace(str(request.path), request.where))
        for finding in findings
    )
