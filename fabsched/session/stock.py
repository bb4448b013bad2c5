"""Whether what is in hand suffices for the project."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from math import ceil

from fabsched.model.errors import Fact
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.model.weekend import Run, Weekend


def filament_short(
    project: Project, shop: Shop, estimates: Mapping[str, Mapping[str, Estimate]]
) -> tuple[Finding, ...]:
    """A remark for each filament of which the spools hold less than all copies need.

    What several spools hold is added up, and nothing is added for prints that fail.

    Args:
        project: what is wanted.
        shop: what there is.
        estimates: by part id and machine id; parts without one are left out.
    """
    want: defaultdict[str, float] = defaultdict(float)
    for part in project.parts:
        masses = [e.mass_g for e in estimates.get(part.id, {}).values() if e.mass_g is not None]
        if masses:
            want[part.material] += part.copies * max(masses)
    have: defaultdict[str, float] = defaultdict(float)
    for spool in shop.spools:
        have[spool.material] += spool.mass_g
    return tuple(
        _short(material, have[material], ceil(grams), "g")
        for material, grams in want.items()
        if have[material] < grams
    )


def sheets_short(project: Project, shop: Shop, weekend: Weekend) -> tuple[Finding, ...]:
    """A remark for each kind of sheet of which there are fewer than the cuts need.

    Args:
        project: what is wanted.
        shop: what there is.
        weekend: its cuts, one run for each sheet.
    """
    sheets = {
        part.id: (part.material, part.thickness_mm)
        for part in project.parts
        if part.route is Route.CUT
    }
    runs = [run for run in weekend.activities if isinstance(run, Run) and run.cargo]
    want = Counter(sheets[run.cargo[0][0]] for run in runs if run.cargo[0][0] in sheets)
    have: Counter[tuple[str, float | None]] = Counter()
    for sheet in shop.sheets:
        have[sheet.material, sheet.thickness_mm] += sheet.count
    return tuple(
        _short(f"{material} {thickness_mm:g} mm", have[material, thickness_mm], count, "sheets")
        for (material, thickness_mm), count in want.items()
        if have[material, thickness_mm] < count
    )


def _short(what: str, have: float, want: float, unit: str) -> Finding:
    facts: dict[str, Fact] = {"have": have, "want": want, "unit": unit}
    return Finding(code=Remark.STOCK_SHORT, where=what, facts=facts)
