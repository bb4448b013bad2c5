"""`fabsched estimate`: time, material and size of part files."""

import json
import sys
from argparse import Namespace
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fabsched.cli.documents import part_document, rejected_document
from fabsched.cli.estimate_text import print_estimates, print_poses
from fabsched.cli.progress import run_all
from fabsched.files.experience_sqlite import ExperienceFile, default_file
from fabsched.files.length_units import said_mm
from fabsched.files.names import readable, slug
from fabsched.files.project_toml import PROJECT_FILE, THICKNESS
from fabsched.files.routes import route_of
from fabsched.files.shop_toml import find_shop, read_shop
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Pose, Route
from fabsched.model.materials import Cutting, Filament, SheetMaterial, forbidden_by_name, usable
from fabsched.model.project import Part
from fabsched.model.shop import Machine, Shop
from fabsched.session.estimate_cache import EstimateCache, default_folder
from fabsched.session.experience import Experiences
from fabsched.session.new_parts import check_adoptable, default_filament, default_sheet
from fabsched.session.noticed import say
from fabsched.session.part_jobs import Digests, estimate_request
from fabsched.session.requests import EstimateRequest, PosesRequest


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file.

    Attributes:
        file: as it was written on the command line.
        name: name shown; empty if the file is no part.
        estimate: None if the file was rejected.
        error: why it was rejected, or None.
        poses: ways to print it, best first; None if they were not asked for.
    """

    file: str
    name: str = ""
    estimate: Estimate | None = None
    error: InputError | None = None
    poses: tuple[Pose, ...] | None = None


def estimate(arguments: Namespace) -> bool:
    """Estimate the files and print what was found.

    Returns:
        Whether a file was rejected.

    Raises:
        InputError: the shop or an option is at fault.
    """
    shop = _narrowed(read_shop(arguments.shop or find_shop(Path())), arguments)
    _check_options(arguments, shop)
    outcomes = _taught(_outcomes(arguments, shop), shop)
    if arguments.json:
        print(json.dumps(_document(outcomes), indent=2))  # noqa: T201 - the output
    else:
        print_estimates([(o.name, o.estimate) for o in outcomes if o.estimate], shop.currency)
        for outcome in outcomes:
            print_poses(outcome.name, outcome.poses or ())
    rejected = [outcome.error for outcome in outcomes if outcome.error is not None]
    for error in rejected:
        print(say(error), file=sys.stderr)  # noqa: T201 - this is what stderr is for
    return bool(rejected)


def _taught(outcomes: Sequence[Outcome], shop: Shop) -> list[Outcome]:
    """The outcomes with what the user's log says of their machines put to them."""
    experiences = Experiences(ExperienceFile(default_file()))
    for noticed in experiences.noticed:
        print(say(noticed), file=sys.stderr)  # noqa: T201 - this is what stderr is for
    machines = shop.machines

    def taught(estimate: Estimate | None) -> Estimate | None:
        return estimate and experiences.taught(estimate, machines.get(estimate.machine))

    def turned(poses: tuple[Pose, ...] | None) -> tuple[Pose, ...] | None:
        return poses and tuple(replace(pose, estimate=taught(pose.estimate)) for pose in poses)

    return [replace(o, estimate=taught(o.estimate), poses=turned(o.poses)) for o in outcomes]


def _document(outcomes: Sequence[Outcome]) -> dict[str, object]:
    return {
        "parts": [
            part_document(o.file, o.name, o.estimate, o.poses) for o in outcomes if o.estimate
        ],
        "rejected": [rejected_document(o.file, o.error, o.poses) for o in outcomes if o.error],
    }


def _narrowed(shop: Shop, arguments: Namespace) -> Shop:
    """The shop with only the machine that was asked for."""
    ident: str | None = arguments.machine
    if ident is None:
        return shop
    machines: tuple[Machine, ...] = (*shop.printers, *shop.lasers)
    if ident not in [machine.id for machine in machines]:
        known = ", ".join(machine.id for machine in machines)
        raise InputError(Fault.NAME_UNKNOWN, "--machine", name=ident, known=known)
    return replace(
        shop,
        printers=tuple(printer for printer in shop.printers if printer.id == ident),
        lasers=tuple(laser for laser in shop.lasers if laser.id == ident),
    )


def _outcomes(arguments: Namespace, shop: Shop) -> list[Outcome]:
    """What became of each file, in their order."""
    digests = Digests()
    asked: list[EstimateRequest | Outcome] = []
    for path in arguments.files:
        try:
            check_adoptable(path)
            part = _part(path, arguments, shop)
            asked.append(estimate_request(part, Path(), shop, digests))
        except InputError as error:
            asked.append(Outcome(str(path), error=_named_by(path, error)))
    requests = [request for request in asked if isinstance(request, EstimateRequest)]
    found = _carried_out(requests)
    if arguments.poses:
        found = _with_poses(requests, found)
    return [found[entry.id] if isinstance(entry, EstimateRequest) else entry for entry in asked]


def _carried_out(requests: Sequence[EstimateRequest]) -> dict[int, Outcome]:
    """The outcome of each request by its id; what an earlier run has found is used again."""
    cache = EstimateCache(default_folder())
    known = {request.id: cache.get(request.key) for request in requests}
    responses = run_all([request for request in requests if known[request.id] is None])
    answers = {response.id: response for response in responses}
    for response in responses:
        if not response.errors:
            cache.put(response.key, response.estimates)
    outcomes: dict[int, Outcome] = {}
    for request in requests:
        answer = answers.get(request.id)
        estimates = answer.estimates if answer is not None else known[request.id] or {}
        errors = answer.errors if answer is not None else ()
        outcomes[request.id] = _outcome(request, list(estimates.values()), errors)
    return outcomes


