"""Part files taken into a project, with defaults a maker can leave as they are."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISREG

from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.names import free_name, readable, slug
from fabsched.files.routes import route_of
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.materials import Cutting
from fabsched.model.progress import Watch, check
from fabsched.model.project import Part
from fabsched.model.shop import Shop

PARTS_FOLDER = "parts"
"""Where part files live inside a project folder."""

DEFAULT_FILAMENT = "PLA"
"""What a print is made of if the shop has no spool (our own choice: the easiest to print)."""


def check_adoptable(path: Path) -> None:
    """Refuse what cannot become a part: unknown endings, missing and empty files, folders.

    Raises:
        InputError: see above.
    """
    with told(str(path)):
        status = path.stat()
    if not S_ISREG(status.st_mode):
        raise InputError(Fault.NOT_A_FILE, str(path))
    route_of(path, str(path))
    if status.st_size == 0:
        raise InputError(Fault.FILE_EMPTY, str(path))


def new_parts(files: Iterable[Path], folder: Path, shop: Shop) -> tuple[Part, ...]:
    """Copy part files into a new project and make a part of each.

    Raises:
        InputError: one of them is no part file, or cannot be copied.
    """
    return parts_of([adopt(path, folder) for path in files], (), shop)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adopted:
    """Files that lie in a project folder now.

    Attributes:
        files: their paths relative to the folder.
        refused: why others were left out.
    """

    files: tuple[str, ...]
    refused: tuple[InputError, ...] = ()


def adopt_all(paths: Iterable[Path], folder: Path, watch: Watch) -> Adopted:
    """Copy part files into a project; see `adopt`.

    Raises:
        Cancelled: the watch said stop; what has been copied by then stays.
    """
    files, refused, wanted = list[str](), list[InputError](), tuple(paths)
    for done, path in enumerate(wanted):
        watch.report(done / len(wanted), "copying")
        check(watch)
        try:
            files.append(adopt(path, folder))
        except InputError as error:
            refused.append(error)
    return Adopted(files=tuple(files), refused=tuple(refused))


def parts_of(files: Iterable[str], taken: Collection[str], shop: Shop) -> tuple[Part, ...]:
    """A part of each file, made the usual way.

    Args:
        files: paths relative to the project folder.
        taken: ids that are in use.
        shop: what there is.
    """
    parts: list[Part] = []
    for file in files:
        used = (*taken, *(part.id for part in parts))
        parts.append(default_part(file, used, shop))
    return tuple(parts)


def adopt(path: Path, folder: Path) -> str:
    """Copy a part file into a project, unless it lies in it already.

    Args:
        path: the file.
        folder: the project folder.

    Returns:
        The copy's path relative to the folder, with forward slashes. If the name is taken by
        another file, the copy gets a number.

    Raises:
        InputError: it is no part file, or it cannot be copied.
    """
    check_adoptable(path)
    if path.resolve().is_relative_to(folder.resolve()):
        return path.resolve().relative_to(folder.resolve()).as_posix()
    with told(str(path)):
        data = path.read_bytes()
    with told(str(folder), Fault.FILE_UNWRITABLE):
        (folder / PARTS_FOLDER).mkdir(exist_ok=True)
    target = _free_path(folder / PARTS_FOLDER, path.name, data)
    write_bytes_atomic(target, data)
    return target.relative_to(folder).as_posix()


def _free_path(folder: Path, name: str, data: bytes) -> Path:
    """Where a copy goes: a name nobody has, or that of a file with the same content."""
    stem, ending = Path(name).stem, Path(name).suffix
    target, number = folder / name, 2
    while target.exists() and target.read_bytes() != data:
        target, number = folder / f"{stem}-{number}{ending}", number + 1
    return target


def default_part(file: str, taken: Collection[str], shop: Shop) -> Part:
    """A part of a file, made the usual way from what the shop has.

    Args:
        file: path relative to the project folder.
        taken: ids that are in use.
        shop: what there is.
    """
    ident = free_name(slug(Path(file).stem), taken)
    if route_of(Path(file), file) is Route.CUT:
        material, thickness_mm = default_sheet(shop)
        return Part(
            id=ident,
            name=readable(ident),
            file=file,
            route=Route.CUT,
            material=material,
            thickness_mm=thickness_mm,
        )
    return Part(id=ident, name=readable(ident), file=file, material=default_filament(shop))


def default_filament(shop: Shop) -> str:
    """The first spool's material; without spools the usual one, or the first in the tables."""
    known = [filament.id for filament in shop.filaments]
    stocked = [spool.material for spool in shop.spools if spool.material in known]
    usual = [ident for ident in known if ident == DEFAULT_FILAMENT]
    return [*stocked, *usual, *known, DEFAULT_FILAMENT][0]


def default_sheet(shop: Shop) -> tuple[str, float | None]:
    """The first sheet that may be cut; without sheets, the thinnest entry of the tables."""
    allowed = {
        material.id: material
        for material in shop.sheet_materials
        if material.cutting is not Cutting.FORBIDDEN
    }
    for sheet in shop.sheets:
        if sheet.material in allowed:
            return sheet.material, sheet.thickness_mm
    for material in allowed.values():
        if material.settings:
            return material.id, min(setting.thickness_mm for setting in material.settings)
    return "", None
