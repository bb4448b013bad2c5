"""Test cuts: a ladder put out as files, and its outcome noted in the shop file.

Heavy: brings in the compiler. The window notes an outcome in the shop it has open instead, so that
it can be taken back.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from fabsched.estimate.ladder import DrawnLadder, drawn_ladder
from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.dxf_out import dxf_layers_bytes
from fabsched.files.ladder_toml import read_ladder, write_ladder
from fabsched.files.resources import resource
from fabsched.files.shop_edit import save_shop_text, shop_text_with
from fabsched.files.shop_toml import SHOP_FILE, user_shop
from fabsched.files.svg_out import svg_groups_bytes
from fabsched.files.toml_source import read_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding
from fabsched.model.ladder import Ladder, Outcome, setting_of
from fabsched.model.materials import CutSetting, SheetMaterial, forbidden_by_name, usable
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline
from fabsched.model.shop import Laser, Shop
from fabsched.session.export_records import Laid, Sketch
from fabsched.session.wording import phrase, sides_text

STEM = "testcut"
"""Name of the files of a ladder."""
DXF_COLOURS = (1, 2, 3, 4, 6, 30, 140, 200, 52)
"""Colour numbers of the feeds: machines often tell layers apart by colour alone, so each has its own."""
SVG_COLOURS = (
    *("#D55E00", "#E69F00", "#F0E442", "#009E73", "#56B4E9", "#CC79A7"),
    *("#882255", "#44AA99", "#999933"),
)
"""The same for SVG; the first six are those of Okabe & Ito, the others of P. Tol (from memory)."""
SCORE_DXF, SCORE_SVG, BORDER_DXF, BORDER_SVG = 5, "#0072B2", 7, "#000000"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PutOut:
    """A ladder that was written.

    Attributes:
        drawn: what it is.
        files: drawings and the file for noting the outcome, which is the last.
    """

    drawn: DrawnLadder
    files: tuple[Path, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """An outcome that was noted.

    Attributes:
        shop_file: where.
        ladder: what was cut.
        setting: what follows.
        findings: what it leaves open.
    """

    shop_file: Path
    ladder: Ladder
    setting: CutSetting
    findings: tuple[Finding, ...]


def laser_of(shop: Shop, ident: str | None, where: str) -> Laser:
    """The laser of an id, or the first.

    Raises:
        InputError: there is none.
    """
    if not shop.lasers:
        raise InputError(Fault.NO_MACHINE, where, route="cut")
    if ident is None:
        return shop.lasers[0]
    found = next((laser for laser in shop.lasers if laser.id == ident), None)
    if found is None:
        known = ", ".join(laser.id for laser in shop.lasers)
        raise InputError(Fault.NAME_UNKNOWN, where, name=ident, known=known)
    return found


def sheet_of(shop: Shop, ident: str, where: str) -> SheetMaterial:
    """The sheet material of an id.

    Raises:
        InputError: the tables do not hold it, or it is a name of what must not be cut.
    """
    found = next((material for material in shop.sheet_materials if material.id == ident), None)
    if found is not None:
        return found
    if (bad := forbidden_by_name(shop.sheet_materials, ident)) is not None:
        raise InputError(Fault.MATERIAL_FORBIDDEN, where, material=ident, reason=bad.reason)
    known = ", ".join(usable(shop.sheet_materials))
    raise InputError(Fault.MATERIAL_UNKNOWN, where, material=ident, known=known)


def put_out(
    laser: Laser,
    material: SheetMaterial,
    thickness_mm: float,
    target: Path,
    *,
    feed_mm_s: float | None = None,
    passes: int | None = None,
) -> PutOut:
    """Write a ladder as DXF and SVG, a layer for each feed, and the file for noting its outcome.

    Args:
        laser: the machine.
        material: of the sheet.
        thickness_mm: of the sheet.
        target: folder the files are written to; made if need be.
        feed_mm_s: the middle feed; None takes what is known.
        passes: how often each line is run over; None takes what is known.

    Raises:
        InputError: the material must not be cut, nothing is known of it, the strip does not fit,
            or a file cannot be written.
    """
    drawn = drawn_ladder(
        laser, material, thickness_mm, where=STEM, feed_mm_s=feed_mm_s, passes=passes
    )
    with told(str(target), Fault.FILE_UNWRITABLE):
        target.mkdir(parents=True, exist_ok=True)
    dxf, svg, note = (target / f"{STEM}{ending}" for ending in (".dxf", ".svg", ".toml"))
    write_bytes_atomic(dxf, ladder_dxf_bytes(drawn))
    write_bytes_atomic(svg, ladder_svg_bytes(drawn))
    write_ladder(note, drawn.ladder)
    return PutOut(drawn=drawn, files=(dxf, svg, note))


def ladder_dxf_bytes(drawn: DrawnLadder) -> bytes:
    """A ladder as DXF; the same ladder gives the same bytes."""
    colours = (SCORE_DXF, *DXF_COLOURS[: len(drawn.rungs) - 2], BORDER_DXF)
    layers = {rung.layer: colour for rung, colour in zip(drawn.rungs, colours, strict=True)}
    return dxf_layers_bytes(_lines(drawn), {**layers, Operation.IGNORE.value: 8}, drawn.size_mm)


def _lines(drawn: DrawnLadder) -> Iterator[tuple[str, Outline]]:
    for rung in drawn.rungs:
        for path in rung.outlines:
            yield rung.layer, path


def ladder_svg_bytes(drawn: DrawnLadder) -> bytes:
    """A ladder as SVG."""
    colours = (SCORE_SVG, *SVG_COLOURS[: len(drawn.rungs) - 2], BORDER_SVG)
    groups = [
        (rung.layer, colour, rung.outlines)
        for rung, colour in zip(drawn.rungs, colours, strict=True)
    ]
    return svg_groups_bytes(groups, drawn.size_mm)


def ladder_sketch(drawn: DrawnLadder, laser: Laser) -> Sketch:
    """What a ladder looks like, every square with its number."""
    size = sides_text(drawn.size_mm)
    squares = [path for rung in drawn.rungs[1:-1] for path in rung.outlines]
    feeds = [rung.outlines[0] for rung in drawn.rungs[1:-1]]
    laid = [Laid(str(number), (path,)) for number, path in enumerate(feeds, start=1)]
    kerfs = [path for path in squares if all(path is not other for other in feeds)]
    laid += [Laid(str(number), (path,)) for number, path in enumerate(kerfs, start=1)]
    laid += [Laid("", drawn.rungs[0].outlines)]
    return Sketch(
        title=STEM,
        note=phrase("sheet-note", machine=laser.name, size=size),
        size_mm=drawn.size_mm,
        is_sheet=True,
        laid=tuple(laid),
    )


def note(receipt: Path, outcome: Outcome, shop_file: Path) -> Noted:
    """Note the outcome of a ladder in the shop file, as an own cut setting.

    Args:
        receipt: the file that was put out with the ladder.
        outcome: what was seen.
        shop_file: the shop file that counts. The shipped one is left alone: a copy of it becomes
            the user's own.

    Raises:
        InputError: a file is at fault or cannot be written, or the outcome cannot be.
    """
    ladder = read_ladder(receipt)
    setting, findings = setting_of(ladder, outcome, str(receipt))
    shipped = resource(f"shop/{SHOP_FILE}")
    target = user_shop() if shop_file == shipped else shop_file
    try:
        text = shop_text_with(read_text(shop_file, SHOP_FILE), ladder.material, setting)
    except InputError as error:
        where = str(shop_file) + error.where.removeprefix(SHOP_FILE)
        raise InputError(error.code, where, **error.facts) from error
    save_shop_text(target, text)
    return Noted(shop_file=target, ladder=ladder, setting=setting, findings=findings)