def _with_poses(
    requests: Sequence[EstimateRequest], found: Mapping[int, Outcome]
) -> dict[int, Outcome]:
    """The outcomes with the poses of all prints, on the machine that counts for each."""
    asked = {
        request.id: _poses_request(request, found[request.id])
        for request in requests
        if request.part.route is Route.PRINT and _has_poses(found[request.id])
    }
    poses = {response.id: response.poses for response in run_all(list(asked.values()))}
    return {
        ident: replace(outcome, poses=poses[asked[ident].id] if ident in asked else ())
        for ident, outcome in found.items()
    }


def _has_poses(outcome: Outcome) -> bool:
    """Whether a file holds something that can be turned, even if it does not fit as it was drawn."""
    sizes = (Fault.PART_TOO_LARGE, Fault.PART_FITS_TURNED)
    return outcome.error is None or outcome.error.code in sizes


def _poses_request(request: EstimateRequest, outcome: Outcome) -> PosesRequest:
    counts = [m for m in request.machines if outcome.estimate and m.id == outcome.estimate.machine]
    return PosesRequest.of(replace(request, machines=tuple(counts) or request.machines))


def _outcome(
    request: EstimateRequest, estimates: Sequence[Estimate], errors: Sequence[InputError]
) -> Outcome:
    """The first machine that can make the part counts."""
    name = request.part.name
    if estimates:
        return Outcome(request.where, name, estimate=estimates[0])
    return Outcome(request.where, name, error=errors[0])


def _part(path: Path, arguments: Namespace, shop: Shop) -> Part:
    """The part a file stands for, with what the command line says about it.

    Raises:
        InputError: the material must not be cut, or no thickness of it is known.
    """
    part = Part(id="part", name=readable(slug(path.stem)), file=str(path), unit=arguments.unit)
    if _route(path, arguments, shop) is Route.PRINT:
        return replace(part, material=arguments.material or default_filament(shop))
    material = arguments.material or default_sheet(shop)[0]
    thickness_mm = arguments.thickness or _usual_mm(material, path, shop)
    cut = replace(part, route=Route.CUT, material=material, thickness_mm=thickness_mm)
    return replace(cut, layers=tuple(dict(arguments.layer).items()))


def _route(path: Path, arguments: Namespace, shop: Shop) -> Route:
    """By the machine that was asked for, else by the file's ending."""
    if arguments.machine is None:
        return route_of(path, str(path))
    return Route.CUT if shop.lasers else Route.PRINT


def _usual_mm(material: str, path: Path, shop: Shop) -> float | None:
    """The thickness of the first such sheet in stock, else the thinnest in the tables.

    Returns:
        None if there is no such material for sheets; that is told elsewhere.

    Raises:
        InputError: it must not be cut, or no thickness of it is known.
    """
    entry = next((entry for entry in shop.sheet_materials if entry.id == material), None)
    if entry is None:
        return None
    if entry.cutting is Cutting.FORBIDDEN:
        facts = {"material": material, "reason": entry.reason}
        raise InputError(Fault.MATERIAL_FORBIDDEN, str(path), **facts)
    stocked = [sheet.thickness_mm for sheet in shop.sheets if sheet.material == material]
    usual = [*stocked, *sorted(setting.thickness_mm for setting in entry.settings)]
    if not usual:
        raise InputError(Fault.FIELD_MISSING, "--thickness", example="--thickness 3.0")
    return usual[0]


def _check_options(arguments: Namespace, shop: Shop) -> None:
    """Refuse options that suit no file at all."""
    thickness_mm: float | None = arguments.thickness
    if thickness_mm is not None and not THICKNESS.low <= thickness_mm <= THICKNESS.high:
        facts = {"value": thickness_mm, "low": THICKNESS.low, "high": THICKNESS.high}
        raise InputError(Fault.FIELD_OUT_OF_RANGE, "--thickness", **facts)
    _check_material(arguments, shop)
    if arguments.unit is not None:
        said_mm(arguments.unit, "--unit")


def _check_material(arguments: Namespace, shop: Shop) -> None:
    """Refuse a material that no table holds; only what is cut has to do with a laser."""
    every: tuple[Filament | SheetMaterial, ...] = (*shop.filaments, *shop.sheet_materials)
    if arguments.material in (None, *(material.id for material in every)):
        return
    cut = [_is_cut(path, arguments, shop) for path in arguments.files]
    tables: tuple[Filament | SheetMaterial, ...] = (
        *(() if all(cut) else shop.filaments),
        *(shop.sheet_materials if any(cut) else ()),
    )
    if (
        any(cut)
        and (bad := forbidden_by_name(shop.sheet_materials, arguments.material)) is not None
    ):
        facts = {"material": arguments.material, "reason": bad.reason}
        raise InputError(Fault.MATERIAL_FORBIDDEN, "--material", **facts)
    facts = {"material": arguments.material, "known": ", ".join(usable(tables))}
    raise InputError(Fault.MATERIAL_UNKNOWN, "--material", **facts)


def _is_cut(path: Path, arguments: Namespace, shop: Shop) -> bool:
    """Whether a file is cut; one of an unknown kind is told about later."""
    try:
        return _route(path, arguments, shop) is Route.CUT
    except InputError:
        return False


def _named_by(path: Path, error: InputError) -> InputError:
    """An error of a part without a project, with the file instead of a field."""
    where = str(path) if error.where.startswith(PROJECT_FILE) else error.where
    return InputError(error.code, where, **error.facts)
