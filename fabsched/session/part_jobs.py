"""From a part of a project to the request that estimates it."""

import hashlib
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from fabsched.files.access import told
from fabsched.files.resources import package_folder
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.materials import Filament, SheetMaterial, forbidden_by_name, usable
from fabsched.model.project import Part
from fabsched.model.shop import Machine, Sheet, Shop
from fabsched.session.requests import EstimateRequest

ESTIMATING_FLOORS = ("model", "files", "estimate")
"""Where the code lives that an estimate depends on."""


@dataclass(slots=True)
class Digests:
    """Digests of files, remembered for as long as size and time of change stay the same."""

    _known: dict[Path, tuple[tuple[int, int], str]] = field(default_factory=dict)

    def of(self, path: Path, where: str) -> str:
        """SHA-256 of a file's content.

        Raises:
            InputError: the file is missing or cannot be read.
        """
        with told(where):
            status = path.stat()
            stamp = (status.st_size, status.st_mtime_ns)
            if path not in self._known or self._known[path][0] != stamp:
                with path.open("rb") as file:  # in pieces: quicker than the whole at once
                    self._known[path] = (stamp, hashlib.file_digest(file, "sha256").hexdigest())
        return self._known[path][1]


def estimate_request(part: Part, folder: Path, shop: Shop, digests: Digests) -> EstimateRequest:
    """The request that estimates a part on every machine of its route.

    Raises:
        InputError: its file is missing, its material unknown, or no machine can take its route.
    """
    path = folder / part.file
    digest = digests.of(path, part.file)
    machines, material = machines_for(part, shop), material_of(part, shop)
    sheet = sheet_for(part, shop)
    return EstimateRequest(
        part=part,
        path=path,
        where=part.file,
        machines=machines,
        material=material,
        sheet=sheet,
        key=_key(part, digest, (machines, material, sheet)),
    )


def machines_for(part: Part, shop: Shop) -> tuple[Machine, ...]:
    """The machines of the part's route, in the shop's order.

    Raises:
        InputError: there are none.
    """
    machines: tuple[Machine, ...] = shop.printers if part.route is Route.PRINT else shop.lasers
    if not machines:
        raise InputError(Fault.NO_MACHINE, _field(part, "route"), route=str(part.route))
    return machines


def material_of(part: Part, shop: Shop) -> Filament | SheetMaterial:
    """The part's material.

    Raises:
        InputError: the tables do not hold it, or it is another name of what must not be cut.
    """
    tables: tuple[Filament | SheetMaterial, ...] = (
        shop.filaments if part.route is Route.PRINT else shop.sheet_materials
    )
    for material in tables:
        if material.id == part.material:
            return material
    if part.route is Route.CUT and (bad := forbidden_by_name(shop.sheet_materials, part.material)):
        facts = {"material": part.material, "reason": bad.reason}
        raise InputError(Fault.MATERIAL_FORBIDDEN, _field(part, "material"), **facts)
    known = ", ".join(usable(tables))
    raise InputError(
        Fault.MATERIAL_UNKNOWN, _field(part, "material"), material=part.material, known=known
    )


def sheet_for(part: Part, shop: Shop) -> Sheet | None:
    """The first sheet in stock a part can be cut from."""
    if part.route is not Route.CUT:
        return None
    for sheet in shop.sheets:
        if (sheet.material, sheet.thickness_mm) == (part.material, part.thickness_mm):
            return sheet
    return None


def _field(part: Part, name: str) -> str:
    return f"project.toml: part '{part.id}': {name}"


def _key(part: Part, digest: str, settings: object) -> str:
    """Digest of all an estimate depends on; names, counts and order of work are left out."""
    bare = replace(part, id="", name="", copies=1, needed=True, after=(), per_run=None)
    everything = repr((digest, bare, settings, code_digest()))
    return hashlib.sha256(everything.encode()).hexdigest()


@cache
def code_digest() -> str:
    """Digest of the estimating code, so that estimates of an older version are not used again."""
    digest = hashlib.sha256()
    for floor in ESTIMATING_FLOORS:
        for source in sorted((package_folder() / floor).rglob("*.py")):
            digest.update(source.read_bytes())
    return digest.hexdigest()
