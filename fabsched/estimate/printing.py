"""The estimate of a print: every layer simulated, from sections to the seconds of each move."""

import math
from dataclasses import dataclass

from fabsched.estimate.columns import columns_of
from fabsched.estimate.fitting import check_fit
from fabsched.estimate.layers import BREAKDOWN, Bill, Shift, least_s
from fabsched.estimate.learning import PRINT_PRIOR
from fabsched.estimate.moves import moves_of
from fabsched.estimate.placing import Placed, place
from fabsched.estimate.planes import planes_for
from fabsched.estimate.scaffold import Scaffold
from fabsched.estimate.sections import Sections, section_mesh
from fabsched.estimate.silhouette import silhouette_of
from fabsched.estimate.support import Support, support_of
from fabsched.estimate.thickness import smallest_mm
from fabsched.estimate.toolpath import Paths
from fabsched.estimate.turning import AS_DRAWN, Turn, turned
from fabsched.estimate.warp import above_of, warp_of
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.estimates import Estimate, Route, Warp
from fabsched.model.findings import Finding, Remark
from fabsched.model.materials import Filament
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer
from fabsched.model.spread import Spread

TINY_MM2 = 30.0
"""Contact with the bed below which a print easily comes loose (own assumption)."""
FEW_LAYERS = 0.01
"""Share of layers with thin walls below which only tips and edges are thin."""
UNEVEN = 0.1
"""Share of its height by which whole layers may miss a part without a remark (own choice)."""
LITTLE_MM3 = 100.0
"""Support below this is not worth a remark."""
TWICE = 1.005
"""Volume counted by shells over volume of their union, or the other way around where some of them
face inwards, from which shells overlap."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Simulated:
    """What the steps of an estimate have found.

    Attributes:
        where: name of the part.
        placed: the part.
        printer: the machine.
        filament: the material.
        sections: its layers.
        support: what holds it.
        smallest_mm: its thinnest feature.
        bill: what its layers cost.
    """

    where: str
    placed: Placed
    printer: Printer
    filament: Filament
    sections: Sections
    support: Support
    smallest_mm: float
    bill: Bill


def estimate_print(
    mesh: Mesh,
    printer: Printer,
    filament: Filament,
    *,
    where: str,
    turn_deg: Turn = AS_DRAWN,
    watch: Watch = UNWATCHED,
) -> Estimate:
    """Simulate a print of one copy of a part.

    Args:
        mesh: the part as it was drawn; it is turned, and moved so that it stands on the bed.
        printer: the machine.
        filament: the material.
        where: name of the part, for errors and findings.
        turn_deg: the pose to print it in: degrees about x, then y, then z.
        watch: told of the progress; may stop the computation.

    Returns:
        The estimate. Its silhouette has the lowest x and y of the part at 0.

    Raises:
        InputError: the part does not fit the machine, has no volume or too many gaps.
        Cancelled: the watch said stop.
    """
    placed = place(turned(mesh, turn_deg), where)
    check_fit(placed, mesh, printer, where)
    return simulate_print(placed, printer, filament, where=where, watch=watch)


def simulate_print(
    placed: Placed, printer: Printer, filament: Filament, *, where: str, watch: Watch = UNWATCHED
) -> Estimate:
    """The same for a part that has been placed and is known to fit.

    Raises:
        InputError: the part has no volume or too many gaps.
        Cancelled: the watch said stop.
    """
    sections = section_mesh(placed.mesh, planes_for(placed.size_mm[2], printer.build), where, watch)
    if len(sections.distinct) == 1:
        raise InputError(Fault.NO_VOLUME, where)
    check(watch)
    columns = columns_of(placed)
    support = support_of(placed, printer.build, columns)
    bill = _bill(printer, filament, sections, support, watch)
    watch.report(1.0, "paths")
    return _estimate(
        _Simulated(
            where=where,
            placed=placed,
            printer=printer,
            filament=filament,
            sections=sections,
            support=support,
            smallest_mm=smallest_mm(placed, columns),
            bill=bill,
        )
    )


def _bill(
    printer: Printer, filament: Filament, sections: Sections, support: Support, watch: Watch
) -> Bill:
    """Run through all layers, then enter heating and cooling."""
    paths = Paths(sections, printer.build)
    scaffold = Scaffold(support, printer.build)
    bill = Shift(printer, filament, sections.planes, paths, scaffold).run(watch)
    bill.seconds["heating"] += printer.heat_s
    bill.seconds["cooling"] += printer.cool_s
    return bill


def spread_of(seconds: float) -> Spread:
    """P10, P50 and P90 around a simulated time."""
    return Spread(seconds / PRINT_PRIOR, seconds, seconds * PRINT_PRIOR)


def _estimate(done: _Simulated) -> Estimate:
    """Put everything together."""
    printer, filament, bill = done.printer, done.filament, done.bill
    breakdown_s = {key: bill.seconds[key] for key in BREAKDOWN}
    seconds = sum(breakdown_s.values())
    mass_g = bill.laid_mm3 * filament.density_g_cm3 / 1000.0
    contact = done.sections.distinct[done.sections.layer[0]]
    warp = warp_of(contact, filament, above_of(done.sections))
    seen = silhouette_of(done.sections)
    return Estimate(
        route=Route.PRINT,
        machine=printer.id,
        stock=filament.id,
        seconds=spread_of(seconds),
        breakdown_s=breakdown_s,
        cost=mass_g / 1000.0 * filament.cost_kg + seconds / 3600.0 * printer.cost_hour,
        footprint_mm=done.placed.size_mm[:2],
        silhouette_mm=seen.outline,
        openings_mm=seen.openings,
        volume_mm3=bill.part_mm3,
        mass_g=mass_g,
        filament_mm=bill.laid_mm3 / (math.pi / 4.0 * printer.filament_mm**2),
        height_mm=done.placed.size_mm[2],
        layers=len(done.sections.planes),
        contact_mm2=warp.contact_mm2,
        support_mm3=done.support.volume_mm3,
        warp=warp,
        smallest_mm=done.smallest_mm,
        moves=moves_of(bill.layers, least_s(printer, filament), printer.heat_s + printer.cool_s),
        findings=tuple(_findings(done, warp)),
    )


def _findings(done: _Simulated, warp: Warp) -> list[Finding]:
    """What is worth a remark."""
    found = []
    if done.sections.open_edges:
        found.append(_finding(Remark.MESH_OPEN, done.where, gaps=done.sections.open_edges))
    elif _overlap(done.sections.counted_mm3, done.bill.part_mm3):
        found.append(_finding(Remark.SHELLS_OVERLAP, done.where))
    if _thin_share(done) > FEW_LAYERS:
        found.append(_thin(done))
    found += _uneven_height(done)
    if warp.contact_mm2 < TINY_MM2:
        found.append(_finding(Remark.TINY_CONTACT, done.where, area=round(warp.contact_mm2, 1)))
    if done.support.volume_mm3 > LITTLE_MM3:
        volume_cm3 = round(done.support.volume_mm3 / 1000.0, 1)
        found.append(_finding(Remark.NEEDS_SUPPORT, done.where, volume=volume_cm3))
    return found


def _overlap(counted_mm3: float, union_mm3: float) -> bool:
    """Whether shells, each counted for itself, enclose another volume than all together."""
    return not union_mm3 / TWICE <= counted_mm3 <= union_mm3 * TWICE


def _thin_share(done: _Simulated) -> float:
    """Share of layers with walls too thin for a bead; small sections count where no taper is meant."""
    bill = done.bill
    tiny = bill.lost_layers if done.smallest_mm < done.printer.build.bead_mm else 0
    return max(bill.thin_layers, tiny) / len(done.sections.planes)


def _uneven_height(done: _Simulated) -> list[Finding]:
    """The remark on whole layers that come out much higher or lower than the part was drawn."""
    drawn_mm, planes = done.placed.size_mm[2], done.sections.planes
    printed_mm = float(planes.thick_mm.sum())
    if abs(printed_mm - drawn_mm) <= UNEVEN * drawn_mm:
        return []
    facts: dict[str, Fact] = {"drawn": round(drawn_mm, 3), "printed": round(printed_mm, 2)}
    return [_finding(Remark.UNEVEN_HEIGHT, done.where, count=len(planes), **facts)]


def _thin(done: _Simulated) -> Finding:
    """The remark on thin walls; where only tapers are thin, they are at most a bead wide."""
    bead_mm = done.printer.build.bead_mm
    return _finding(
        Remark.THIN_WALLS,
        done.where,
        width=round(min(done.smallest_mm, bead_mm), 2),
        bead=bead_mm,
        share=f"{_thin_share(done):.0%}",
    )


def _finding(code: Remark, where: str, /, **facts: Fact) -> Finding:
    """One remark."""
    return Finding(code=code, where=where, facts=facts)
