"""What a laser runs over in one part, operation by operation, and how long each of them takes.

Engraving comes first, then scoring, then cutting from the inside out, so that nothing moves before
it is finished. Every path begins and ends at a standstill: so times of operations add up, and those
of parts do, whatever lies between them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from fabsched.estimate.cut_order import Stroke, in_order
from fabsched.estimate.cut_settings import CutSpeeds
from fabsched.estimate.engraving import engraved_rows, engraving_path
from fabsched.estimate.motion import plan_moves
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline, Points2, turned
from fabsched.model.shop import Laser

ORDER = (Operation.ENGRAVE, Operation.SCORE, Operation.CUT)
"""Marks come before cuts, since what is cut off may move."""


class Move(IntEnum):
    """What a move is for, which sets its speed."""

    TRAVEL = 0
    CUT = 1
    SCORE = 2
    ENGRAVE = 3


@dataclass(frozen=True, slots=True)
class Run:
    """Points that are followed at one go, from standstill to standstill."""

    points: Points2
    kind: Move
    halting: bool


@dataclass(slots=True)
class Track:
    """The moves of the laser, one after another.

    Attributes:
        begin: (2,) where the machine stands.
        runs: what it goes to and follows.
        pierces: how often it goes through the sheet.
    """

    begin: Points2
    runs: list[Run] = field(default_factory=list)
    pierces: int = 0

    @property
    def here(self) -> Points2:
        """Where the machine is."""
        return np.asarray(self.runs[-1].points[-1]) if self.runs else self.begin

    def follow(self, points: Points2, kind: Move, *, halting: bool = False) -> None:
        """Go to the start of a run of points, stand still there, and follow it.

        Args:
            points: (n, 2).
            kind: of all its moves.
            halting: stand still at every point.
        """
        self.runs.append(Run(points, kind, halting))

    def mark(self, paths: Sequence[Outline]) -> None:
        """Run over lines that are only marked."""
        for stroke in in_order(paths, self.here):
            self.follow(stroke.points_mm, Move.SCORE)

    def cut(self, stroke: Stroke, passes: int) -> None:
        """Cut along a stroke as often as wanted; an open one is run over forth and back."""
        back = stroke.points_mm if stroke.closed else stroke.points_mm[::-1]
        for turn in range(passes):
            self.follow(back if turn % 2 else stroke.points_mm, Move.CUT)
        self.pierces += passes

    @property
    def moves(self) -> NDArray[np.uint8]:
        """(n,) kind of every move; the first of each run is the way to it."""
        counts = [len(run.points) for run in self.runs]
        kinds = np.repeat(np.array([run.kind for run in self.runs], dtype=np.uint8), counts)
        kinds[np.cumsum([0, *counts[:-1]])] = Move.TRAVEL
        return kinds

    def _stops(self) -> NDArray[np.uint8]:
        """(n,) 1 for moves that begin at a standstill: the first two of each run at least."""
        counts = [len(run.points) for run in self.runs]
        stops = np.repeat(np.array([run.halting for run in self.runs], dtype=np.uint8), counts)
        firsts = np.cumsum([0, *counts[:-1]])
        stops[firsts] = 1
        stops[np.minimum(firsts + 1, len(stops) - 1)] = 1
        return stops

    def seconds(
        self, laser: Laser, speeds: CutSpeeds, shares: Sequence[int] = (1,)
    ) -> list[NDArray[np.float64]]:
        """(n,) seconds of every move, piercing left out, for each of some feeds.

        Args:
            laser: the machine.
            speeds: what it does.
            shares: 0 for the lowest feed, 1 for the usual one, 2 for the highest.
        """
        points = np.concatenate([self.begin[None], *(run.points for run in self.runs)])
        x, y = np.ascontiguousarray(points.T)
        kinds, stops = self.moves, self._stops()
        accel = np.full(len(kinds), laser.accel_mm_s2)
        found = []
        for share in shares:
            seconds = np.empty(len(kinds))
            feeds = _speeds(laser, speeds, share)[kinds]
            plan_moves(x, y, feeds, accel, stops, laser.corner_mm, seconds)
            found.append(seconds)
        return found


def _speeds(laser: Laser, speeds: CutSpeeds, share: int) -> NDArray[np.float64]:
    """Speed of each kind of move."""
    feed, score = (
        (spread.low, spread.likely, spread.high)[share]
        for spread in (speeds.feed_mm_s, speeds.score_mm_s)
    )
    return np.array([laser.travel_mm_s, feed, score, speeds.engrave_mm_s])


def corner_of(paths: Sequence[Outline]) -> Points2:
    """(2,) lower left corner of paths; where the machine is taken to come from."""
    points = np.concatenate([path.points_mm for path in paths])
    return np.array([points[:, 0].min(), points[:, 1].min()])  # column by column is much faster


def tracks(
    paths: Sequence[Outline], cuts: Sequence[Outline], speeds: CutSpeeds, laser: Laser
) -> Iterator[tuple[Operation, Track]]:
    """One track for each operation, in order; each begins where the one before ended.

    What comes first within an operation does not hang on where the one before ended, so that it
    stays the same whatever else lies on the sheet.

    Args:
        paths: of a part; its cuts count only for where it lies.
        cuts: the cuts as they are run over, beside the kerf.
        speeds: what the laser does.
        laser: the machine.
    """
    corner = corner_of([*paths, *cuts])
    here = corner
    for operation in ORDER:
        track = _begun(operation, (paths, cuts), corner, speeds, laser)
        if track.runs:
            track.begin = here
            here = track.here
            yield operation, track


def _begun(
    operation: Operation,
    given: tuple[Sequence[Outline], Sequence[Outline]],
    corner: Points2,
    speeds: CutSpeeds,
    laser: Laser,
) -> Track:
    """One operation on a part, from its corner."""
    paths, cuts = given
    if operation is Operation.ENGRAVE:
        return engraving(paths, corner, speeds, laser)
    track = Track(corner)
    if operation is Operation.SCORE:
        track.mark([path for path in paths if path.operation is operation])
    else:
        for stroke in in_order(cuts, corner):
            track.cut(stroke, speeds.passes)
    return track


def engraving(
    paths: Sequence[Outline],
    corner: Points2,
    speeds: CutSpeeds,
    laser: Laser,
    turn_deg: float = 0.0,
) -> Track:
    """The engraving of a part: areas in lines along x of the machine, then single lines.

    Args:
        paths: of the part; those that are engraved count.
        corner: (2,) where the machine comes from.
        speeds: what the laser does.
        laser: the machine.
        turn_deg: how the part is turned when it is engraved.

    Returns:
        The track as seen from the part.
    """
    engraved = [path for path in paths if path.operation is Operation.ENGRAVE]
    track = Track(corner)
    for rows in engraved_rows([turned(p.points_mm, turn_deg) for p in engraved if p.closed]):
        run = engraving_path(rows, speeds.engrave_mm_s, laser.accel_mm_s2)
        track.follow(turned(run, -turn_deg), Move.ENGRAVE, halting=True)
    track.mark([path for path in engraved if not path.closed])
    return track
