"""How long a laser takes for a drawing.

The path runs half a kerf beside the outlines, in the order of `cut_track`; the motion planner gives
the time.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from fabsched.estimate.crossing import crossings
from fabsched.estimate.cut_faults import cut_findings
from fabsched.estimate.cut_regions import beside_kerf, shadow
from fabsched.estimate.cut_rings import lengths_mm
from fabsched.estimate.cut_settings import CutSpeeds, cut_speeds
from fabsched.estimate.cut_track import Move, Track, corner_of, engraving, tracks
from fabsched.estimate.openings import openings
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route, Stretch
from fabsched.model.findings import Finding, Remark
from fabsched.model.materials import SheetMaterial
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline, Points2
from fabsched.model.shop import Laser, Sheet
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S

Floats = NDArray[np.float64]

FIT_MM = 1e-6
"""A part may be larger than the bed by this much, which is rounding."""


KEYS = {
    Move.TRAVEL: "travel",
    Move.CUT: "cutting",
    Move.SCORE: "scoring",
    Move.ENGRAVE: "engraving",
}
"""Key of the breakdown for each kind of move."""

Times = Sequence[Floats]
"""Seconds of every move of a track, from the highest feed to the lowest."""

SIDES = (0.0, 90.0)
"""How parts are turned unless something else is said."""
SHARES = (2, 1, 0)
"""From the highest feed to the lowest: from the shortest time to the longest."""


def estimate_cut(  # noqa: PLR0913 - all that one copy hangs on
    drawing: Drawing,
    laser: Laser,
    material: SheetMaterial,
    thickness_mm: float,
    *,
    where: str,
    sheet: Sheet | None = None,
    turns_deg: Sequence[float] = (),
) -> Estimate:
    """Estimate one copy of a flat part on one laser.

    Args:
        drawing: its outlines.
        laser: the machine.
        material: the sheet's material.
        thickness_mm: the sheet's thickness.
        where: the part, for errors and findings.
        sheet: the sheet it is cut from; only its price is used.
        turns_deg: how it may be turned on its sheet; upright and on its side if nothing is said.

    Returns:
        Time without hands (P90 at the lowest known feed, P10 at the highest), length and number of
        cuts, and the outer border for nesting. `cut_mm` is the length of the cut path, each outline
        counted once; `pierces` counts every pass.

    Raises:
        InputError: the material must not be cut or is unknown, there is nothing to do, or the part
            does not fit the bed.
    """
    speeds = cut_speeds(laser, material, thickness_mm, where=where)
    run = _Run.over(drawing, laser, speeds, where)
    apart = crossings([path for path in run.paths if path.closed]) is None
    border = shadow(run.paths, apart=apart)
    footprint = _checked_footprint(border, speeds.kerf_mm, laser, where)
    seconds = run.seconds
    return Estimate(
        route=Route.CUT,
        machine=laser.id,
        stock=material.id,
        seconds=seconds,
        breakdown_s=run.breakdown_s,
        cost=_cost(seconds.likely, laser, sheet, footprint),
        footprint_mm=footprint,
        silhouette_mm=tuple((float(x), float(y)) for x, y in border),
        openings_mm=openings(run.paths, apart=apart),
        cut_mm=float(lengths_mm(run.cuts).sum()),
        pierces=run.pierces,
        stretches=(*run.stretches(), *run.turned(turns_deg or SIDES)),
        findings=(
            *speeds.findings,
            *_marking_findings(run.paths, speeds, where),
            *cut_findings(run.paths, speeds.kerf_mm, thickness_mm, where, apart=apart),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """All that one laser does for one copy, lying as it is drawn.

    Attributes:
        paths: what is gone over.
        cuts: those of them that are cut, half a kerf beside the outline.
        tracks: the ways gone, with what is done on each.
        moved: seconds of the moves of each track.
        laser, speeds: the machine and what it does.
    """

    paths: Sequence[Outline]
    cuts: Sequence[Outline]
    tracks: Sequence[tuple[Operation, Track]]
    moved: Sequence[Times]
    laser: Laser
    speeds: CutSpeeds

    @classmethod
    def over(cls, drawing: Drawing, laser: Laser, speeds: CutSpeeds, where: str) -> Self:
        """Go over a drawing; refuse one in which nothing is to be done."""
        paths = [path for path in drawing.outlines if path.operation is not Operation.IGNORE]
        if not paths:
            raise InputError(Fault.NO_OUTLINES, where)
        cuts = beside_kerf([p for p in paths if p.operation is Operation.CUT], speeds.kerf_mm)
        done = tuple(tracks(paths, cuts, speeds, laser))
        return cls(
            paths=paths,
            cuts=cuts,
            tracks=done,
            moved=[track.seconds(laser, speeds, SHARES) for _, track in done],
            laser=laser,
            speeds=speeds,
        )

    @property
    def pierces(self) -> int:
        """Of all passes."""
        return sum(track.pierces for _, track in self.tracks)

    @property
    def seconds(self) -> Spread:
        """Seconds of all of it."""
        return _spread(self.moved, self.pierces * self.speeds.pierce_s)

    @property
    def breakdown_s(self) -> Mapping[str, float]:
        """Seconds by key at the usual feed."""
        spent = np.zeros(len(Move))
        for (_, track), times in zip(self.tracks, self.moved, strict=True):
            spent += np.bincount(track.moves, weights=times[1], minlength=len(Move))
        found = {KEYS[move]: float(spent[move]) for move in Move}
        found["piercing"] = self.pierces * self.speeds.pierce_s
        return {key: value for key, value in found.items() if value > 0}

    def stretches(self) -> Iterator[Stretch]:
        """What each track takes."""
        for (operation, track), times in zip(self.tracks, self.moved, strict=True):
            yield _stretch(operation, track, times, track.pierces * self.speeds.pierce_s)

    def turned(self, turns_deg: Sequence[float]) -> Iterator[Stretch]:
        """The engraving of areas of the part where it is turned; half a turn makes no difference."""
        if not any(path.operation is Operation.ENGRAVE and path.closed for path in self.paths):
            return
        corner = corner_of([*self.paths, *self.cuts])
        for turn in sorted({turn % 180.0 for turn in turns_deg} - {0.0}):
            track = engraving(self.paths, corner, self.speeds, self.laser, turn)
            if track.runs:
                times = track.seconds(self.laser, self.speeds, SHARES)
                yield _stretch(Operation.ENGRAVE, track, times, turn_deg=turn)


def run_s(paths: Sequence[Outline], laser: Laser, speeds: CutSpeeds) -> float:
    """Seconds for paths that are run over as they lie, without kerf, at the usual feed.

    Args:
        paths: of any operation.
        laser: the machine.
        speeds: what it does.
    """
    cuts = [path for path in paths if path.operation is Operation.CUT]
    done = [track for _, track in tracks(paths, cuts, speeds, laser)]
    moving = sum(float(track.seconds(laser, speeds)[0].sum()) for track in done)
    return moving + speeds.pierce_s * sum(track.pierces for track in done)


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


def _spread(moved: Sequence[Times], more_s: float) -> Spread:
    sums = [more_s + sum(float(times[k].sum()) for times in moved) for k in range(len(SHARES))]
    return Spread(*sorted(sums))


def _stretch(
    operation: Operation,
    track: Track,
    times: Times,
    pierce_s: float = 0.0,
    turn_deg: float = 0.0,
) -> Stretch:
    """A track without the way to where it begins, which is its first move."""
    enter, leave = track.runs[0].points[0], track.here
    return Stretch(
        operation=operation,
        enter_mm=(float(enter[0]), float(enter[1])),
        leave_mm=(float(leave[0]), float(leave[1])),
        seconds=_spread([[seconds[1:] for seconds in times]], pierce_s),
        turn_deg=turn_deg if Move.ENGRAVE in track.moves else None,
    )


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
