"""How long a laser takes for a drawing.

Engraving comes first, then scoring, then cutting from the inside out, so that nothing moves before
it is finished. The path runs half a kerf beside the outlines; the motion planner gives the time.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from fabsched.estimate.cut_faults import cut_findings
from fabsched.estimate.cut_order import Stroke, in_order
from fabsched.estimate.cut_regions import beside_kerf, shadow
from fabsched.estimate.cut_settings import CutSpeeds, cut_speeds
from fabsched.estimate.engraving import engraved_rows, engraving_path
from fabsched.estimate.motion import plan_moves
from fabsched.estimate.openings import openings
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline, Points2
from fabsched.model.shop import Laser, Sheet, SheetMaterial
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S

Floats = NDArray[np.float64]

FIT_MM = 1e-6
"""A part may be larger than the bed by this much, which is rounding."""


class Move(IntEnum):
    """What a move is for, which sets its speed."""

    TRAVEL = 0
    CUT = 1
    SCORE = 2
    ENGRAVE = 3


KEYS = {
    Move.TRAVEL: "travel",
    Move.CUT: "cutting",
    Move.SCORE: "scoring",
    Move.ENGRAVE: "engraving",
}
"""Key of the breakdown for each kind of move."""


@dataclass(slots=True)
class _Track:
    """The moves of the laser, one after another.

    Attributes:
        points: runs of points; the first is where the machine stands.
        kinds: kind of each move.
        stops: 1 for moves that begin at a standstill.
    """

    points: list[Points2]
    kinds: list[NDArray[np.uint8]] = field(default_factory=list)
    stops: list[NDArray[np.uint8]] = field(default_factory=list)

    @property
    def here(self) -> Points2:
        """Where the machine is."""
        return np.asarray(self.points[-1][-1])

    def follow(self, run: Points2, kind: Move, *, halting: bool = False) -> None:
        """Go to the start of a run of points, stand still there, and follow it.

        Args:
            run: (n, 2) points.
            kind: of all its moves.
            halting: stand still at every point.
        """
        self.points.append(run)
        kinds = np.full(len(run), kind, dtype=np.uint8)
        kinds[0] = Move.TRAVEL
        self.kinds.append(kinds)
        stops = np.full(len(run), halting, dtype=np.uint8)
        stops[:2] = 1
        self.stops.append(stops)


def estimate_cut(
    drawing: Drawing,
    laser: Laser,
    material: SheetMaterial,
    thickness_mm: float,
    *,
    where: str,
    sheet: Sheet | None = None,
) -> Estimate:
    """Estimate one copy of a flat part on one laser.

    Args:
        drawing: its outlines.
        laser: the machine.
        material: the sheet's material.
        thickness_mm: the sheet's thickness.
        where: the part, for errors and findings.
        sheet: the sheet it is cut from; only its price is used.

    Returns:
        Time without hands (P90 at the lowest known feed, P10 at the highest), length and number of
        cuts, and the outer border for nesting. `cut_mm` is the length of the cut path, each outline
        counted once; `pierces` counts every pass.

    Raises:
        InputError: the material must not be cut or is unknown, there is nothing to do, or the part
            does not fit the bed.
    """
    speeds = cut_speeds(laser, material, thickness_mm, where=where)
    paths = [path for path in drawing.outlines if path.operation is not Operation.IGNORE]
    if not paths:
        raise InputError(Fault.NO_OUTLINES, where)
    border = shadow(paths)
    footprint = _checked_footprint(border, speeds.kerf_mm, laser, where)
    cuts = beside_kerf([p for p in paths if p.operation is Operation.CUT], speeds.kerf_mm)
    track = _track(paths, cuts, speeds, laser)
    pierces = len(cuts) * speeds.passes
    times = [_times(track, laser, speeds, pierces, share) for share in (2, 1, 0)]
    seconds = Spread(*sorted(sum(time.values()) for time in times))
    return Estimate(
        route=Route.CUT,
        machine=laser.id,
        stock=material.id,
        seconds=seconds,
        breakdown_s=times[1],
        cost=_cost(seconds.likely, laser, sheet, footprint),
        footprint_mm=footprint,
        silhouette_mm=tuple((float(x), float(y)) for x, y in border),
        openings_mm=openings(paths),
        cut_mm=sum(path.length_mm for path in cuts),
        pierces=pierces,
        findings=(
            *speeds.findings,
            *_marking_findings(paths, speeds, where),
            *cut_findings(paths, speeds.kerf_mm, thickness_mm, where),
        ),
    )


def run_s(paths: Sequence[Outline], laser: Laser, speeds: CutSpeeds) -> float:
    """Seconds for paths that are run over as they lie, without kerf, at the usual feed.

    Args:
        paths: of any operation.
        laser: the machine.
        speeds: what it does.
    """
    cuts = [path for path in paths if path.operation is Operation.CUT]
    track = _track(paths, cuts, speeds, laser)
    return sum(_times(track, laser, speeds, len(cuts) * speeds.passes, 1).values())


def _checked_footprint(
    border: Points2, kerf_mm: float, laser: Laser, where: str
) -> tuple[float, float]:
    """Extent of the part, after making sure that it fits the bed, perhaps by a quarter turn."""
    wide, deep = (float(side) for side in np.ptp(border, axis=0))
    needed, bed = sorted((wide + kerf_mm, deep + kerf_mm)), sorted(laser.bed_mm)
    if any(side > room + FIT_MM for side, room in zip(needed, bed, strict=True)):
        raise InputError(
            Fault.PART_TOO_LARGE,
            where,
            size=f"{wide:.4g} x {deep:.4g}",
            bed=f"{laser.bed_mm[0]:g} x {laser.bed_mm[1]:g}",
            machine=laser.name,
        )
    return wide, deep


def _track(
    paths: Sequence[Outline], cuts: Sequence[Outline], speeds: CutSpeeds, laser: Laser
) -> _Track:
    """Everything the laser does, from the lower left corner of the part."""
    low = np.concatenate([path.points_mm for path in (*paths, *cuts)]).min(axis=0)
    track = _Track([low[None]])
    engraved = [path for path in paths if path.operation is Operation.ENGRAVE]
    for rows in engraved_rows([path.points_mm for path in engraved if path.closed]):
        run = engraving_path(rows, speeds.engrave_mm_s, laser.accel_mm_s2)
        track.follow(run, Move.ENGRAVE, halting=True)
    lines = [path for path in engraved if not path.closed]
    scored = [*lines, *(path for path in paths if path.operation is Operation.SCORE)]
    for stroke in in_order(scored, track.here):
        track.follow(stroke.points_mm, Move.SCORE)
    for stroke in in_order(cuts, track.here):
        _cut(track, stroke, speeds.passes)
    return track


def _cut(track: _Track, stroke: Stroke, passes: int) -> None:
    """Run over a stroke as often as wanted; an open one is run over forth and back."""
    for turn in range(passes):
        closed = np.array_equal(stroke.points_mm[0], stroke.points_mm[-1])
        track.follow(stroke.points_mm[:: -1 if turn % 2 and not closed else 1], Move.CUT)


def _times(
    track: _Track, laser: Laser, speeds: CutSpeeds, pierces: int, share: int
) -> Mapping[str, float]:
    """Seconds by key, at the lowest (0), usual (1) or highest (2) feed."""
    feed, score = (
        (spread.low, spread.likely, spread.high)[share]
        for spread in (speeds.feed_mm_s, speeds.score_mm_s)
    )
    by_kind = np.array([laser.travel_mm_s, feed, score, speeds.engrave_mm_s])
    points, kinds = np.concatenate(track.points), np.concatenate(track.kinds)
    x, y = np.ascontiguousarray(points.T)
    accel = np.full(len(kinds), laser.accel_mm_s2)
    seconds = np.empty(len(kinds))
    stops = np.concatenate(track.stops)
    plan_moves(x, y, by_kind[kinds], accel, stops, laser.corner_mm, seconds)
    spent = np.bincount(kinds, weights=seconds, minlength=len(Move))
    found = {KEYS[move]: float(spent[move]) for move in Move}
    found["piercing"] = pierces * speeds.pierce_s
    return {key: value for key, value in found.items() if value > 0}


def _cost(
    seconds: float, laser: Laser, sheet: Sheet | None, footprint: tuple[float, float]
) -> float | None:
    """The machine's hours and the part's share of the sheet, by its box; None without prices."""
    if not laser.cost_hour and not (sheet and sheet.cost):
        return None
    used = footprint[0] * footprint[1] / (sheet.size_mm[0] * sheet.size_mm[1]) if sheet else 0.0
    return laser.cost_hour * seconds / HOUR_S + (sheet.cost * used if sheet else 0.0)


def _marking_findings(
    paths: Sequence[Outline], speeds: CutSpeeds, where: str
) -> tuple[Finding, ...]:
    """Tables know no feeds for marking; say which ones are used."""
    done = {path.operation for path in paths}
    used = {
        Operation.SCORE: speeds.score_mm_s.likely,
        Operation.ENGRAVE: speeds.engrave_mm_s,
    }
    return tuple(
        Finding(
            code=Remark.SETTING_BY_DEFAULT,
            where=where,
            facts={"what": f"{operation} speed", "value": f"{speed:.3g} mm/s"},
        )
        for operation, speed in used.items()
        if operation in done
    )
