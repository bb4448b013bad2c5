"""Whether what is in hand suffices for the project."""

from collections import defaultdict
from collections.abc import Mapping
from math import ceil, prod

from fabsched.model.errors import Fact
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.project import Part, Project
from fabsched.model.shop import Shop
from fabsched.session.stock_records import Remnant, SheetStock, Stock


def shortages(
    project: Project,
    shop: Shop,
    estimates: Mapping[str, Mapping[str, Estimate]],
    stock: Stock | None,
) -> tuple[Finding, ...]:
    """Everything that is not in hand.

    Args:
        project: what is wanted.
        shop: what there is.
        estimates: by part id and machine id; parts without one are left out.
        stock: what the plan of the project as it is takes, if that is known.
    """
    short = filament_short(project, shop, estimates, stock)
    short += sheets_small(project, shop, estimates)
    return short if stock is None else short + sheets_short(stock)


def filament_short(
    project: Project,
    shop: Shop,
    estimates: Mapping[str, Mapping[str, Estimate]],
    stock: Stock | None = None,
) -> tuple[Finding, ...]:
    """A remark for each filament of which the spools hold less than all copies need.

    What several spools hold is added up, and nothing is added for prints that may fail; what those
    took that did is in the stock of a weekend under way.

    Args:
        project: what is wanted.
        shop: what there is.
        estimates: by part id and machine id; parts without one are left out.
        stock: what the plan of the project takes, if that is known.
    """
    want: defaultdict[str, float] = defaultdict(float)
    for part in project.parts:
        masses = [e.mass_g for e in estimates.get(part.id, {}).values() if e.mass_g is not None]
        if masses:
            want[part.material] += part.copies * max(masses)
    for taken in stock.filaments if stock else ():
        want[taken.material] = max(want[taken.material], taken.need_g)
    have: defaultdict[str, float] = defaultdict(float)
    for spool in shop.spools:
        have[spool.material] += spool.mass_g
    return tuple(
        _short(material, have[material], ceil(grams), "g")
        for material, grams in want.items()
        if have[material] < grams
    )


def sheets_short(stock: Stock) -> tuple[Finding, ...]:
    """A remark for each kind of sheet of which there are fewer than the plan cuts.

    Args:
        stock: what the plan takes; offcuts it lays parts on are kinds of their own.
    """
    return tuple(
        _short(sheet_name(sheet), sheet.have, sheet.used, "sheets")
        for sheet in stock.sheets
        if sheet.buy
    )


def sheet_name(sheet: SheetStock | Remnant | Part) -> str:
    """Material and thickness, which may be unknown."""
    if sheet.thickness_mm is None:
        return sheet.material
    return f"{sheet.material} {sheet.thickness_mm:g} mm"


def sheets_small(
    project: Project, shop: Shop, estimates: Mapping[str, Mapping[str, Estimate]]
) -> tuple[Finding, ...]:
    """A remark for each part that is larger than every sheet of its kind in stock.

    Parts of which there is no sheet at all are left to `sheets_short`.

    Args:
        project: what is wanted.
        shop: what there is.
        estimates: by part id and machine id; parts without one are left out.
    """
    found: list[Finding] = []
    for part in project.parts:
        sizes = _sheet_sizes(part, shop)
        for estimate in list(estimates.get(part.id, {}).values())[:1]:  # all of the same shape
            sides = estimate.footprint_mm
            if sizes and not any(_fits(sides, size) for size in sizes):
                found.append(_small(part, sides, max(sizes, key=prod)))
    return tuple(found)


def _sheet_sizes(part: Part, shop: Shop) -> list[tuple[float, float]]:
    """Sizes of the sheets in stock a part can be cut from; none for prints."""
    if part.route is not Route.CUT:
        return []
    kind = (part.material, part.thickness_mm)
    return [s.size_mm for s in shop.sheets if s.count and (s.material, s.thickness_mm) == kind]


def _fits(sides: tuple[float, float], size: tuple[float, float]) -> bool:
    """Whether a part lies on a sheet, lengthwise or across."""
    pairs = zip(sorted(sides), sorted(size), strict=True)
    return all(side <= length for side, length in pairs)


def _small(part: Part, sides: tuple[float, float], size: tuple[float, float]) -> Finding:
    facts: dict[str, Fact] = {"size": _sides(sides), "sheet": _sides(size)}
    return Finding(code=Remark.SHEET_SMALL, where=part.file, facts=facts)


def _sides(sides: tuple[float, float]) -> str:
    return " x ".join(f"{side:.6g}" for side in sides)


def _short(what: str, have: float, want: float, unit: str) -> Finding:
    facts: dict[str, Fact] = {"have": have, "want": want, "unit": unit}
    return Finding(code=Remark.STOCK_SHORT, where=what, facts=facts)
