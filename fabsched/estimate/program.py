"""The estimate of a print that has been prepared already: its moves timed by our own planner."""

import math

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from fabsched.estimate.arrays import Floats
from fabsched.estimate.motion import slow_in_curves
from fabsched.estimate.placing import SLACK_MM, measures
from fabsched.estimate.printing import spread_of
from fabsched.estimate.program_motion import (
    DWELLING,
    LAYING,
    PULLING,
    TRAVEL,
    Rules,
    Ways,
    chords,
    course_of,
    time_course,
    ways_of,
)
from fabsched.estimate.regions import loops_of
from fabsched.estimate.silhouette import few_corners
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.materials import Filament
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.shapes import Points2, Program
from fabsched.model.shop import Printer

CHORD_MM = 0.02
"""How far chords of an arc may lie beside it, for the outline."""
LEVEL_MM = 1e-3
"""Heights of layers are told apart down to this."""
ROLES = {LAYING: "laying", TRAVEL: "travel", PULLING: "retracting", DWELLING: "dwelling"}
"""Where the time of each kind of move is entered."""

Flags = NDArray[np.bool_]


def estimate_program(
    program: Program,
    printer: Printer,
    filament: Filament,
    *,
    where: str,
    watch: Watch = UNWATCHED,
) -> Estimate:
    """Time a prepared print on one machine.

    Feeds, dwells and the filament are the program's; travel, accelerations and corners are the
    machine's. Heating and cooling down are added once. A program is a whole run.

    Args:
        program: its moves.
        printer: the machine.
        filament: the material.
        where: name of the part, for errors.
        watch: told of the progress; may stop the computation.

    Returns:
        The estimate. Its silhouette has the lowest x and y at 0, and wraps all that is laid down.

    Raises:
        InputError: the program lays nothing down, or what it lays does not fit the machine.
        Cancelled: the watch said stop.
    """
    watch.report(0.1, "paths")
    ways = ways_of(course_of(program), _rules(printer))
    laid = np.asarray(ways.kind == LAYING)
    if not laid.any():
        raise InputError(Fault.NOTHING_LAID, where)
    corners = _corners(program, laid)
    size_mm = _size_mm(program, corners, laid)
    _check_fit(size_mm, printer, where)
    check(watch)
    breakdown_s = _breakdown_s(program, ways, printer)
    watch.report(1.0, "paths")
    return _estimate(program, printer, filament, (corners, laid, size_mm), breakdown_s)


def _rules(printer: Printer) -> Rules:
    """What a printer allows; walls are not told from other paths."""
    motion = printer.motion
    return Rules(
        float(motion.travel_mm_s),
        float(motion.print_mm_s2),
        float(motion.travel_mm_s2),
        float(motion.corner_mm),
        float(motion.curve_mm_s2),
    )


def _breakdown_s(program: Program, ways: Ways, printer: Printer) -> dict[str, float]:
    """Seconds by what they are spent on."""
    if printer.motion.curve_mm_s2 > 0.0:
        x, y = (np.ascontiguousarray(program.points_mm[:, axis]) for axis in (0, 1))
        slow_in_curves(x, y, ways.speed, printer.motion.curve_mm_s2)
    taken = np.empty(ways.speed.size)
    seconds = time_course(course_of(program), ways, printer.motion.corner_mm, taken)
    spent = {key: float(seconds[kind]) for kind, key in ROLES.items()}
    return {"heating": printer.heat_s, **spent, "cooling": printer.cool_s}


def _estimate(
    program: Program,
    printer: Printer,
    filament: Filament,
    laid: tuple[Points2, Flags, tuple[float, float, float]],
    breakdown_s: dict[str, float],
) -> Estimate:
    """Put everything together; `laid` is the corners, which moves, and their extent."""
    corners, which, size_mm = laid
    seconds = sum(breakdown_s.values())
    filament_mm = _used_mm(program.filament_mm)
    volume_mm3 = filament_mm * math.pi / 4.0 * printer.filament_mm**2
    mass_g = volume_mm3 * filament.density_g_cm3 / 1000.0
    bead_mm = printer.build.bead_mm
    return Estimate(
        route=Route.PRINT,
        machine=printer.id,
        stock=filament.id,
        seconds=spread_of(seconds),
        breakdown_s=breakdown_s,
        cost=mass_g / 1000.0 * filament.cost_kg + seconds / 3600.0 * printer.cost_hour,
        footprint_mm=(size_mm[0] + bead_mm, size_mm[1] + bead_mm),
        silhouette_mm=_silhouette(corners, bead_mm),
        volume_mm3=volume_mm3,
        mass_g=mass_g,
        filament_mm=filament_mm,
        height_mm=size_mm[2],
        layers=_layers(program, which),
        whole_run=True,
    )


def _used_mm(filament_mm: Floats) -> float:
    """Filament that leaves the nozzle: what is pulled back and pushed on again counts once."""
    return max(0.0, float(np.cumsum(filament_mm).max()))


def _layers(program: Program, laid: Flags) -> int:
    """Heights at which a level move lays something down; 1 if all of them rise."""
    low, high = program.points_mm[:-1, 2][laid], program.points_mm[1:, 2][laid]
    level = high[np.abs(high - low) < LEVEL_MM]
    return max(1, np.unique(np.round(level / LEVEL_MM)).size)


def _size_mm(program: Program, corners: Points2, laid: Flags) -> tuple[float, float, float]:
    """Extent of the paths that lay something down along x and y, and their height above z = 0."""
    x, y = (float(extent) for extent in np.ptp(corners, axis=0))
    return x, y, float(program.points_mm[1:, 2][laid].max())


def _check_fit(size_mm: tuple[float, float, float], printer: Printer, where: str) -> None:
    """Refuse what is larger than the build volume; a program cannot be turned."""
    if all(a <= b + SLACK_MM for a, b in zip(size_mm, printer.bed_mm, strict=True)):
        return
    size, bed = measures(size_mm), measures(printer.bed_mm)
    raise InputError(Fault.PART_TOO_LARGE, where, size=size, machine=printer.name, bed=bed)


def _corners(program: Program, laid: Flags) -> Points2:
    """Points of all paths that lay something down, seen from above; arcs as chords."""
    flat = program.points_mm[:, :2]
    arcs = chords(course_of(program), laid, CHORD_MM)
    return np.concatenate([flat[:-1][laid], flat[1:][laid], arcs])


def _silhouette(corners: Points2, bead_mm: float) -> tuple[tuple[float, float], ...]:
    """The convex outline around all beads, lowest x and y at 0."""
    hull = CrossSection.hull_points(corners).to_polygons()
    inner = hull[0] if hull and len(hull[0]) else corners  # all on one line
    angles = (np.arange(8) + 0.5) * math.pi / 4.0
    reach_mm = bead_mm / 2.0 / math.cos(math.pi / 8.0)  # an octagon around the bead's end
    ring = reach_mm * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    around = (inner[:, np.newaxis] + ring).reshape(-1, 2)
    outline = few_corners(loops_of(CrossSection.hull_points(around)))
    x, y = outline.x - outline.x.min(), outline.y - outline.y.min()
    return tuple((float(a), float(b)) for a, b in zip(x, y, strict=True))
